package pixel

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
)

// In steel far from saturation the magnet changes nothing about what the coil's current
// adds, so the inductance is the one without the magnet: the solution carries both, and
// the magnet's own linkage has to be taken off. A remanence of 50 mT leaves the steel
// where its curve is straight. The magnet's linkage added instead would be told.
func TestInductanceBesideAMagnet(t *testing.T) {
	of := func(changes ...string) float64 {
		t.Helper()
		d := trial.Design(t, append([]string{"iron.model=fem", "iron.thickness=1 mm", "iron.gap=1.5 mm", "supply.voltage=3 V"}, changes...)...)
		p, err := New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		l, _, err := p.Inductance(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		if p.Magnet != nil {
			near := p.Coil.Source(p.Coil.Spec().Outer/8, FilamentError)
			if share := math.Abs(p.Iron.BiasSolution.Linkage(near)) / p.Iron.current / l; share < 0.02 {
				t.Fatalf("the magnet's linkage is %.2g of the inductance: nothing is tested", share)
			}
		}
		return l
	}
	without := of()
	with := of("magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=1 mm", "magnet.depth=0.2 mm", "magnet.remanence=50 mT")
	if trial.Off(with, without) > 0.01 {
		t.Errorf("%.5g µH beside a magnet, %.5g µH without", with*1e6, without*1e6)
	}
}
