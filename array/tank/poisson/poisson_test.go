package poisson

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

var sizes = [][2]int{{2, 2}, {3, 2}, {2, 5}, {4, 16}, {5, 17}, {7, 9}, {8, 8}, {9, 31}, {12, 33}, {16, 16},
	{30, 20}, {22, 48}, {26, 40}, {80, 128}, {97, 12}, {160, 256}, {121, 50}, {225, 64}}

// The equation itself, written out, is the judge: whatever solves it to rounding is right.
func TestSolvesTheFivePointEquation(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for _, size := range sizes {
		rows, cols := size[0], size[1]
		dx, dy := 0.7, 0.9
		s := New(rows, cols, dx, dy)
		f := make([][]float64, rows)
		mean := 0.0
		for i := range f {
			f[i] = make([]float64, cols)
			for j := range f[i] {
				f[i][j] = rng.NormFloat64()
				mean += f[i][j]
			}
		}
		mean /= float64(rows * cols)
		for pass := range 2 { // the second shows that nothing is left over from the first
			for i := range f {
				copy(s.Row(i), f[i])
			}
			s.Solve()
			scale, worst := 0.0, 0.0
			at := func(i, j int) float64 {
				return s.Row(min(max(i, 0), rows-1))[min(max(j, 0), cols-1)]
			}
			for i := range rows {
				for j := range cols {
					p := at(i, j)
					scale = max(scale, math.Abs(p)/(dx*dx))
					lap := (at(i, j-1)-2*p+at(i, j+1))/(dx*dx) + (at(i-1, j)-2*p+at(i+1, j))/(dy*dy)
					worst = max(worst, math.Abs(lap-(f[i][j]-mean)))
				}
			}
			if !(worst <= 4e-15*scale*math.Sqrt(float64(rows))) {
				t.Errorf("%d×%d pass %d: residual %g against terms of %g", rows, cols, pass, worst, scale)
			}
		}
	}
}

// Manufactured solution: p = cos(3πx/W) cos(2πy/H) has zero normal derivative on
// every wall; the answer must approach it with the square of the cell.
func TestManufacturedSolution(t *testing.T) {
	const W, H = 1.6, 1.0
	errAt := func(n int) float64 {
		rows, cols := n, 8*n/5
		dx, dy := W/float64(cols), H/float64(rows)
		s := New(rows, cols, dx, dy)
		kx, ky := 3*math.Pi/W, 2*math.Pi/H
		exact := func(i, j int) float64 {
			return math.Cos(kx*(float64(j)+0.5)*dx) * math.Cos(ky*(float64(i)+0.5)*dy)
		}
		for i := range rows {
			for j := range s.Row(i) {
				s.Row(i)[j] = -(kx*kx + ky*ky) * exact(i, j)
			}
		}
		s.Solve()
		shift, worst := 0.0, 0.0
		for i := range rows {
			for j := range cols {
				shift += s.Row(i)[j] - exact(i, j)
			}
		}
		shift /= float64(rows * cols)
		for i := range rows {
			for j := range cols {
				worst = max(worst, math.Abs(s.Row(i)[j]-exact(i, j)-shift))
			}
		}
		return worst
	}
	e1, e2, e3 := errAt(40), errAt(80), errAt(160)
	t.Logf("errors %g %g %g", e1, e2, e3)
	if !(e3 < 4e-4) {
		t.Errorf("error at 160 rows %g", e3)
	}
	for _, order := range []float64{math.Log2(e1 / e2), math.Log2(e2 / e3)} {
		if math.Abs(order-2) > 0.02 {
			t.Errorf("order of convergence %g, want 2", order)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, size := range [][2]int{{160, 256}, {80, 128}, {176, 256}} {
		b.Run(fmt.Sprintf("%dx%d", size[1], size[0]), func(b *testing.B) {
			s := New(size[0], size[1], 1, 1)
			rng := rand.New(rand.NewPCG(1, 1))
			for i := range size[0] {
				for j := range s.Row(i) {
					s.Row(i)[j] = rng.NormFloat64()
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				s.Solve()
			}
		})
	}
}
