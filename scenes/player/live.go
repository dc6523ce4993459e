package player

import (
	"context"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Live steps a player by ticks that are short against the time levels stand, as a
// window does. It computes what Show does with three savings: the field is summed
// anew only when some current has moved by more than liveBand; the search for the
// supply's worst instant runs on the tick that changes the levels, on the one after it and then once a
// second, and stands in between; nothing is written to the ledger. It does not
// allocate.
type Live struct {
	p      *Player
	levels []float64          // of the tick before
	field  grid.Currents      // that the plane stands for
	known  bool               // there was a tick before
	saved  []drive.PixelState // as the last tick left them, while Look shows others
	looked bool
	sums   int     // times the plane was computed
	due    bool    // levels have changed since the rails were worked out
	age    float64 // s since then
	rails  Entry   // its supply currents and powers at their worst
}

// liveBand is the change of a pixel's current, as a share of the full current, that
// the field follows.
const liveBand = 1e-3

// lookTime is the frame that Look works the rails of mode kick out for, s.
const lookTime = 1.0 / 60

// railsAge is how long the rails' waveform stands while only temperatures move, s.
const railsAge = 1

// NewLive returns a stepper for a player.
func NewLive(p *Player) *Live {
	n := p.grid.Design.Pixels()
	return &Live{p: p, levels: make([]float64, n), field: p.grid.NewCurrents(), saved: make([]drive.PixelState, n)}
}

// Tick drives the pixels with levels for dt seconds. Failing and FalseOn of the
// entry are valid until the next call.
func (l *Live) Tick(levels []float64, dt float64) (Entry, error) {
	p := l.p
	e := Entry{Frame: p.frames, Start: p.time, Duration: dt}
	if l.looked {
		copy(p.pixels, l.saved)
		l.looked = false
	}
	p.measure()
	if err := l.supply(&e, levels); err != nil {
		return e, err
	}
	if err := p.begin(levels, dt); err != nil {
		return e, err
	}
	if err := p.power(context.Background(), &e, levels); err != nil {
		return e, err
	}
	p.tellHeat(&e)
	if err := l.see(levels); err != nil {
		return e, err
	}
	p.part(dt)
	p.judge(&e)
	e.Failing, e.FalseOn = p.failing, p.falseOn
	p.time += dt
	p.frames++
	return e, nil
}

// Look shows what levels would settle to at the present temperatures, without time
// going on: currents, field and hold. Failing and FalseOn of the entry are valid
// until the next call.
func (l *Live) Look(levels []float64) (Entry, error) {
	p := l.p
	e := Entry{Frame: p.frames, Start: p.time}
	if !l.looked {
		copy(l.saved, p.pixels)
		l.looked = true
	}
	p.measure()
	l.due = true
	p.kick.seconds = 0 // what levels settle to: no kick
	if err := l.supply(&e, levels); err != nil {
		return e, err
	}
	if err := p.drive.Steady(p.pixels, levels, p.resistance); err != nil {
		return e, err
	}
	for i := range p.pixels {
		s := &p.pixels[i]
		p.currents.Mean[i] = s.Average
		e.SupplyPower += s.Power
		e.SupplyCurrent += s.RailAverage + s.BoostAverage
		p.states[i] = p.grid.StateOf(levels[i])
	}
	e.Hottest, e.HottestPixel = p.net.HottestTurn()
	e.Behind = p.net.HottestSpots()
	e.Touch = p.net.Over(e.Behind)
	if err := l.see(levels); err != nil {
		return e, err
	}
	p.judge(&e)
	e.Failing, e.FalseOn = p.failing, p.falseOn
	return e, nil
}

// see brings field and hold up to the present currents and states.
func (l *Live) see(levels []float64) error {
	p := l.p
	moved := !l.known
	band := liveBand * p.grid.Pixel.FullCurrent
	for i, c := range p.currents.Mean {
		if d := math.Abs(c - l.field.Mean[i]); d > band || d > 0 && c == 0 {
			moved = true
			break
		}
	}
	if moved {
		copy(l.field.Mean, p.currents.Mean)
	}
	changed := !slices.Equal(levels, l.levels)
	kick := p.grid.Design.Drive.Mode == design.DriveKick
	switch {
	case kick && (moved || changed):
		if err := p.see(levels); err != nil {
			return err
		}
	case moved:
		p.grid.Follow(l.field, p.drive, levels, p.resistance, nil)
		p.grid.FieldInto(p.plane, l.field)
	}
	if moved {
		p.seen.valid = false
		l.sums++
	}
	if !kick && (changed || moved) {
		p.hold.Ratios(p.holds, p.plane, p.states)
	}
	l.due = l.due || changed
	copy(l.levels, levels)
	l.known = true
	return nil
}

// Sums counts how often the field was computed anew, for pictures that need not be
// drawn again while it stands.
func (l *Live) Sums() int { return l.sums }

// supply fills in the rails' worst instants. The kicks of mode kick end within a
// frame, so there they are worked out every tick.
func (l *Live) supply(e *Entry, levels []float64) error {
	p := l.p
	if l.known && !l.due && l.age < railsAge && slices.Equal(levels, l.levels) && p.grid.Design.Drive.Mode != design.DriveKick {
		l.age += e.Duration
	} else {
		l.rails = Entry{Duration: max(e.Duration, lookTime)}
		if err := p.rails(context.Background(), &l.rails, levels); err != nil {
			return err
		}
		l.age, l.due = 0, false
	}
	e.SupplyRMSCurrent, e.SupplyPeakCurrent, e.SupplyPeakPower = l.rails.SupplyRMSCurrent, l.rails.SupplyPeakCurrent, l.rails.SupplyPeakPower
	return nil
}

// Refill empties the tank and fills it as FillFor does.
func (b *Tank) Refill(s scenes.Scene) (float64, error) {
	b.tank.Clear()
	return b.FillFor(s)
}
