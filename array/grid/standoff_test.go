package grid

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

// standing is the demo on 4 × 3 pixels with changes.
func standing(t *testing.T, changes ...design.Change) *Grid {
	t.Helper()
	d, err := trial.Lit().With(append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "3"}, {Key: "iron.model", Value: "none"}}, changes...)...)
	if err != nil {
		t.Fatal(err)
	}
	g, err := New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// The stand-off of a single pixel with a magnet, against the dipole on its axis:
// B = µ0 m/(2π z³), so z = (µ0 m/(2π B))^⅓ with m of magnet and coil together.
func TestStandOffOfOnePixel(t *testing.T) {
	one := func(name, value string) design.Change { return design.Change{Key: name, Value: value} }
	g := standing(t, one("grid.cols", "1"), one("grid.rows", "1"), one("magnet.kind", "pixel"), one("magnet.diameter", "8 mm"),
		one("magnet.length", "5 mm"), one("magnet.remanence", "1.2 T"), one("magnet.depth", "0.5 mm"))
	const mu0 = 4e-7 * math.Pi
	// Remanence at the design's ambient, m = Br V/µ0.
	br := 1.2 * (1 + g.Design.Magnet.TempCoefficient*(g.Design.Heat.Ambient-293.15))
	m := br*math.Pi/4*8e-3*8e-3*5e-3/mu0 + math.Abs(g.Pixel.FullCurrent*g.Pixel.Coil.MagneticMoment())
	want := math.Cbrt(mu0 * m / (2 * math.Pi * 0.5e-3))
	got, near := g.StandOff(0.5e-3)
	if near || math.Abs(got-want) > 0.02*want {
		t.Errorf("stand-off %g m (near: %v), want %g m", got, near, want)
	}
	// Twelve such pixels side by side reach farther, but less far than if all stood in one.
	many := standing(t, one("magnet.kind", "pixel"), one("magnet.diameter", "8 mm"), one("magnet.length", "5 mm"), one("magnet.remanence", "1.2 T"), one("magnet.depth", "0.5 mm"))
	if far, _ := many.StandOff(0.5e-3); far <= got || far >= got*math.Cbrt(12) {
		t.Errorf("twelve pixels reach %g m, one %g m", far, got)
	}
	weak := standing(t, one("supply.voltage", "1 V"))
	if z, near := weak.StandOff(0.5e-3); z != 10e-3 || !near {
		t.Errorf("a weak display's stand-off is %g m, near: %v", z, near)
	}
}

// With a plane mirror of steel every dipole counts twice, so a single coil's field on
// its axis, µ0 2m/(2π z³), reaches ∛2 as far as without steel.
func TestStandOffBehindSteel(t *testing.T) {
	one := func(name, value string) design.Change { return design.Change{Key: name, Value: value} }
	single := []design.Change{one("grid.cols", "1"), one("grid.rows", "1"), one("supply.voltage", "400 V"), one("drive.max_duty", "100 %")}
	bare := standing(t, single...)
	steel := standing(t, append(single, one("iron.model", "image"))...)
	a, _ := bare.StandOff(0.5e-3)
	b, near := steel.StandOff(0.5e-3)
	if near || math.Abs(b/a-math.Cbrt(2)) > 0.02*math.Cbrt(2) {
		t.Errorf("with steel %g m, without %g m: a ratio of %g, want ∛2", b, a, b/a)
	}
	m := math.Abs(bare.Pixel.FullCurrent * bare.Pixel.Coil.MagneticMoment())
	if want := math.Cbrt(4e-7 * math.Pi * m / (2 * math.Pi * 0.5e-3)); math.Abs(a-want) > 0.02*want {
		t.Errorf("without steel %g m, want %g m", a, want)
	}
}
