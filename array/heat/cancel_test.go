package heat

import (
	"context"
	"math"
	"testing"

	"lodegrid/field/countdown"
)

func TestCancelled(t *testing.T) {
	volts := func(level, share float64) Load {
		return &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: level, Series: 0.15, Share: shares(64*64, share)}
	}
	uneven := edged(board(64, 64, 3))
	implicit := uneven
	implicit.Method = Implicit
	spec := PulseSpec{Load: func(share float64) Load { return volts(12, share) }, Start: uneven.Ambient, Limit: 380}
	for _, c := range []struct {
		name   string
		params Params
		most   int
		work   func(ctx context.Context, n *Network) error
	}{
		{"Steady", uneven, 25, func(ctx context.Context, n *Network) error { _, err := n.Steady(ctx, volts(1, 1)); return err }},
		{"Steady, uniform", board(64, 64, 3), 5, func(ctx context.Context, n *Network) error { _, err := n.Steady(ctx, volts(1, 1)); return err }},
		{"Step", uneven, 125, func(ctx context.Context, n *Network) error { return n.Step(ctx, 1e4, volts(1, 1)) }},
		{"Step, uniform", board(64, 64, 3), 5, func(ctx context.Context, n *Network) error { return n.Step(ctx, 1e4, volts(1, 1)) }},
		{"Step, implicit", implicit, 5, func(ctx context.Context, n *Network) error { return n.Step(ctx, 1, volts(1, 1)) }},
		{"Until", uneven, 25, func(ctx context.Context, n *Network) error {
			_, _, err := n.Until(ctx, volts(6, 1), 380, 1e5)
			return err
		}},
		{"Pulses", uneven, 625, func(ctx context.Context, n *Network) error { _, err := n.Pulses(ctx, spec); return err }},
		{"Highest", uneven, 125, func(ctx context.Context, n *Network) error {
			_, err := n.Highest(ctx, func(v float64) Load { return volts(v, 1) }, 0, 24, 380, 1e-3)
			return err
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			countdown.Stops(t, c.most, func(ctx context.Context) error { return c.work(ctx, mustNew(t, c.params)) })
		})
	}
}

func shares(n int, share float64) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = share
	}
	return s
}

// A step that is given up leaves temperatures that can be gone on from, and its energy
// booked.
func TestCancelledStep(t *testing.T) {
	n := mustNew(t, edged(board(8, 8, 3)))
	load := &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: 1, Series: 0.15}
	if err := n.Step(countdown.After(20), 1e4, load); err == nil {
		t.Fatal("not given up")
	}
	if err := n.Step(t.Context(), 1, load); err != nil {
		t.Fatal(err)
	}
	for l := range 3 {
		for i, v := range n.Temperatures(l) {
			if !(v >= n.Params().Ambient-1e-6) || math.IsInf(v, 0) {
				t.Fatalf("layer %d, node %d: %g K", l, i, v)
			}
		}
	}
	balanced(t, "after a step given up", n)
}

// A step that is given up between its parts leaves coils and board at one moment.
func TestCancelledStepKeepsCoilAndBoard(t *testing.T) {
	p := stiffBoard()
	load := &FixedPower{make([]float64, p.Rows*p.Cols)}
	load.Watts[7] = 2
	for looks := 2; looks < 40; looks += 3 {
		n := mustNew(t, p)
		if err := n.Step(countdown.After(looks), 1e3, load); err == nil {
			t.Fatalf("not given up after %d looks", looks)
		}
		// A stage that follows constant power for a time is told by that time; so is the
		// heat supplied.
		x := n.coil.state[len(n.coil.stages)-1][7]
		seconds := -n.coil.stages[len(n.coil.stages)-1].Time * math.Log1p(-x/2)
		if got := n.Balance().Supplied; math.Abs(got-2*seconds) > 1e-3*got+1e-9 {
			t.Errorf("after %d looks: %g J supplied, and a coil as after %g s", looks, got, seconds)
		}
	}
}
