package array

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/coil"
	"lodegrid/field/iron"
)

// The slab's deep images are made of few turns: in front of the board the field is
// still that of all turns, within the filaments' error, for every shape.
func TestSlabOfFewTurns(t *testing.T) {
	for _, c := range []struct {
		shape coil.Shape
		mu    string
	}{{coil.Round, "700"}, {coil.Square, "100"}, {coil.RoundedSquare, "700"}, {coil.Hexagon, "4000"}} {
		changes := []string{"coil.shape=" + string(c.shape), "iron.model=slab", "iron.thickness=0.5 mm", "iron.mu_r=" + c.mu}
		if c.shape == coil.RoundedSquare {
			changes = append(changes, "coil.corner_radius=2 mm")
		}
		d := testDesign(t, changes...)
		p, err := NewPixel(d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		all, err := iron.NewSlab(p.Coil.Source(1.5e-3, 1e-6), d.IronFront(), d.Iron.Thickness, d.Iron.MuR)
		if err != nil {
			t.Fatal(err)
		}
		peak, worst := 0.0, 0.0
		for _, z := range []float64{0.1e-3, 1e-3, 5e-3} {
			for _, r := range []float64{0, 4.5e-3, 30e-3} {
				at := r3.Vec{X: r * math.Cos(0.3), Y: r * math.Sin(0.3), Z: z}
				want := all.B(at)
				peak = max(peak, r3.Norm(want))
				worst = max(worst, r3.Norm(r3.Sub(p.Iron.coil.B(at), want)))
			}
		}
		t.Logf("%s, µr %s: %.1e of the steel's largest field", c.shape, c.mu, worst/peak)
		if worst > filamentError*peak {
			t.Errorf("%s: the steel's field is off by %.1e of its peak, want %.0e", c.shape, worst/peak, filamentError)
		}
	}
}

// The field without steel, as a check of the signs: steel behind the coil strengthens
// it in front, by a factor between 1 and 2 without a core.
func TestSteelStrengthens(t *testing.T) {
	for _, model := range []string{"image", "slab", "fem"} {
		p, err := NewPixel(testDesign(t, "iron.model="+model), 2e-3)
		if err != nil {
			t.Fatal(err)
		}
		at := r3.Vec{Z: 2e-3}
		gain := p.CoilField().B(at).Z / p.Air.B(at).Z
		if !(gain > 1.2 && gain < 2) {
			t.Errorf("%s: gain %.3f", model, gain)
		}
	}
}
