package player

import (
	"errors"
	"math"

	"lodegrid/array"
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
}

// dutyTolerance is the width to which duties are solved.
const dutyTolerance = 1e-4

// Budget solves for both duties, given the ledger of the scene at the
// design's own duty. It leaves the player's temperatures and currents changed.
func (p *Player) Budget(s scenes.Scene, l *Ledger) (Budget, error) {
	b := Budget{HeatDuty: 1, HoldDuty: 0}
	d := p.grid.Design
	var err error
	b.HeatDuty, err = p.largest(func(q *Player) (float64, error) {
		board, touch, err := q.loopPeaks(s)
		var runaway *heat.RunawayError
		if errors.As(err, &runaway) {
			return -1, nil
		}
		return min(d.Limits.Board-board, d.Limits.Touch-touch) / 100, err
	})
	if err != nil {
		return b, err
	}
	z := l.Summary()
	if z.LeastHoldPixel >= 0 {
		f := s.Frames[z.LeastHoldFrame]
		weak, err := p.largest(func(q *Player) (float64, error) {
			e, err := q.warm(s, f)
			return 1 - e.LeastHold/d.Limits.Hold, err
		})
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

// largest returns the largest duty in 0…1 at which a margin is not negative: 1 when
// it never is, 0 when it always is. The margin falls with the duty and crosses zero
// once; the crossing is closed in by the Illinois form of false position (M. Dowell
// and P. Jarratt, BIT 11 (1971) 168; from memory), with a bisection where that
// stalls, to dutyTolerance on the safe side.
func (p *Player) largest(margin func(*Player) (float64, error)) (float64, error) {
	at := func(duty float64) (float64, error) {
		q, err := p.atDuty(duty)
		if err != nil {
			return 0, err
		}
		return margin(q)
	}
	low, high := 0.0, 1.0
	fhigh, err := at(high)
	if err != nil || fhigh >= 0 {
		return high, err
	}
	flow, err := at(low)
	if err != nil || flow < 0 {
		return low, err
	}
	side := 0
	for n := 0; high-low > dutyTolerance; n++ {
		mid := (low*fhigh - high*flow) / (fhigh - flow)
		if n%4 == 3 || !(mid > low && mid < high) {
			mid = (low + high) / 2
		}
		// A little past the estimate on the wider side, so that both ends close in.
		if step := dutyTolerance / 2; mid-low < high-mid {
			mid = min(mid+step, (low+high)/2)
		} else {
			mid = max(mid-step, (low+high)/2)
		}
		f, err := at(mid)
		if err != nil {
			return 0, err
		}
		if f >= 0 {
			low, flow = mid, f
			if side == 1 {
				fhigh /= 2
			}
			side = 1
		} else {
			high, fhigh = mid, f
			if side == -1 {
				flow /= 2
			}
			side = -1
		}
	}
	return low, nil
}

// atDuty is a player of the same display with another duty at level 1, at rest. It
// shares this player's scratch and heat network, whose state it overwrites. The
// kernel per ampere is kept: steel that is driven into its bend by the coil alone
// would need a new one, which the report's steel note tells.
func (p *Player) atDuty(duty float64) (*Player, error) {
	g, q := *p.grid, *p
	if d := &g.Design.Drive; d.Mode == design.DriveKick {
		d.HoldDuty = min(d.HoldDuty*duty/d.MaxDuty, 1)
	}
	g.Design.Drive.MaxDuty = duty
	q.grid = &g
	var err error
	if q.drive, err = Drive(&g, p.drive.Params().FrameTime); err != nil {
		return nil, err
	}
	q.meter = q.drive.NewMeter()
	q.hold = array.NewHold(&g)
	q.Reset()
	return &q, nil
}
