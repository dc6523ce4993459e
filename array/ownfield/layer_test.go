package ownfield

import (
	"math"
	"testing"
)

// disc is the share of each of n × n squares, s metres a side, that a disc in the middle of
// the raster covers, by 20 × 20 points in each.
func disc(n int, s, x0, y0, radius float64) []float64 {
	const fine = 20
	share := make([]float64, n*n)
	for k := range share {
		for p := range fine * fine {
			x := (float64(k%n)-float64(n)/2+(float64(p%fine)+0.5)/fine)*s - x0
			y := (float64(n)/2-float64(k/n)-(float64(p/fine)+0.5)/fine)*s - y0
			if math.Hypot(x, y) < radius {
				share[k] += 1.0 / (fine * fine)
			}
		}
	}
	return share
}

func weakened(t *testing.T, n int, s, depth float64, m []float64) []float64 {
	t.Helper()
	l, err := NewLayer(t.Context(), n, n, s, depth)
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, n*n)
	l.Weaken(out, m)
	return out
}

// A disc as a coil: magnetised along its axis it is a current sheet round its edge, whose mean
// field over that without an end is H. Nagaoka's coefficient k (J. Coll. Sci. Tokyo 27 (1909),
// his table, from memory), so that on average it weakens the field in itself by 1 − k of M.
// In its middle it is (R + b − √(R² + b²))/b, by hand.
func TestDiscAgainstNagaoka(t *testing.T) {
	for _, c := range []struct{ over, k float64 }{{1, 0.6884}, {2, 0.5255}, {4, 0.3654}, {5, 0.3198}, {10, 0.2033}} {
		const b = 2e-3
		r := c.over * b / 2
		n, s := 65, 2.6*r/65
		share := disc(n, s, 0, 0, r)
		w := weakened(t, n, s, b, share)
		sum, all := 0.0, 0.0
		for k, v := range share {
			sum, all = sum+v*w[k], all+v
		}
		if mean := sum / all; math.Abs(mean/(1-c.k)-1) > 3e-3 {
			t.Errorf("diameter %g b: weakened by %.4f, want %.4f", c.over, mean, 1-c.k)
		}
		if got, want := w[n*n/2], (r+b-math.Hypot(r, b))/b; math.Abs(got/want-1) > 1e-3 {
			t.Errorf("diameter %g b: %.4f in the middle, want %.4f", c.over, got, want)
		}
	}
}

// From a few depths on a disc is a dipole; at a grid's samples, 1.5 mm for 8 mm, what a sample
// is off from one half as large stays below 3 % of the weakening in the middle.
func TestFarAndCoarse(t *testing.T) {
	const b, r = 2e-3, 4e-3
	w := weakened(t, 96, 1.5e-3, b, disc(96, 1.5e-3, 0, 0, r))
	for _, cells := range []int{20, 30, 45} {
		d := math.Hypot((float64(cells)+0.5)*1.5e-3, 0.75e-3)
		want := r * r * b / (4 * d * d * d)
		if got := w[48*96+48+cells]; math.Abs(got/want-1) > 1.3*r*r/(d*d) {
			t.Errorf("%g mm off: %.3g, a dipole has %.3g", d*1e3, got, want)
		}
	}
	fine := weakened(t, 192, 0.75e-3, b, disc(192, 0.75e-3, 0, 0, r))
	worst := 0.0
	for i := range 96 {
		for j := range 96 {
			k := 2*i*192 + 2*j
			mean := (fine[k] + fine[k+1] + fine[k+192] + fine[k+193]) / 4
			worst = max(worst, math.Abs(w[i*96+j]-mean))
		}
	}
	t.Logf("off by %.4f of M at most", worst)
	if worst > 0.03*0.764 {
		t.Errorf("off by %.4f of M", worst)
	}
}
