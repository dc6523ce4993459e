package player

import "lodegrid/array/drive"

// Trial computes what a frame would do at the present temperatures without letting
// time pass: currents, field and hold, as Play finds them for the same frame. It uses
// the player's scratch, so Plane, Holds and States are those of the trial until the
// player's next step.
type Trial struct {
	p      *Player
	before []drive.PixelState
	power  []float64 // W from the rails, per pixel
}

// NewTrial returns a trial for a player.
func NewTrial(p *Player) *Trial {
	n := p.grid.Design.Pixels()
	return &Trial{p: p, before: make([]drive.PixelState, n), power: make([]float64, n)}
}

// Show is a frame with levels that would last duration seconds. Failing and FalseOn
// are valid until the player's or the trial's next call. The rails' worst instants
// and the temperatures after the frame are not computed. It does not allocate.
func (t *Trial) Show(levels []float64, duration float64) (Entry, error) {
	p := t.p
	e := Entry{Frame: p.frames, Start: p.time, Duration: duration}
	copy(t.before, p.pixels)
	defer copy(p.pixels, t.before)
	p.measure()
	if err := p.drive.FrameFor(p.pixels, levels, p.resistance, duration); err != nil {
		return e, err
	}
	for i := range p.pixels {
		s := &p.pixels[i]
		p.currents.Mean[i], t.power[i] = s.Average, s.Power
		e.SupplyPower += s.Power
		p.states[i] = p.grid.StateOf(levels[i])
	}
	if err := p.see(levels); err != nil {
		return e, err
	}
	p.judge(&e)
	e.Failing, e.FalseOn = p.failing, p.falseOn
	return e, nil
}

// Power is what each pixel drew from the rails in the last trial, W.
func (t *Trial) Power() []float64 { return t.power }
