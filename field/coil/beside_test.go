package coil

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a flat coil takes off the inductance of the one beside it in series: what is said of
// strings counts on it: by Neumann's integral, closed turns, −5.2 % of a neighbour 0.3 mm away and −2.6 %
// of one 2 mm away, twice as much between two. No published value.
func TestCouplingOfCoilsBesideEachOther(t *testing.T) {
	turn := func(side, x, z float64) []Filament {
		h := side / 2
		at := []r3.Vec{{X: x - h, Y: -h, Z: z}, {X: x + h, Y: -h, Z: z}, {X: x + h, Y: h, Z: z}, {X: x - h, Y: h, Z: z}}
		return []Filament{{at[0], at[1]}, {at[1], at[2]}, {at[2], at[3]}, {at[3], at[0]}}
	}
	mutual := func(a, b []Filament) (sum float64) {
		for _, p := range a {
			for _, q := range b {
				sum += FilamentMutual(p, q)
			}
		}
		return sum
	}
	coupling := func(pitch float64) float64 { // eleven turns of 10 mm, 0.3 mm apart
		self, beside := 0.0, 0.0
		for i := range 11 {
			for j := range 11 {
				a, b := 9.8e-3-0.6e-3*float64(i), 9.8e-3-0.6e-3*float64(j)
				z := 0.0
				if i == j {
					z = 0.08e-3 // a track's own mean distance
				}
				self += mutual(turn(a, 0, 0), turn(b, 0, z))
				beside += mutual(turn(a, 0, 0), turn(b, pitch, 0))
			}
		}
		return beside / self
	}
	if near, far := coupling(10.3e-3), coupling(12e-3); near < -0.055 || near > -0.05 || far < -0.03 || far > -0.025 {
		t.Errorf("coils beside each other couple by %.3g and %.3g of their inductance", near, far)
	}
}
