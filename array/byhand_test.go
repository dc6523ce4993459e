package array

import (
	"math"
	"testing"
)

// In steel far from saturation the magnet changes nothing about what the coil's current
// adds, so the inductance is the one without the magnet: the solution carries both, and
// the magnet's own linkage has to be taken off. A remanence of 50 mT leaves the steel
// where its curve is straight. The magnet's linkage added instead would be told.
func TestInductanceBesideAMagnet(t *testing.T) {
	of := func(changes ...string) float64 {
		t.Helper()
		d := testDesign(t, append([]string{"iron.model=fem", "iron.thickness=1 mm", "iron.gap=1.5 mm", "supply.voltage=3 V"}, changes...)...)
		p, err := NewPixel(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		l, _, err := p.Inductance(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		if p.Magnet != nil {
			near := p.Coil.Source(p.Coil.Spec().Outer/8, filamentError)
			if share := math.Abs(p.Iron.BiasSolution.Linkage(near)) / p.Iron.current / l; share < 0.02 {
				t.Fatalf("the magnet's linkage is %.2g of the inductance: nothing is tested", share)
			}
		}
		return l
	}
	without := of()
	with := of("magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=1 mm", "magnet.depth=0.2 mm", "magnet.remanence=50 mT")
	if off(with, without) > 0.01 {
		t.Errorf("%.5g µH beside a magnet, %.5g µH without", with*1e6, without*1e6)
	}
}

// The least pitch is the widest thing on the board: coils of 9 mm with a gap of 5 mil,
// drops of 7 mm, discs of 4.9 mm radius (9.8 mm across), magnets of 9.5 mm.
func TestPitchFloorByHand(t *testing.T) {
	for _, c := range []struct {
		want    float64
		changes []string
	}{
		{9.127e-3, nil},
		{9.8e-3, []string{"iron.model=fem", "iron.radius=4.9 mm"}},
		{9.5e-3, []string{"magnet.kind=pixel", "magnet.diameter=9.5 mm"}},
		{9.4e-3, []string{"fluid.drop_diameter=9.4 mm"}},
	} {
		if got := pitchFloor(testDesign(t, c.changes...)); off(got, c.want) > 1e-9 {
			t.Errorf("%v: %.5g mm, by hand %.5g mm", c.changes, got*1e3, c.want*1e3)
		}
	}
}

// Nine magnets as dipoles. A dipole's axial field a distance r aside and z above is
// k (2z² − r²)/(z² + r²)^2.5; farther aside than √2 z it is negative, so the pixel in the
// middle, with eight neighbours, has less bias than the outermost. Per pixel, r in
// pitches: the middle has 4 at 1 and 4 at √2; a side's 3 at 1, 2 at √2, 1 at 2, 2 at √5;
// a corner 2 at 1, 1 at √2, 2 at 2, 2 at √5, 1 at √8.
func TestEdgeRatioByHand(t *testing.T) {
	g := testGrid(t, 4, "grid.cols=3", "grid.rows=3", "magnet.kind=pixel", "magnet.diameter=1 mm", "magnet.length=1 mm")
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
	if off(s.EdgeRatio, want) > 0.01 || want < 1.02 {
		t.Errorf("the outermost have %.4f of the inner bias, by hand %.4f", s.EdgeRatio, want)
	}
}
