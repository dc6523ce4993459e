package player

import (
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// see works out field and hold of a frame whose mean currents are known. In mode kick a
// pixel's hold is judged by what it holds with, once the kick is over.
func (p *Player) see(levels []float64) error {
	if err := p.feel(levels); err != nil {
		return err
	}
	p.hold.Ratios(p.holds, p.plane, p.states)
	return nil
}

// feel works out the field of a frame whose mean currents are known, with the settled
// ripple of their levels; in mode kick the one that holds, once the kick is over.
func (p *Player) feel(levels []float64) error {
	p.seen.valid = false
	currents := p.currents
	if p.grid.Design.Drive.Mode == design.DriveKick {
		p.kick.make(p)
		if err := p.drive.Steady(p.kick.states, levels, p.resistance); err != nil {
			return err
		}
		for i, s := range p.kick.states {
			p.kick.held.Mean[i] = s.Average
		}
		currents = p.kick.held
	}
	p.grid.Follow(currents, p.drive, levels, p.resistance, nil)
	p.grid.FieldInto(p.plane, currents)
	return nil
}

// kick is the part of a frame in which some pixels are kicked, mode kick.
type kick struct {
	seconds        float64 // 0 without one
	states         []drive.PixelState
	kicked         []bool        // the pixels that are kicked
	currents, held grid.Currents // over the kick, and after it
	plane          *grid.Plane
}

// make makes the scratch.
func (k *kick) make(p *Player) {
	if k.states == nil {
		n := len(p.pixels)
		k.states, k.kicked, k.currents, k.held = make([]drive.PixelState, n), make([]bool, n), p.grid.NewCurrents(), p.grid.NewCurrents()
		k.plane = grid.NewPlane(p.grid.Raster)
	}
}

// begin looks, before a frame of a duration is driven, at how long its kicks last and
// what they carry.
func (p *Player) begin(levels []float64, duration float64) error {
	p.kick.seconds = 0
	if p.grid.Design.Drive.Mode != design.DriveKick {
		return nil
	}
	p.kick.make(p)
	for i, v := range levels {
		left := p.drive.KickLeft(p.pixels[i], v)
		p.kick.kicked[i] = left > 0
		p.kick.seconds = max(p.kick.seconds, left)
	}
	p.kick.seconds = min(p.kick.seconds, duration)
	if p.kick.seconds == 0 {
		return nil
	}
	copy(p.kick.states, p.pixels)
	if err := p.drive.FrameFor(p.kick.states, levels, p.resistance, p.kick.seconds); err != nil {
		return err
	}
	for i, s := range p.kick.states {
		p.kick.currents.Mean[i] = s.Average
	}
	p.grid.Follow(p.kick.currents, p.drive, levels, p.resistance, p.kick.kicked)
	return nil
}

// part puts the field of a frame's kicks beside what holds after them.
func (p *Player) part(duration float64) {
	p.lasts = duration
	if p.kick.seconds == 0 {
		return
	}
	p.grid.FieldInto(p.kick.plane, p.kick.currents)
}

// Move calls move for each stretch of the time from … to since the last frame's start, s,
// with its length and the field on the fluid plane that stands for it: in mode kick that of
// the kicks while they last, then that of what holds.
func (p *Player) Move(from, to float64, move func(dt float64, plane *grid.Plane) error) error {
	for to-from > scenes.SameInstant {
		plane, until := p.plane, to
		if from+scenes.SameInstant < p.kick.seconds {
			plane, until = p.kick.plane, min(to, p.kick.seconds)
		}
		if err := move(until-from, plane); err != nil {
			return err
		}
		from = until
	}
	return nil
}

// Plane returns the field on the fluid plane at the end of the last frame.
func (p *Player) Plane() *grid.Plane {
	if p.kick.seconds > 0 && p.kick.seconds >= p.lasts {
		return p.kick.plane
	}
	return p.plane
}
