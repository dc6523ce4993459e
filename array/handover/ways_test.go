package handover

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// What is pulled less than reckoned passes as one that has so much more to overcome in liquids so
// much thicker, and sides alike are computed once.
func TestWaysPullLess(t *testing.T) {
	for _, scheme := range []Scheme{Switch, Kick} {
		g, d := trial.Build(t, grid.New, 8), trial.Build(t, grid.New, 8).Design
		d.Fluid.DensityDifference /= 1 - PullError
		d.Fluid.ContactLine /= 1 - PullError
		d.Fluid.Viscosity /= 1 - PullError
		d.Fluid.CarrierViscosity /= 1 - PullError
		d.Fluid.Density /= 1 - PullError // it takes up speed in the same time
		heavier, err := grid.New(t.Context(), d, 0)
		if err != nil {
			t.Fatal(err)
		}
		ways := NewWays(g, scheme)
		to := g.Design.Pixel(1, 1)
		for _, from := range []int{to - 1, to - g.Design.Grid.Cols, to + g.Design.Grid.Cols} {
			got, err := ways.Pass(t.Context(), from, to, g.FullLevel())
			if err != nil {
				t.Fatal(err)
			}
			want, err := One(t.Context(), heavier, from, to, scheme)
			if err != nil {
				t.Fatal(err)
			}
			own, err := One(t.Context(), g, from, to, scheme)
			if err != nil {
				t.Fatal(err)
			}
			alike := func(a, b float64) bool { return a == b || math.Abs(a/b-1) < 1e-9 }
			same := alike(got.Ratio, want.Ratio) && alike(got.Time, want.Time)
			if got.End != want.End || !same || !(got.Ratio < own.Ratio) && !math.IsInf(own.Ratio, 1) {
				t.Errorf("%v, %d to %d: %+v, want %+v, below %g", scheme, from, to, got, want, own.Ratio)
			}
		}
		cases := len(ways.known)
		if mirrored, err := ways.Pass(t.Context(), to+1, to, g.FullLevel()); err != nil || mirrored != ways.known[wayKey{newEdgeKey(g, &Edge{From: to + 1, To: to, Right: -1}), g.FullLevel()}] || len(ways.known) != cases {
			t.Errorf("the mirrored side: %+v, %v, %d cases computed of %d", mirrored, err, len(ways.known), cases)
		}
		func() {
			defer func() {
				if recover() == nil {
					t.Error("no neighbours, yet they pass")
				}
			}()
			_, _ = ways.Pass(t.Context(), to, to+2, 1)
		}()
	}
}
