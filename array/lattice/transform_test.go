package lattice

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// dft is the transform by its definition, X[k] = Σ_j x[j] exp(+2πi jk/n).
func dft(x []complex128) []complex128 {
	n := len(x)
	out := make([]complex128, n)
	for k := range out {
		for j, v := range x {
			sin, cos := math.Sincos(2 * math.Pi * float64(j*k%n) / float64(n))
			out[k] += v * complex(cos, sin)
		}
	}
	return out
}

func randomComplex(r *rand.Rand, n int) []complex128 {
	x := make([]complex128, n)
	for i := range x {
		x[i] = complex(2*r.Float64()-1, 2*r.Float64()-1)
	}
	return x
}

// furthest returns the largest difference of the values got from the first ones
// wanted, relative to the largest of all wanted.
func furthest(got, want []complex128) float64 {
	d, scale := 0.0, 0.0
	for i, w := range want {
		if i < len(got) {
			d = max(d, cmplx.Abs(got[i]-w))
		}
		scale = max(scale, cmplx.Abs(w))
	}
	return d / scale
}

// TestTransforms holds every length up to 300 and, for short ones, every number of
// outputs kept against the definition.
func TestTransforms(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 13))
	firsts := map[int]bool{}
	for need := 1; need <= 300; need++ {
		n := length(need)
		if n != need && !(need <= 4 && n == 4) {
			if n < need || 3*n > 4*need+12 {
				t.Errorf("length for %d: %d", need, n)
			}
			continue
		}
		tr := newTransform(n)
		firsts[tr.first] = true
		x := randomComplex(r, n)
		want, reversed := dft(x), make([]complex128, n)
		for kept := 1; kept <= n; kept += 1 + n/40 {
			for k, v := range x {
				reversed[tr.slot[k]] = v
			}
			got := make([]complex128, n)
			tr.run(got, reversed, kept)
			if d := furthest(got[:kept], want); d > 1e-14 {
				t.Errorf("length %d, %d kept: off by %g", n, kept, d)
			}
		}
		for k := range x {
			if tr.index[tr.slot[k]] != k {
				t.Errorf("length %d: index %d of place %d of %d", n, tr.index[tr.slot[k]], tr.slot[k], k)
			}
		}
	}
	if len(firsts) != 6 {
		t.Errorf("first stages tried: %v", firsts)
	}
}
