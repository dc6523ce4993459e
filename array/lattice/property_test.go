package lattice

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// rasters makes room for all components.
func rasters(s Shape) [][]float64 {
	out := make([][]float64, s.Components)
	for c := range out {
		out[c] = make([]float64, s.RasterRows()*s.RasterCols())
	}
	return out
}

// sum returns all components one after the other.
func sum(t testing.TB, e *Engine, levels []float64) []float64 {
	t.Helper()
	out := rasters(e.shape)
	e.Superpose(out, levels)
	return slices.Concat(out...)
}

func largest(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m = max(m, math.Abs(v))
	}
	return m
}

// compare fails when two sums differ by more than 1e-12 of the larger's largest
// value.
func compare(t *testing.T, what string, got, want []float64) {
	t.Helper()
	d := 0.0
	for i := range got {
		d = max(d, math.Abs(got[i]-want[i]))
	}
	if limit := 1e-12 * max(largest(got), largest(want)); !(d <= limit) {
		t.Errorf("%s: differ by %g, allowed %g", what, d, limit)
	}
}

func TestLinearity(t *testing.T) {
	s := Shape{Rows: 9, Cols: 14, Samples: 4, Margin: 1, Components: 2}
	e := mustNew(t, s, crooked, Symmetry{})
	r := rand.New(rand.NewPCG(5, 5))
	x, y := randomLevels(r, s.Pixels()), randomLevels(r, s.Pixels())
	z := make([]float64, len(x))
	for i := range z {
		z[i] = 3*x[i] - 0.25*y[i]
	}
	a, b := sum(t, e, x), sum(t, e, y)
	want := make([]float64, len(a))
	for i := range want {
		want[i] = 3*a[i] - 0.25*b[i]
	}
	compare(t, "3x - y/4", sum(t, e, z), want)
}

// TestTranslation moves a picture by whole pixels and expects the sum to move by
// whole cells.
func TestTranslation(t *testing.T) {
	s := Shape{Rows: 12, Cols: 11, Samples: 3, Margin: 2, Components: 2}
	e := mustNew(t, s, crooked, Symmetry{})
	const down, right = 3, -2
	r := rand.New(rand.NewPCG(6, 6))
	x, y := make([]float64, s.Pixels()), make([]float64, s.Pixels())
	for row := 2; row < 8; row++ {
		for col := 3; col < 9; col++ {
			v := r.Float64() - 0.5
			x[row*s.Cols+col] = v
			y[(row+down)*s.Cols+col+right] = v
		}
	}
	a, b := sum(t, e, x), sum(t, e, y)
	limit := 1e-12 * largest(a)
	h, w := s.RasterRows(), s.RasterCols()
	for c := range s.Components {
		for i := 0; i < h-down*s.Samples; i++ {
			for j := -right * s.Samples; j < w; j++ {
				from := a[(c*h+i)*w+j]
				to := b[(c*h+i+down*s.Samples)*w+j+right*s.Samples]
				if !(math.Abs(from-to) <= limit) {
					t.Fatalf("component %d, sample (%d, %d): %g, moved %g", c, i, j, from, to)
				}
			}
		}
	}
}

// TestMirror turns a picture left to right and top to bottom and expects the sum
// of a mirror-symmetric kernel to turn with its parities.
func TestMirror(t *testing.T) {
	s := Shape{Rows: 7, Cols: 10, Samples: 5, Margin: 1, Components: 8}
	y := gradientSymmetry()
	for _, declared := range []Symmetry{{}, y} {
		e := mustNew(t, s, gradients, declared)
		r := rand.New(rand.NewPCG(7, 7))
		x := randomLevels(r, s.Pixels())
		flip := func(v []float64, rows, cols int, right, down bool) []float64 {
			out := make([]float64, len(v))
			for k := range v {
				row, col := k/cols%rows, k%cols
				if right {
					col = cols - 1 - col
				}
				if down {
					row = rows - 1 - row
				}
				out[k-k%(rows*cols)+row*cols+col] = v[k]
			}
			return out
		}
		plain := sum(t, e, x)
		n := s.RasterRows() * s.RasterCols()
		for _, how := range []struct {
			name        string
			right, down bool
		}{{"left to right", true, false}, {"top to bottom", false, true}, {"both", true, true}} {
			got := sum(t, e, flip(x, s.Rows, s.Cols, how.right, how.down))
			want := flip(plain, s.RasterRows(), s.RasterCols(), how.right, how.down)
			for k := range want {
				if how.right && y.X[k/n] < 0 {
					want[k] = -want[k]
				}
				if how.down && y.Y[k/n] < 0 {
					want[k] = -want[k]
				}
			}
			compare(t, how.name, got, want)
		}
	}
}

// TestOnePixel expects a single pixel at level 1 to give the kernel, at the
// offsets the conventions tell.
func TestOnePixel(t *testing.T) {
	for _, s := range []Shape{
		{Rows: 6, Cols: 9, Samples: 4, Margin: 1, Components: 3},
		{Rows: 5, Cols: 3, Samples: 3, Margin: 0, Components: 3},
	} {
		e := mustNew(t, s, square, Field())
		row, col := 1, 2
		levels := make([]float64, s.Pixels())
		levels[row*s.Cols+col] = 1
		whole := sum(t, e, levels)
		n := s.RasterRows() * s.RasterCols()
		v := make([]float64, 3)
		scale := 0.0
		for i := range s.RasterRows() {
			for j := range s.RasterCols() {
				// Sample (i, j) of the cell of pixel (row, col) is at
				// ((j+½)/Samples - ½, ½ - (i+½)/Samples) from its centre.
				dx := (float64(j)+0.5)/float64(s.Samples) - 0.5 - float64(s.Margin+col)
				dy := float64(s.Margin+row) + 0.5 - (float64(i)+0.5)/float64(s.Samples)
				square(v, dx, dy)
				for c := range v {
					scale = max(scale, math.Abs(v[c]))
					if got := whole[c*n+i*s.RasterCols()+j]; !(math.Abs(got-v[c]) <= 1e-12*scale) {
						t.Fatalf("component %d, sample (%d, %d): %g, kernel %g", c, i, j, got, v[c])
					}
				}
			}
		}
	}
}

// TestCentres expects one sample per pixel to stand at offset zero exactly and
// the component to be in pixel order.
func TestCentres(t *testing.T) {
	s := Shape{Rows: 4, Cols: 6, Samples: 1, Components: 1}
	seen := map[[2]float64]bool{}
	e := mustNew(t, s, func(dst []float64, dx, dy float64) {
		if dx != math.Round(dx) || dy != math.Round(dy) {
			t.Errorf("kernel asked for at (%g, %g), want whole pitches", dx, dy)
		}
		seen[[2]float64{dx, dy}] = true
		dst[0] = dx + 100*dy + 10000
	}, Symmetry{})
	if !seen[[2]float64{0, 0}] {
		t.Error("kernel not asked for at its centre")
	}
	levels := make([]float64, s.Pixels())
	levels[1*6+2] = 1
	for k, got := range sum(t, e, levels) {
		want := float64(k%6-2) + 100*float64(1-k/6) + 10000
		if !(math.Abs(got-want) <= 1e-11) {
			t.Errorf("pixel %d: %g, want %g", k, got, want)
		}
	}
}

// TestTwin expects two engines that share spectra to give the same bits at once.
func TestTwin(t *testing.T) {
	s := Shape{Rows: 20, Cols: 17, Samples: 4, Components: 3}
	levels := randomLevels(rand.New(rand.NewPCG(8, 8)), s.Pixels())
	e := mustNew(t, s, square, Field())
	want, twins := sum(t, e, levels), make(chan []float64)
	for range 3 {
		go func(e *Engine) {
			out := rasters(s)
			e.Superpose(out, levels)
			twins <- slices.Concat(out...)
		}(e.Twin())
	}
	for range 3 {
		if got := <-twins; !slices.Equal(got, want) {
			t.Error("a twin gives another sum")
		}
	}
}

// TestNoAllocation expects nothing to be allocated per frame.
func TestNoAllocation(t *testing.T) {
	s := Shape{Rows: 12, Cols: 16, Samples: 4, Margin: 1, Components: 3}
	e := mustNew(t, s, square, Field())
	x, out := randomLevels(rand.New(rand.NewPCG(9, 9)), s.Pixels()), rasters(s)
	if n := testing.AllocsPerRun(20, func() {
		e.Superpose(out, x)
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}
