package grid

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
)

// Nine magnets as dipoles. A dipole's axial field a distance r aside and z above is
// k (2z² − r²)/(z² + r²)^2.5; farther aside than √2 z it is negative, so the pixel in the
// middle, with eight neighbours, has less bias than the outermost. Per pixel, r in
// pitches: the middle has 4 at 1 and 4 at √2; a side's 3 at 1, 2 at √2, 1 at 2, 2 at √5;
// a corner 2 at 1, 1 at √2, 2 at 2, 2 at √5, 1 at √8.
func TestEdgeRatioByHand(t *testing.T) {
	g := trial.Build(t, New, 4, "grid.cols=3", "grid.rows=3", "magnet.kind=pixel", "magnet.diameter=1 mm", "magnet.length=1 mm")
	z, pitch := g.Design.Fluid.Height-g.Design.MagnetCenter(), 10e-3
	at := func(r float64) float64 {
		r *= pitch
		return (2*z*z - r*r) / math.Pow(z*z+r*r, 2.5)
	}
	own, r2, r5, r8 := at(0), math.Sqrt2, math.Sqrt(5), math.Sqrt(8)
	middle := own + 4*at(1) + 4*at(r2)
	side := own + 3*at(1) + 2*at(r2) + at(2) + 2*at(r5)
	corner := own + 2*at(1) + at(r2) + 2*at(2) + 2*at(r5) + at(r8)
	want := (side + corner) / 2 / middle
	s, err := g.BiasSpread(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if trial.Off(s.EdgeRatio, want) > 0.01 || want < 1.02 {
		t.Errorf("the outermost have %.4f of the inner bias, by hand %.4f", s.EdgeRatio, want)
	}
}

// A pixel at the edge has fewer magnets round it; without any the spread is nothing.
func TestBiasSpread(t *testing.T) {
	for name, changes := range map[string][]string{
		"per pixel": {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm", "grid.cols=7", "grid.rows=5"},
		"sheet":     {"magnet.kind=sheet", "magnet.length=2 mm", "grid.cols=7", "grid.rows=5"},
	} {
		g := trial.Build(t, New, 2, changes...)
		s, err := g.BiasSpread(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for k, b := range s.At {
			if want := g.BiasAt(k/7, k%7); r3.Norm(r3.Sub(b, want)) > 1e-9*r3.Norm(want) {
				t.Errorf("%s: pixel %d has %v, BiasAt says %v", name, k, b, want)
			}
			if b.Z < s.Least || b.Z > s.Most {
				t.Errorf("%s: pixel %d outside %g…%g", name, k, s.Least, s.Most)
			}
		}
		t.Logf("%s: middle %.3g mT, side %.3g, corner %.3g; edge over inner %.3f, tilt %.1f°", name, s.Center.Z*1e3, s.Side.Z*1e3, s.Corner.Z*1e3, s.EdgeRatio, s.Tilt*180/math.Pi)
		if s.Center != s.At[2*7+3] || s.Corner != s.At[0] || math.Abs(s.Center.X)+math.Abs(s.Center.Y) > 1e-9*math.Abs(s.Center.Z) || s.EdgeRatio == 1 || !(s.Tilt > 0) {
			t.Errorf("%s: %+v", name, s)
		}
	}
	none, err := trial.Build(t, New, 1).BiasSpread(t.Context())
	if err != nil || none.Mean != 0 || none.Tilt != 0 {
		t.Errorf("without magnets %+v, %v", none, err)
	}
}
