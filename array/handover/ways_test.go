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
			got, err := ways.Pass(t.Context(), from, to, Left{Level: g.FullLevel()}, g.FullLevel())
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
		if mirrored, err := ways.Pass(t.Context(), to+1, to, Left{Level: g.FullLevel()}, g.FullLevel()); err != nil || mirrored != ways.known[wayKey{newEdgeKey(g, &Edge{From: to + 1, To: to, Right: -1}), g.FullLevel(), g.FullLevel(), 0}] || len(ways.known) != cases {
			t.Errorf("the mirrored side: %+v, %v, %d cases computed of %d", mirrored, err, len(ways.known), cases)
		}
		func() {
			defer func() {
				if recover() == nil {
					t.Error("no neighbours, yet they pass")
				}
			}()
			_, _ = ways.Pass(t.Context(), to, to+2, Left{Level: 1}, 1)
		}()
	}
}

// A drop hangs beneath a pixel at half level where one of four times the weight does beneath one at full
// level, half the current pulling a quarter; and so low it may not be fetched from beside any more.
func TestWaysBeginWhereTheDropHangs(t *testing.T) {
	of := func(density string) *grid.Grid {
		return trial.Build(t, grid.New, 8, "grid.cols=4", "grid.rows=2", "drive.bridge=h-bridge", "fluid.contact_line=0 mN/m", "fluid.relaxation=1 h", "fluid.density_difference="+density)
	}
	light, heavy := newMover(of("4 kg/m3")), newMover(of("16 kg/m3"))
	axis := light.grid.Design.PixelCenter(0, 1).Y
	half, four, full := light.rest(1, 0.5), heavy.rest(1, 1), light.rest(1, 1)
	if !half.held || !four.held || !full.held || trial.Off(axis-half.y, axis-four.y) > 0.02 || axis-half.y < 2*(axis-full.y) {
		t.Errorf("hanging %g m at half level, %g m of four times the weight, %g m at full level", axis-half.y, axis-four.y, axis-full.y)
	}
	fetched := func(was, dark float64, density string) Ending {
		p, err := NewWays(of(density), Switch).Pass(t.Context(), 1, 2, Left{was, dark}, 1)
		if err != nil {
			t.Fatal(err)
		}
		return p.End
	}
	for density, want := range map[string]Ending{"33 kg/m3": Arrived, "36 kg/m3": Lost} {
		if fullEnd, end := fetched(1, 0, density), fetched(0.5, 0, density); fullEnd != Arrived || end != want {
			t.Errorf("%s: from full level it %s, from half %s, want %s", density, fullEnd, end, want)
		}
	}
	// However low it begins, it is lost 1.2 pitches beneath the pixels.
	c, pitch := light.transfer(newEdge(light.grid, 1, 2), 1, 1), light.grid.Design.Grid.Pitch
	c.a.y -= 1.1 * pitch
	if c.beyond(c.a.x, axis-1.19*pitch, 0) || !c.beyond(c.a.x, axis-1.21*pitch, 0) {
		t.Error("a drop that has fallen is followed beyond what is known")
	}
	// In the dark it falls at the speed of a drop without field, farther than 1.2 pitches to nowhere.
	g := of("33 kg/m3")
	table, err := All(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	far := 1.2 * g.Design.Grid.Pitch / table.Terminal.Value
	for dark, want := range map[float64]Ending{0: Arrived, 0.2 * far: Lost, 0.99 * far: Lost, 1.01 * far: Gone} {
		if end := fetched(1, dark, "33 kg/m3"); end != want {
			t.Errorf("after %g s in the dark it %s, want %s", dark, end, want)
		}
	}
	if fallen, low := fetched(1, far/24, "16 kg/m3"), fetched(1, 0, "16 kg/m3"); fallen != Arrived || low != Arrived {
		t.Errorf("a twentieth of a pitch lower it %s, else %s", fallen, low)
	}
}
