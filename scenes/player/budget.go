package player

import (
	"errors"
	"math"

	"lodegrid/array/heat"
	"lodegrid/scenes"
)

// Budget says how far the drive may be turned up or must be turned up, each
// solved with the whole model, for a scene that loops.
type Budget struct {
	// HeatDuty is the largest duty at level 1 that keeps board and touchable
	// surfaces within the limits; 1 when none breaks them, 0 when even standing
	// still does.
	HeatDuty float64
	// SupplyDuty is the largest duty whose hungriest frame the supply on hand can
	// carry at its derating; 1 without a supply chosen.
	SupplyDuty float64
	// HoldDuty is the smallest duty at which every lit pixel of the least-holding
	// frame holds; +Inf when full duty is not enough.
	HoldDuty float64
}

// dutyTolerance is the width to which duties are solved.
const dutyTolerance = 1e-4

// Budget solves for the three duties, given the ledger of the scene at the
// design's own duty.
func (p *Player) Budget(s scenes.Scene, l *Ledger) (Budget, error) {
	b := Budget{HeatDuty: 1, SupplyDuty: 1, HoldDuty: 0}
	d := p.grid.Design
	var err error
	b.HeatDuty, err = p.largest(func(q *Player) (bool, error) {
		r, err := q.Warm(s)
		var runaway *heat.RunawayError
		if errors.As(err, &runaway) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		return r.Hottest <= d.Limits.Board && q.touchOf(r.Layers) <= d.Limits.Touch, nil
	})
	if err != nil {
		return b, err
	}
	z := l.Summary()
	if limit := d.Supply.Power * d.Supply.Derating * d.Limits.SupplyLoad; limit > 0 && len(s.Frames) > 0 {
		f := s.Frames[z.PeakFrame]
		b.SupplyDuty, err = p.largest(func(q *Player) (bool, error) {
			e, err := q.cold(f)
			return e.SupplyPower <= limit, err
		})
		if err != nil {
			return b, err
		}
	}
	if z.LeastHoldPixel >= 0 {
		f := s.Frames[z.LeastHoldFrame]
		weak, err := p.largest(func(q *Player) (bool, error) {
			e, err := q.warm(s, f)
			return e.LeastHold < d.Limits.Hold, err
		})
		if err != nil {
			return b, err
		}
		b.HoldDuty = weak + dutyTolerance
		if weak >= 1 {
			b.HoldDuty = math.Inf(1)
		}
	}
	return b, nil
}

// cold plays one frame from rest at ambient temperature.
func (p *Player) cold(f scenes.Frame) (Entry, error) {
	p.Reset()
	return p.Show(f)
}

// warm plays one frame of a scene that has been looping; from cold when no looped
// state exists.
func (p *Player) warm(s scenes.Scene, f scenes.Frame) (Entry, error) {
	_, err := p.Warm(s)
	var runaway *heat.RunawayError
	if errors.As(err, &runaway) {
		return p.cold(f)
	}
	if err != nil {
		return Entry{}, err
	}
	return p.Show(f)
}

// largest returns the largest duty in 0…1 for which ok holds, ok being true below it
// and false above: 1 when it always holds, 0 when it never does.
func (p *Player) largest(ok func(*Player) (bool, error)) (float64, error) {
	try := func(duty float64) (bool, error) {
		q, err := p.atDuty(duty)
		if err != nil {
			return false, err
		}
		return ok(q)
	}
	low, high := 0.0, 1.0
	good, err := try(high)
	if err != nil || good {
		return high, err
	}
	for high-low > dutyTolerance {
		mid := (low + high) / 2
		good, err := try(mid)
		if err != nil {
			return 0, err
		}
		if good {
			low = mid
		} else {
			high = mid
		}
	}
	return low, nil
}

// atDuty is a fresh player of the same display with another duty at level 1. The
// kernel per ampere is kept: steel that is driven into its bend by the coil alone
// would need a new one, which the report's steel note tells.
func (p *Player) atDuty(duty float64) (*Player, error) {
	g := *p.grid
	g.Design.Drive.MaxDuty = duty
	return New(&g)
}
