package pixel

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/field/coil"
)

// The three models of the steel give one inductance where all of them hold, a wide
// thick sheet, and the sheet's thickness and the core change it the way they must.
func TestInductanceWithSteel(t *testing.T) {
	inductance := func(changes ...string) (with, air float64) {
		t.Helper()
		d := trial.Design(t, changes...)
		p, err := New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		l, how, err := p.Inductance(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%v: %.4g µH, %.4g µH in air (%s)", changes, l*1e6, p.Coil.Inductance()*1e6, how)
		return l, p.Coil.Inductance()
	}
	wide := []string{"iron.thickness=6 mm", "iron.mu_r=2000"}
	image, air := inductance(append(wide, "iron.model=image")...)
	slab, _ := inductance(append(wide, "iron.model=slab")...)
	fem, _ := inductance(append(wide, "iron.model=fem")...)
	for name, l := range map[string]float64{"slab": slab, "fem": fem} {
		if math.Abs(l-image) > 0.005*(image-air) {
			t.Errorf("%s: the steel adds %.4g µH, the image %.4g µH", name, (l-air)*1e6, (image-air)*1e6)
		}
	}
	thin, _ := inductance("iron.thickness=0.05 mm", "iron.mu_r=100", "iron.model=slab")
	thinFEM, _ := inductance("iron.thickness=0.05 mm", "iron.mu_r=100", "iron.model=fem")
	if !(thin > air && thin < slab) || math.Abs(thin-thinFEM) > steelAdds*(thin-air) {
		t.Errorf("thin sheet: %g H by the slab, %g H by finite elements; %g H in air, %g H on a thick one", thin, thinFEM, air, slab)
	}
	core, _ := inductance("iron.model=fem", "iron.radius=5 mm", "iron.core_radius=1 mm")
	if core <= air {
		t.Errorf("a core lowers the inductance to %g H from %g H", core, air)
	}
	square, squareAir := inductance("iron.model=slab", "coil.shape=square")
	if !(square > squareAir && square < 2*squareAir) {
		t.Errorf("square: %g H, %g H in air", square, squareAir)
	}
}

// What the model may be wrong by is that of closed turns in air, and that of what steel adds
// for its part.
func TestInductanceError(t *testing.T) {
	d := trial.Design(t)
	p, err := New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	air := p.Coil.Inductance()
	for factor, want := range map[float64]float64{1: coil.ClosedTurns, 2: (coil.ClosedTurns + steelAdds) / 2, 0.5: 2*coil.ClosedTurns + steelAdds} {
		if got := p.InductanceError(factor * air); math.Abs(got-want) > 1e-12 {
			t.Errorf("%g times that in air: %g, want %g", factor, got, want)
		}
	}
}
