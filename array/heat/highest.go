package heat

import (
	"context"
	"errors"

	"lodegrid/field/root"
)

// Highest is the result of Network.Highest.
type Highest struct {
	Level float64 // the highest level found that the board stands
	// Bounded is false if even the top of the range is stood; Level is then the top.
	Bounded bool
	// Runaway is true if above Level no steady state exists, false if one does but
	// passes the limit.
	Runaway bool
}

// Highest returns the highest level of a load (volts, amperes, duty) within
// lo … hi whose steady state exists and keeps every node at or below limit, in
// kelvin; with limit = +Inf only existence counts (far above Ceiling the loss of
// a face goes on along its last tabulated slope, so that answer means something
// only for constant film coefficients). family returns the load of a
// level; heat must not fall with it. The level is found by bisection to within
// tolerance, every steady state starting from that of a lower level.
//
// Use a 1 × 1 network, or the load of one pixel, for a pixel alone, and a load
// with all pixels on for the grid.
func (n *Network) Highest(ctx context.Context, family func(level float64) Load, lo, hi, limit, tolerance float64) (Highest, error) {
	if !(limit > n.p.Ambient) {
		return Highest{}, params.Refuse("limit", limit, "", "a temperature above Ambient in kelvin, or +Inf")
	}
	w := newNewton(n)
	kept := make([]float64, n.nodes)
	var out Highest
	try := func(level float64) (bool, error) {
		load := family(level)
		copy(w.rise, kept)
		err := w.run(ctx, load, limit)
		var r *RunawayError
		if errors.As(err, &r) {
			out.Bounded, out.Runaway = true, r.Temperature == 0
			return false, nil
		}
		copy(kept, w.rise)
		out.Level = level
		return err == nil, err
	}
	if ok, err := try(lo); err != nil {
		return Highest{}, err
	} else if !ok {
		return out, params.Refuse("lo", lo, "", "a level that the board stands; it does not stand this one")
	}
	if ok, err := try(hi); err != nil || ok {
		return out, err
	}
	_, _, err := root.Edge(ctx, try, lo, hi, tolerance)
	return out, err
}
