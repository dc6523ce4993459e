package lattice

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
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

// only makes costs that allow one sequence of radices.
func only(radices []int) costs {
	c := costs{first: map[int]float64{}, middle: map[int]float64{}}
	for _, r := range []int{1, 2, 3, 4, 5, 6, 8} {
		c.first[r], c.middle[r] = 1000, 1000
	}
	c.first[radices[0]] = 1
	for _, r := range radices[1 : len(radices)-1] {
		c.middle[r] = 1
	}
	return c
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

// TestTransforms holds every kind of stage, every number of outputs kept and
// every remainder of the widths against the definition.
func TestTransforms(t *testing.T) {
	sequences := [][]int{
		{1, 4}, {2, 4}, {3, 4}, {4, 4}, {5, 4}, {6, 4}, {8, 4},
		{4, 3, 4}, {8, 4, 4}, {3, 5, 4}, {2, 6, 4}, {5, 6, 3, 4},
	}
	bothWays(t, func(t *testing.T) {
		r := rand.New(rand.NewPCG(13, 13))
		for _, radices := range sequences {
			n := 1
			for _, f := range radices {
				n *= f
			}
			tr := newTransform(n, only(radices))
			// The order of the middle stages is the transform's own.
			have, want := slices.Sorted(slices.Values(tr.radices)), slices.Sorted(slices.Values(radices))
			if !slices.Equal(have, want) || tr.first != radices[0] {
				t.Fatalf("asked for stages %v, got %v", radices, tr.radices)
			}
			x := randomComplex(r, 2*n)
			f := make([]float64, 2*n)
			products := make([]complex128, 2*n)
			for i := range f {
				f[i] = r.Float64() - 0.5
				products[i] = x[i] * complex(f[i], 0)
			}
			natural := func(x []complex128) []complex128 { // undo the digit reversal
				out := make([]complex128, n)
				for k := range out {
					out[k] = x[tr.slot[k]]
				}
				return out
			}
			one, two := dft(natural(products[:n])), dft(natural(products[n:]))

			full := slices.Clone(products[:n])
			tr.rowFull(full)
			if d := furthest(full, one); d > 1e-14 {
				t.Errorf("%v: rowFull off by %g", tr.radices, d)
			}
			spare := make([]complex128, (n+3)/4)
			for _, kept := range keptCounts(n) {
				line := make([]complex128, 2*n)
				tr.rowTimes(line[:n], x[:n], f[:n])
				got := make([]complex128, kept)
				tr.rowLast(got, line[:n], spare)
				if d := furthest(got, one); d > 1e-14 {
					t.Errorf("%v: rowTimes and rowLast, %d kept, off by %g", tr.radices, kept, d)
				}
				if !vector {
					continue
				}
				tr.pairTimes(line, x[:n], x[n:], f[:n], f[n:])
				other := make([]complex128, kept)
				tr.pairLast(got, other, line, spare)
				if d := max(furthest(got, one), furthest(other, two)); d > 1e-14 {
					t.Errorf("%v: pairTimes and pairLast, %d kept, off by %g", tr.radices, kept, d)
				}
			}
			for _, width := range []int{1, 2, 3, 4, 5, 6, 7, 9} {
				testColumns(t, r, tr, width)
			}
		}
	})
}

// keptCounts lists numbers of outputs to keep: all of them for short transforms,
// those about the quarters for long ones.
func keptCounts(n int) (kept []int) {
	for k := 1; k <= n; k++ {
		if q := k % (n / 4); n <= 24 || q <= 1 || q == n/4-1 {
			kept = append(kept, k)
		}
	}
	return kept
}

// testColumns holds columnFull and columnLast against the definition.
func testColumns(t *testing.T, r *rand.Rand, tr *transform, width int) {
	t.Helper()
	n := tr.n
	pitch := (width + 1) / 2 * 2
	x := randomComplex(r, n*pitch)
	want := make([][]complex128, width)
	for c := range want {
		column := make([]complex128, n)
		for k := range column {
			column[k] = x[tr.slot[k]*pitch+c]
		}
		want[c] = dft(column)
	}
	full := slices.Clone(x)
	tr.columnFull(full, pitch)
	for c := range want {
		got := make([]complex128, n)
		for k := range got {
			got[k] = full[k*pitch+c]
		}
		if d := furthest(got, want[c]); d > 1e-14 {
			t.Errorf("%v: columnFull, width %d, off by %g", tr.radices, width, d)
		}
	}
	tr.columnHead(x, pitch)
	for _, kept := range keptCounts(n) {
		for _, way := range []sink{{}, {reUp: true}, {imUp: true}, {imBack: true}, {reUp: true, imUp: true, imBack: true}} {
			// Values beyond the planes must be left alone.
			const guard = 12345.0
			re, im := make([]float64, kept*width+8), make([]float64, kept*width+8)
			for i := range re {
				re[i], im[i] = guard, guard
			}
			way.re, way.im, way.rows, way.width = re[4:kept*width+4], im[4:kept*width+4], kept, width
			way.spare = make([]float64, width)
			tr.columnLast(&way, x, pitch)
			for i := range 4 {
				if re[i] != guard || im[i] != guard || re[len(re)-1-i] != guard || im[len(im)-1-i] != guard {
					t.Fatalf("%v: columnLast, width %d, %d kept, wrote beyond its planes", tr.radices, width, kept)
				}
			}
			for c := range width {
				got := make([]complex128, kept)
				for k := range got {
					a, b, d := k, k, c
					if way.reUp {
						a = kept - 1 - k
					}
					if way.imUp {
						b = kept - 1 - k
					}
					if way.imBack {
						d = width - 1 - c
					}
					got[k] = complex(way.re[a*width+c], way.im[b*width+d])
				}
				if d := furthest(got, want[c]); d > 1e-14 {
					t.Fatalf("%v: columnLast, width %d, %d kept, off by %g", tr.radices, width, kept, d)
				}
			}
		}
	}
}

// TestAddWindow holds the changed-pixel loop against the obvious one, for every
// remainder of the width, and expects it to keep within its window.
func TestAddWindow(t *testing.T) {
	bothWays(t, func(t *testing.T) {
		r := rand.New(rand.NewPCG(14, 14))
		for cols := 1; cols <= 70; cols++ {
			const rows = 3
			outPitch, kernelPitch := cols+r.IntN(5), cols+r.IntN(9)
			out, kernel := make([]float64, rows*outPitch), make([]float64, rows*kernelPitch)
			for i := range out {
				out[i] = r.Float64()
			}
			for i := range kernel {
				kernel[i] = r.Float64()
			}
			want := slices.Clone(out)
			for i := range rows {
				for j := range cols {
					want[i*outPitch+j] += -0.7 * kernel[i*kernelPitch+j]
				}
			}
			addWindow(out, kernel, rows, cols, outPitch, kernelPitch, -0.7)
			for i := range out {
				if math.Abs(out[i]-want[i]) > 1e-15 {
					t.Fatalf("%d columns: value %d is %g, want %g", cols, i, out[i], want[i])
				}
			}
		}
	})
}

// TestFactors expects a sequence of stages for every length allowed and none for
// the others, and lengths that are large enough and never far too large.
func TestFactors(t *testing.T) {
	bothWays(t, func(t *testing.T) {
		for _, c := range []costs{rowCosts(), columnCosts()} {
			for n := 1; n <= 700; n++ {
				rest := n
				for _, p := range []int{2, 3, 5} {
					for rest%p == 0 {
						rest /= p
					}
				}
				f, cost := c.factors(n)
				product := 1
				for _, r := range f {
					product *= r
				}
				switch allowed := n == 1 || n%4 == 0 && rest == 1; {
				case allowed && product != n:
					t.Errorf("length %d: stages %v", n, f)
				case allowed && !(cost < 20):
					t.Errorf("length %d: cost %g", n, cost)
				case !allowed && (f != nil || !math.IsInf(cost, 1)):
					t.Errorf("length %d: stages %v, cost %g, want none", n, f, cost)
				}
				if l := c.length(n); l < n || l > 2*n+2 {
					t.Errorf("length for %d: %d", n, l)
				} else if f, _ := c.factors(l); l > 1 && f == nil {
					t.Errorf("length for %d: %d has no stages", n, l)
				}
			}
		}
	})
}
