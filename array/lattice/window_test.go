package lattice

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestTruncated holds truncated engines against the full sum: no levels may err
// by more than the bound, the bound may not be above what was asked for, the
// worst levels must reach it, and a window one pitch smaller must not do.
func TestTruncated(t *testing.T) { bothWays(t, testTruncated) }

func testTruncated(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 12))
	for _, kc := range kernelCases {
		for _, f := range []struct {
			shape Shape
			err   float64
		}{
			{Shape{Rows: 14, Cols: 17, Samples: 2, Margin: 1}, 0.1},
			{Shape{Rows: 14, Cols: 17, Samples: 3}, 0.02},
			{Shape{Rows: 30, Cols: 5, Samples: 1, Margin: 2}, 0.05},
			{Shape{Rows: 6, Cols: 6, Samples: 4}, 1e-9},
		} {
			s := f.shape
			s.Components = kc.components
			full := mustNew(t, s, kc.kernel, kc.options...)
			cut := mustNew(t, s, kc.kernel, append([]Option{Truncated(f.err)}, kc.options...)...)
			radius, bound := cut.Window()
			if none, zero := full.Window(); none != -1 || largest(zero) != 0 {
				t.Fatalf("window of a full engine: %d, %v", none, zero)
			}
			peak := full.table.peak()
			for c, b := range bound {
				if b > f.err*peak[c] {
					t.Errorf("%s, %+v: bound %g of component %d, asked for %g", kc.name, s, b, c, f.err*peak[c])
				}
			}
			if radius > 0 {
				enough := true
				for c, b := range full.table.tails(radius - 1) {
					enough = enough && b <= f.err*peak[c]
				}
				if enough {
					t.Errorf("%s, %+v: radius %d, but %d would do", kc.name, s, radius, radius-1)
				}
			}
			p, q := full.NewPlanes(), cut.NewPlanes()
			n := s.RasterRows() * s.RasterCols()
			try := func(levels []float64) []float64 {
				full.whole(p, levels)
				cut.whole(q, levels)
				a, b := rasters(p), rasters(q)
				cut.few(q, levels)
				compare(t, kc.name+": both ways of a truncated sum", b, rasters(q))
				out := make([]float64, s.Components)
				for i := range a {
					out[i/n] = max(out[i/n], math.Abs(a[i]-b[i]))
				}
				return out
			}
			check := func(what string, errs []float64) {
				for c, e := range errs {
					if e > bound[c]+1e-12*peak[c] {
						t.Errorf("%s, %+v, %s: component %d errs by %g, bound %g", kc.name, s, what, c, e, bound[c])
					}
				}
			}
			ones := make([]float64, s.Pixels())
			for i := range ones {
				ones[i] = 1
			}
			check("all on", try(ones))
			check("random", try(randomLevels(r, s.Pixels())))
			// The worst levels for the sample whose bound is largest: the
			// signs of the kernel there.
			for c := range s.Components {
				if bound[c] == 0 {
					continue
				}
				levels, want := worstLevels(full, kc.kernel, c, radius)
				errs := try(levels)
				check("worst", errs)
				if errs[c] < want-1e-12*peak[c] || math.Abs(want-bound[c]) > 1e-9*bound[c]+1e-12*peak[c] {
					t.Errorf("%s, %+v: worst levels make component %d err by %g, found by hand %g, bound %g",
						kc.name, s, c, errs[c], want, bound[c])
				}
			}
		}
	}
}

// worstLevels looks at every sample for the largest sum of |k| outside a window,
// by the definition, and returns the signs of the kernel there and the sum.
func worstLevels(e *Engine, k Kernel, c, radius int) (levels []float64, tail float64) {
	s := e.shape
	v := make([]float64, s.Components)
	for i := range s.RasterRows() {
		for j := range s.RasterCols() {
			sum := 0.0
			signs := make([]float64, s.Pixels())
			for p := range signs {
				row, col := p/s.Cols, p%s.Cols
				away := max(abs(i/s.Samples-s.Margin-row), abs(j/s.Samples-s.Margin-col))
				if away <= radius {
					continue
				}
				k(v, (float64(j)+0.5)/float64(s.Samples)-0.5-float64(s.Margin+col),
					float64(s.Margin+row)+0.5-(float64(i)+0.5)/float64(s.Samples))
				sum += math.Abs(v[c])
				signs[p] = math.Copysign(1, v[c])
			}
			if sum > tail {
				levels, tail = signs, sum
			}
		}
	}
	return levels, tail
}

func abs(x int) int { return max(x, -x) }
