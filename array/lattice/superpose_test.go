package lattice

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The reference everywhere below is the defining sum itself,
//
//	out_c(x) = Σ_p level_p · k_c(x - x_p),
//
// taken term by term with positions worked out from the conventions of the
// project (x right, y up, row 0 at the top, samples in the middle of their
// cells), not from the engine's tables.

// square is a kernel with all mirror symmetries of a coil's field: the field of
// four point poles above the plane (from the inverse square law), finite
// everywhere, with a dipole's far field.
func square(dst []float64, dx, dy float64) {
	clear(dst)
	for _, p := range [...][3]float64{{0.2, 0.2, 1}, {-0.2, 0.2, 1}, {0.2, -0.2, 1}, {-0.2, -0.2, 1}} {
		for _, z := range [...]float64{0.25, 0.4} {
			x, y := dx-p[0], dy-p[1]
			r := math.Sqrt(x*x + y*y + z*z)
			f := p[2] / (r * r * r)
			if z > 0.3 {
				f = -f
			}
			dst[0] += f * x
			dst[1] += f * y
			dst[2] += f * z
		}
	}
}

// crooked is a kernel without any symmetry.
func crooked(dst []float64, dx, dy float64) {
	for c := range dst {
		x, y := dx-0.1*float64(c+1), dy+0.07*float64(c)
		q := 0.3 + x*x + 0.7*y*y + 0.4*x*y
		dst[c] = (1 + 0.3*x - 0.2*y*x) / (q * math.Sqrt(q))
	}
}

// turned is a kernel that looks the same after half a turn only: even in
// component 0, odd in component 1.
func turned(dst []float64, dx, dy float64) {
	q := 0.2 + dx*dx + 2*dy*dy + dx*dy
	dst[0] = 1 / q
	dst[1] = (dx - 0.3*dy) / (q * q)
}

// gradients has eight components with every combination of parities: square's
// field and five more of the kind a gradient has.
func gradients(dst []float64, dx, dy float64) {
	square(dst[:3], dx, dy)
	q := 0.1 + dx*dx + dy*dy
	dst[3] = (dx*dx - 0.2*dy*dy) / (q * q)
	dst[4] = (dy*dy - 0.2*dx*dx) / (q * q)
	dst[5] = dx * dy / (q * q)
	dst[6] = dx / (q * q)
	dst[7] = dy / (q * q)
}

func gradientSymmetry() Symmetry {
	return Symmetry{
		X:    []int{-1, 1, 1, 1, 1, -1, -1, 1},
		Y:    []int{1, -1, 1, 1, 1, -1, 1, -1},
		Swap: []int{1, 0, 2, 4, 3, 5, 7, 6},
	}
}

// direct returns all samples of all components by the defining sum, row-major
// rasters one after the other.
func direct(s Shape, k Kernel, levels []float64) []float64 {
	rows, cols := s.RasterRows(), s.RasterCols()
	out := make([]float64, s.Components*rows*cols)
	v := make([]float64, s.Components)
	for i := range rows {
		y := (float64(rows)/2 - float64(i) - 0.5) / float64(s.Samples)
		for j := range cols {
			x := (float64(j) + 0.5 - float64(cols)/2) / float64(s.Samples)
			for p, l := range levels {
				if l == 0 {
					continue
				}
				px := float64(p%s.Cols) - float64(s.Cols-1)/2
				py := float64(s.Rows-1)/2 - float64(p/s.Cols)
				k(v, x-px, y-py)
				for c := range v {
					out[c*rows*cols+i*cols+j] += l * v[c]
				}
			}
		}
	}
	return out
}

func randomLevels(r *rand.Rand, n int) []float64 {
	l := make([]float64, n)
	for i := range l {
		l[i] = 2*r.Float64() - 1
	}
	return l
}

// worst returns the largest difference between rasters and those wanted relative to
// the largest magnitude wanted, component by component. A component that is
// next to nothing beside another, as one that vanishes on an axis, is measured
// by a thousandth of the other.
func worst(got [][]float64, want []float64) float64 {
	out, overall := 0.0, largest(want)
	for c, g := range got {
		ref := want[c*len(g):][:len(g)]
		scale, diff := max(1e-3*overall, largest(ref)), 0.0
		for i := range g {
			diff = max(diff, math.Abs(g[i]-ref[i]))
		}
		if scale == 0 && diff != 0 {
			return math.Inf(1)
		}
		if scale > 0 {
			out = max(out, diff/scale)
		}
	}
	return out
}

func mustNew(t testing.TB, s Shape, k Kernel, y Symmetry) *Engine {
	t.Helper()
	e, err := New(t.Context(), s, k, y)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

type kernelCase struct {
	name       string
	kernel     Kernel
	components int
	symmetry   Symmetry
}

var kernelCases = []kernelCase{
	{"square", square, 3, Field()},
	{"square undeclared", square, 3, Symmetry{}},
	{"square, no diagonal", square, 3, Symmetry{X: []int{-1, 1, 1}, Y: []int{1, -1, 1}}},
	{"crooked", crooked, 2, Symmetry{}},
	{"turned", turned, 2, Symmetry{}},
	{"gradients", gradients, 8, gradientSymmetry()},
	{"one component", crooked, 1, Symmetry{}},
}

// TestDirectSum holds the sum against the defining one, over
// shapes that bring up every radix and every number of outputs kept.
func TestDirectSum(t *testing.T) {
	shapes := []Shape{
		{Rows: 1, Cols: 1, Samples: 1}, {Rows: 1, Cols: 1, Samples: 1, Margin: 2},
		{Rows: 1, Cols: 1, Samples: 4, Margin: 0}, {Rows: 1, Cols: 1, Samples: 3, Margin: 4},
		{Rows: 1, Cols: 7, Samples: 3}, {Rows: 9, Cols: 1, Samples: 2, Margin: 1},
		{Rows: 2, Cols: 3, Samples: 5, Margin: 1}, {Rows: 4, Cols: 4, Samples: 8, Margin: 3},
		{Rows: 5, Cols: 8, Samples: 4, Margin: 2}, {Rows: 10, Cols: 16, Samples: 2},
		{Rows: 11, Cols: 6, Samples: 3, Margin: 1}, {Rows: 16, Cols: 9, Samples: 1, Margin: 4},
		{Rows: 13, Cols: 23, Samples: 1}, {Rows: 3, Cols: 40, Samples: 1, Margin: 1},
		{Rows: 33, Cols: 2, Samples: 2}, {Rows: 18, Cols: 25, Samples: 1, Margin: 2},
	}
	r := rand.New(rand.NewPCG(1, 1))
	for _, kc := range kernelCases {
		top := 0.0
		for _, s := range shapes {
			s.Components = kc.components
			levels := randomLevels(r, s.Pixels())
			got := rasters(s)
			want, e := direct(s, kc.kernel, levels), mustNew(t, s, kc.kernel, kc.symmetry)
			for _, e.few = range []int{0, s.Pixels()} { // by transforms, and one by one
				e.Superpose(got, levels)
				d := worst(got, want)
				if top = max(top, d); !(d <= 1e-12) {
					t.Errorf("%s, %+v: off by %.2g of the largest value, up to %d pixels one by one", kc.name, s, d, e.few)
				}
			}
		}
		t.Logf("%s: largest difference %.2g", kc.name, top)
	}
}

// TestLengths holds a whole frame against the defining sum for every transform
// length up to 300 in both directions.
func TestLengths(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for n := 1; n <= 150; n += 1 + n/12 {
		for _, s := range []Shape{
			{Rows: n, Cols: 2, Samples: 1, Components: 1},
			{Rows: 2, Cols: n, Samples: 1, Components: 1},
			{Rows: 1, Cols: n, Samples: 2, Components: 1, Margin: 1},
		} {
			e := mustNew(t, s, square1, Symmetry{X: []int{1}, Y: []int{1}})
			levels, got := randomLevels(r, s.Pixels()), rasters(s)
			e.few = 0
			e.Superpose(got, levels)
			if d := worst(got, direct(s, square1, levels)); !(d <= 1e-12) {
				t.Errorf("%+v, lengths %d and %d: off by %.2g", s, e.down.n, e.across.n, d)
			}
		}
	}
}

// square1 is the component of square along z.
func square1(dst []float64, dx, dy float64) {
	var v [3]float64
	square(v[:], dx, dy)
	dst[0] = v[2]
}

// One pixel on a block of samples is what a sum of that pixel alone has there.
func TestOne(t *testing.T) {
	s := Shape{Rows: 4, Cols: 3, Samples: 3, Margin: 1, Components: 3}
	for _, y := range []Symmetry{Field(), {}} {
		e, p := mustNew(t, s, square, y), rasters(s)
		e.few = 0
		for pixel := range s.Pixels() {
			levels := make([]float64, s.Pixels())
			levels[pixel] = 1
			e.Superpose(p, levels)
			for c := range s.Components {
				const i0, i1, j0, j1 = 2, 17, 1, 14
				got := make([]float64, (i1-i0)*(j1-j0))
				e.One(got, pixel, c, i0, i1, j0, j1)
				for n, v := range got {
					if want := p[c][(i0+n/(j1-j0))*s.RasterCols()+j0+n%(j1-j0)]; math.Abs(v-want) > 1e-13 {
						t.Fatalf("pixel %d, component %d, value %d: %g, summed %g", pixel, c, n, v, want)
					}
				}
			}
		}
		for _, f := range [][6]int{{0, 0, 0, 1, 0, 1}, {12}, {0, 3}, {0, 0, -1}} {
			if panics(func() { e.One(nil, f[0], f[1], f[2], f[3], f[4], f[5]) }) == nil {
				t.Error("no panic")
			}
		}
	}
}
