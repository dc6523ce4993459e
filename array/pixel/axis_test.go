package pixel_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The parts of the field on the axis add up, and the gain is that of the coil alone.
func TestAxis(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "iron.model=slab", "iron.gap=2 mm", "magnet.kind=pixel", "magnet.length=1 mm")
	for _, f := range g.Pixel.Axis(0.5e-3, 2e-3, 10e-3) {
		at := r3.Vec{Z: f.Height}
		near := g.Pixel.From(0.5e-3)
		if trial.Off(f.Alone, near.Air.B(at).Z*g.Pixel.FullCurrent) > 1e-12 || trial.Off(f.Coil, f.Gain*f.Alone) > 1e-12 || trial.Off(f.Magnet, g.Pixel.MagnetField().B(at).Z) > 1e-12 ||
			math.Abs(f.Total-f.Coil-f.Magnet) > 1e-15 || f.Gain <= 1.05 || f.Magnet == 0 || trial.Off(f.Total, near.Lit(g.Pixel.FullCurrent).B(at).Z) > 1e-12 {
			t.Errorf("%+v", f)
		}
	}
	plain := trial.Build(t, grid.New, 4).Pixel.Axis(2e-3)[0]
	if plain.Gain != 1 || plain.Magnet != 0 || plain.Total != plain.Alone {
		t.Errorf("without steel and magnet: %+v", plain)
	}
}

// The plain mirror image stands for a wide thick plate and for nothing else.
func TestImageInductance(t *testing.T) {
	plate := trial.Build(t, grid.New, 4, "iron.model=image", "iron.thickness=20 mm")
	l, unfair := plate.Pixel.ImageInductance(plate.Design)
	steel, _, err := plate.Pixel.Inductance(t.Context(), plate.Design)
	if err != nil || unfair != "" || trial.Off(l, steel) > 1e-12 || !(l > plate.Pixel.Coil.Inductance()) {
		t.Errorf("a thick plate: %g H (%q, %v), by its model %g H", l, unfair, err, steel)
	}
	for _, c := range []string{"iron.core_radius=0.5 mm", "iron.radius=5 mm", "iron.thickness=0.05 mm"} {
		d := trial.Design(t, "iron.model=image", "iron.thickness=20 mm", c)
		p := plate.Pixel
		if l, unfair := p.ImageInductance(d); unfair == "" || l != 0 {
			t.Errorf("%s: %g H, %q", c, l, unfair)
		}
	}
}

// Austenitic sheet is told from steel, with what a tenth of a millimetre of steel would
// gain in its place.
func TestUnmagnetic(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "iron.model=slab", "iron.steel=austenitic-stainless")
	muR, instead, is := g.Pixel.Unmagnetic(g.Design)
	want := g.Pixel.SheetGain(g.Design, 0.1e-3, 700, g.Design.Fluid.Height)
	if !is || muR > 1.1 || trial.Off(instead, want) > 1e-12 || !(instead > 1.1) {
		t.Errorf("austenitic: µr %g, %g × instead (%g), %v", muR, instead, want, is)
	}
	if _, _, is := trial.Build(t, grid.New, 4, "iron.model=slab").Pixel.Unmagnetic(trial.Design(t, "iron.model=slab")); is {
		t.Error("low-carbon steel passes for austenitic")
	}
}
