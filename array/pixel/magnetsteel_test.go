package pixel

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

// onAxis is the magnets' field on the middle pixel's axis at the fluid, T, with their
// steel.
func onAxis(t *testing.T, changes ...string) float64 {
	t.Helper()
	d := trial.Design(t, changes...)
	at := r3.Vec{Z: d.Fluid.Height}
	if d.Magnet.Kind == design.MagnetSheet {
		s := NewSheet(d)
		return s.With.B(at).Z
	}
	p, err := New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	return p.MagnetField().B(at).Z
}

// Magnets behind a steel sheet reach the fluid much weaker than without it, magnets in
// front stronger; by the exact slab and by finite elements that do not know it.
func TestMagnetsBehindSteelAreScreened(t *testing.T) {
	for _, kind := range []string{"sheet", "pixel"} {
		place := func(depth string, more ...string) float64 {
			return onAxis(t, append([]string{"magnet.kind=" + kind, "magnet.diameter=4 mm", "magnet.length=1 mm", "magnet.depth=" + depth,
				"iron.gap=1.5 mm", "iron.thickness=3 mm"}, more...)...)
		}
		bare := place("4.5 mm", "iron.model=none")
		for _, model := range []string{"image", "slab", "fem"} {
			if through := place("4.5 mm", "iron.model="+model); !(through > 0 && through < 0.1*bare) {
				t.Errorf("%s behind 3 mm of steel, %s: %.3g mT, bare %.3g mT", kind, model, through*1e3, bare*1e3)
			}
			front, alone := place("0.3 mm", "iron.model="+model), place("0.3 mm", "iron.model=none")
			if ratio := front / alone; !(ratio > 1 && ratio < 4) {
				t.Errorf("%s in front of the steel, %s: × %.2f of the bare magnets", kind, model, ratio)
			}
		}
		slab, fem := place("4.5 mm", "iron.model=slab", "iron.mu_r=400"), place("4.5 mm", "iron.model=fem", "iron.mu_r=400")
		if kind == "pixel" && math.Abs(fem/slab-1) > 0.005 {
			t.Errorf("behind linear steel: finite elements %.4g mT, slab %.4g mT", fem*1e3, slab*1e3)
		}
		t.Logf("%s behind: bare %.3g mT, slab %.3g mT, low-carbon by elements %.3g mT", kind, bare*1e3, slab*1e3, place("4.5 mm", "iron.model=fem")*1e3)
	}
}

// With a core on a wide sheet the steel's field has no noise inside the board, far from
// the coil: along a line there it follows the field of a dipole on a mirror, whose
// moment is that of coil and core.
func TestFarFieldOfCoreOnWideSheet(t *testing.T) {
	d := trial.Design(t, "iron.model=auto", "iron.core_radius=0.9 mm", "iron.gap=0.3 mm", "iron.thickness=1 mm", "coil.turns=9")
	p, err := New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	f := p.CoilField()
	for _, z := range []float64{d.IronFront() + 0.1e-3, -1e-3, 1e-3} {
		before := 0.0
		for r := 25e-3; r < 80e-3; r += 0.9e-3 {
			// r³ Bz changes slowly with r where the field is smooth.
			scaled := r * r * r * f.B(r3.Vec{X: r, Z: z}).Z
			if !(scaled < 0) || before != 0 && math.Abs(scaled/before-1) > 0.03 {
				t.Errorf("at r = %.1f mm, z = %.1f mm: r³Bz %.4g T m³/A after %.4g a step before", r*1e3, z*1e3, scaled, before)
			}
			before = scaled
		}
	}
}
