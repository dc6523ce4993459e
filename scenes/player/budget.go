package player

import (
	"errors"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/scenes"
)

// Budget says how far the drive may be turned up or must be turned up, each
// solved with the whole model, for a scene that loops. What the supply allows is
// told by Sizing. In mode kick the duty of the hold goes with that of the kick, in
// the design's proportion.
type Budget struct {
	// HeatDuty is the largest duty at level 1 that keeps board and touchable
	// surfaces within the limits; 1 when none breaks them, 0 when even standing
	// still does.
	HeatDuty float64
	// HoldDuty is the smallest duty at which every lit pixel of the least-holding
	// frame holds; +Inf when full duty is not enough.
	HoldDuty float64
	// Frequency is the lowest usual PWM frequency that keeps the looped scene within
	// the limits of heat at the design's own duty, Hz; 0 when they are kept already or
	// no frequency helps.
	Frequency float64
}

// dutyTolerance is the width to which duties are solved.
const dutyTolerance = 1e-4

// Budget solves for both duties, given the ledger of the scene at the
// design's own duty. It leaves the player's temperatures and currents changed.
func (p *Player) Budget(s scenes.Scene, l *Ledger) (Budget, error) {
	b := Budget{HeatDuty: 1, HoldDuty: 0}
	d := p.grid.Design
	var err error
	b.HeatDuty, err = crossing(func(duty float64) (float64, error) {
		q, err := p.atDuty(duty)
		if err != nil {
			return 0, err
		}
		return q.overheat(s)
	}, d.Drive.MaxDuty, 1, dutyTolerance)
	if err != nil {
		return b, err
	}
	if b.HeatDuty < d.Drive.MaxDuty {
		if b.Frequency, err = p.coolingFrequency(s); err != nil {
			return b, err
		}
	}
	z := l.Summary()
	if z.LeastHoldPixel >= 0 {
		weak, err := crossing(func(duty float64) (float64, error) {
			q, err := p.atDuty(duty)
			if err != nil {
				return 0, err
			}
			e, err := q.warm(s, z.LeastHoldFrame)
			return times(e.LeastHold, d.Limits.Hold), err
		}, d.Drive.MaxDuty, 1, dutyTolerance)
		if err != nil {
			return b, err
		}
		b.HoldDuty = min(weak+dutyTolerance, 1)
		if weak >= 1 {
			b.HoldDuty = math.Inf(1)
		}
	}
	return b, nil
}

// overheat is the logarithm of how many times over its limit the rise over the ambient
// temperature is in a looping scene, of the board or of what can be touched; +Inf for a
// scene that runs away.
func (p *Player) overheat(s scenes.Scene) (float64, error) {
	d := p.grid.Design
	board, touch, err := p.loopPeaks(s)
	var runaway *heat.RunawayError
	if errors.As(err, &runaway) {
		return math.Inf(1), nil
	}
	air := d.Heat.Ambient
	return max(times(board-air, d.Limits.Board-air), times(touch-air, d.Limits.Touch-air)), err
}

// loopPeaks steps a looping scene once through, currents and heat only, and returns
// the highest temperatures of coils and of touchable surfaces, K.
func (p *Player) loopPeaks(s scenes.Scene) (board, touch float64, err error) {
	if _, err := p.Warm(s); err != nil {
		return 0, 0, err
	}
	for _, f := range s.Frames {
		e := Entry{Duration: f.Duration}
		p.measure()
		if err := p.power(&e, f.Levels); err != nil {
			return 0, 0, err
		}
		board, touch = max(board, e.Hottest), max(touch, e.Touch)
	}
	return board, touch, nil
}

// cold plays one frame from rest at ambient temperature.
func (p *Player) cold(f scenes.Frame) (Entry, error) {
	p.Reset()
	return p.Show(f)
}

// warm plays one frame in its place in a looping scene; from cold when no looped state
// exists. A kelvin changes the hold by half a per cent, so one loop settles it.
func (p *Player) warm(s scenes.Scene, frame int) (Entry, error) {
	r, err := p.average(s)
	if err == nil {
		err = p.settle(s, r.Layers, 1)
	}
	for _, f := range s.Frames[:frame] {
		if err != nil {
			break
		}
		p.measure()
		err = p.power(&Entry{Duration: f.Duration}, f.Levels)
	}
	var runaway *heat.RunawayError
	if errors.As(err, &runaway) {
		return p.cold(s.Frames[frame])
	}
	if err != nil {
		return Entry{}, err
	}
	return p.Show(s.Frames[frame])
}

// atDuty is a player of the same display with another duty at level 1, at rest.
func (p *Player) atDuty(duty float64) (*Player, error) {
	return p.changed(func(d *design.Design) {
		if d.Drive.Mode == design.DriveKick {
			d.Drive.HoldDuty = min(d.Drive.HoldDuty*duty/d.Drive.MaxDuty, 1)
		}
		d.Drive.MaxDuty = duty
	})
}
