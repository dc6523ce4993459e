package equalise

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The equaliser's levels, played on the coils themselves, make the picture.
func TestEqualiserOnTheGrid(t *testing.T) {
	for name, changes := range map[string][]string{
		"plain": nil, "square": {"coil.shape=square"}, "hexagon": {"coil.shape=hexagon"}, "magnets": trial.Magnets,
		"sheet": {"magnet.kind=sheet", "magnet.length=2 mm"},
	} {
		g := trial.Build(t, grid.New, 2, append(changes, "grid.rows=4", "grid.cols=5")...)
		rng := rand.New(rand.NewPCG(1, 4))
		target := make([]float64, 20)
		for k := range target {
			target[k] = g.BiasAt(k/5, k%5).Z + OwnField(g, 0.8*rng.Float64())
		}
		s, err := OnGrid(t.Context(), g)
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
			bz := g.BiasAt(k/5, k%5).Z
			for from, i := range currents {
				bz += g.Pixel.Iron.Effective(i) * g.Pixel.CoilField().B(r3.Sub(g.Center(k/5, k%5), g.Design.PixelCenter(from/5, from%5))).Z
			}
			if math.Abs(bz-target[k]) > 1e-4*OwnField(g, 1) {
				t.Errorf("%s: pixel %d has %g T, asked for %g", name, k, bz, target[k])
			}
		}
		if r.AtLow+r.AtHigh > 3 || !r.Converged {
			t.Errorf("%s: %d levels at limits, converged %v", name, r.AtLow+r.AtHigh, r.Converged)
		}
	}
}

// A bridge that turns the current round meets a picture of the other sign; any other stays dark.
func TestBridgeBoundsLevels(t *testing.T) {
	for bridge, want := range map[string]float64{"h-bridge": -0.3, "low-side": 0} {
		g := trial.Build(t, grid.New, 2, "grid.rows=1", "grid.cols=1", "drive.bridge="+bridge)
		s, err := OnGrid(t.Context(), g)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Solve(t.Context(), []float64{-0.3 * OwnField(g, 1)}, nil)
		if err != nil || math.Abs(r.Levels[0]-want) > 1e-3 {
			t.Errorf("%s: level %v, want %g (%v)", bridge, r.Levels, want, err)
		}
	}
}
