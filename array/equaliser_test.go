package array

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/equalise"
)

// The equaliser's levels, played on the coils themselves, make the picture.
func TestEqualiserOnTheGrid(t *testing.T) {
	for name, changes := range map[string][]string{
		"plain": nil, "square": {"coil.shape=square"}, "hexagon": {"coil.shape=hexagon"}, "magnets": magnets,
		"sheet": {"magnet.kind=sheet", "magnet.length=2 mm"},
	} {
		g := testGrid(t, 2, append(changes, "grid.rows=4", "grid.cols=5")...)
		rng := rand.New(rand.NewPCG(1, 4))
		g.Gains = make([]float64, 20)
		target := make([]float64, 20)
		for k := range target {
			g.Gains[k] = 0.95 + 0.1*rng.Float64()
			target[k] = g.BiasAt(k/5, k%5).Z + g.OwnField(0.8*rng.Float64())
		}
		s, err := g.Equaliser(t.Context(), equalise.Axial, 0)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Solve(t.Context(), target, nil)
		if err != nil {
			t.Fatal(err)
		}
		currents := make([]float64, 20)
		for k, l := range r.Levels {
			currents[k] = l * g.Pixel.FullCurrent
		}
		for k := range target {
			if r.Levels[k] <= -1 || r.Levels[k] >= 1 {
				continue
			}
			if b := direct(g, currents, g.Center(k/5, k%5)); math.Abs(b.Z-target[k]) > 1e-4*g.OwnField(1) {
				t.Errorf("%s: pixel %d has %g T, asked for %g", name, k, b.Z, target[k])
			}
		}
		if r.AtLow+r.AtHigh > 3 || !r.Converged {
			t.Errorf("%s: %d levels at limits, converged %v", name, r.AtLow+r.AtHigh, r.Converged)
		}
	}
	g := testGrid(t, 2, append(magnets, "drive.bridge=low-side")...)
	for _, q := range []equalise.Quantity{equalise.Strength, equalise.Pressure} {
		s, err := g.Equaliser(t.Context(), q, 0)
		if err != nil {
			t.Fatal(err)
		}
		target := make([]float64, 12)
		for k := range target {
			target[k] = r3.Norm(g.BiasAt(k/4, k%4)) + g.OwnField(0.6)
			if q == equalise.Pressure {
				target[k] = g.Fluid.Axially().Pi(target[k])
			}
		}
		r, err := s.Solve(t.Context(), target, nil)
		if err != nil || r.Worst > 1e-4*target[0] {
			t.Errorf("%s: misses by %g of %g, %v", q, r.Worst, target[0], err)
		}
	}
	g.Gains = []float64{1}
	if _, err := g.Equaliser(t.Context(), equalise.Axial, 0); err == nil {
		t.Error("one gain for twelve pixels passes")
	}
	if _, err := testGrid(t, 1).Equaliser(t.Context(), "hue", 0); err == nil {
		t.Error("an unknown quantity passes")
	}
}
