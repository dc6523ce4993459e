package pixel

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
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
		d := trial.Design(t, changes...)
		p, err := New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		all := iron.NewSlab(p.Coil.Source(1.5e-3, 1e-6), d.IronFront(), d.Iron.Thickness, d.Iron.MuR)
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
		if worst > FilamentError*peak {
			t.Errorf("%s: the steel's field is off by %.1e of its peak, want %.0e", c.shape, worst/peak, FilamentError)
		}
	}
}

// The field without steel, as a check of the signs: steel behind the coil strengthens
// it in front, by a factor between 1 and 2 without a core.
func TestSteelStrengthens(t *testing.T) {
	for _, model := range []string{"image", "slab", "fem"} {
		p, err := New(t.Context(), trial.Design(t, "iron.model="+model), 2e-3)
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

// Model by model: a wide thick sheet gives all three alike; a disc of the coil's size
// with a core makes the plain image too strong far off and too weak near by, as much as
// the independent finite elements say (testdata/iron/README.md).
func TestCompareIron(t *testing.T) {
	compare := func(changes ...string) IronComparison {
		t.Helper()
		d := trial.Design(t, append(changes, "iron.model=auto")...)
		p, err := New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		c, err := CompareIron(t.Context(), d, p, []float64{1e-3, 2e-3, 4e-3, 6e-3})
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Models) != 4 || c.Models[3] != design.IronFEM {
			t.Fatalf("models %v", c.Models)
		}
		return c
	}
	wide := compare("iron.thickness=5 mm")
	for k := range wide.Heights {
		for m := 1; m < 3; m++ {
			if d := wide.Axial[m][k]/wide.Axial[3][k] - 1; math.Abs(d) > 0.01 {
				t.Errorf("wide thick sheet at %g mm: %s differs from the finite elements by %.2f %%", wide.Heights[k]*1e3, wide.Models[m], d*100)
			}
		}
	}
	disc := compare("iron.thickness=1 mm", "iron.radius=5 mm")
	if d := disc.Axial[1][3]/disc.Axial[3][3] - 1; d < 0.05 || d > 0.35 {
		t.Errorf("disc at 6 mm: the image is %+.1f %% off, expected 5 to 35 %% too strong", d*100)
	}
	core := compare("iron.thickness=1 mm", "iron.radius=5 mm", "iron.core_radius=1 mm")
	if d := core.Axial[1][0]/core.Axial[3][0] - 1; d > -0.25 || d < -0.6 {
		t.Errorf("core at 1 mm: the image is %+.1f %% off, expected 25 to 60 %% too weak", d*100)
	}
	if _, err := CompareIron(t.Context(), trial.Design(t), Pixel{}, []float64{1e-3}); err == nil {
		t.Error("a design without steel is compared")
	}
}
