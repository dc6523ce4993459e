package ownfield

import (
	"math"
	"testing"

	"lodegrid/field"
)

// What the own field does to a drop's edge, by the formula and by the energy µ0/2 M Σ of the
// fluid in its own field when its edge is moved out by ε cos nθ at the same area.
func TestApart(t *testing.T) {
	const r, b, cells, s = 4e-3, 2e-3, 120, 0.1e-3
	l, err := NewLayer(t.Context(), cells, cells, s, b)
	if err != nil {
		t.Fatal(err)
	}
	energy := func(lobes, by float64) float64 {
		const fine = 12
		share, weak, sum := make([]float64, cells*cells), make([]float64, cells*cells), 0.0
		for k := range share {
			for p := range fine * fine {
				x := (float64(k%cells) - cells/2 + (float64(p%fine)+0.5)/fine) * s
				y := (float64(k/cells) - cells/2 + (float64(p/fine)+0.5)/fine) * s
				if math.Hypot(x, y) < math.Sqrt(r*r-by*by/2)+by*math.Cos(lobes*math.Atan2(y, x)) {
					share[k] += 1.0 / (fine * fine)
				}
			}
		}
		l.Weaken(weak, share)
		for k, c := range share {
			sum += c * weak[k]
		}
		return field.Mu0 / 2 * sum * s * s // per depth, for 1 A/m
	}
	for _, lobes := range []int{2, 3} {
		const by = 0.12 * r
		// Only a mode alone: fall so large for the others that they are held.
		n := float64(lobes)
		fell := (energy(n, 0) - energy(n, by)) / (math.Pi / 2 * by * by * r)
		rim := Rim{Radius: r, Depth: b, M: 1, Tension: fell * r * r / (n*n - 1)}
		share, most := rim.push(lobes)/fell, 0
		if math.Abs(share-1) > 0.05 {
			t.Errorf("%d lobes: %.4g of the energy's", lobes, share)
		}
		if _, most = rim.Apart(); most != 2 && lobes == 2 {
			t.Errorf("without a fall %d lobes grow first", most)
		}
	}
	rim := Rim{Radius: r, Depth: b, M: 8e3, Tension: 0.01}
	if share, _ := rim.Apart(); math.Abs(share-0.03975/0.03) > 0.01 {
		t.Errorf("%.4g; the sum over 20000 angles, by hand, gives 1.325", share)
	}
	if share, _ := (Rim{Radius: r, Depth: b, M: 8e3, Tension: 0.01, Fall: -1e4}).Apart(); !math.IsInf(share, 1) {
		t.Errorf("a field that pulls the edge out leaves %g", share)
	}
}
