package heat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Against the definition X_k = Σ x_i cos(π(2i+1)k/2N), for lengths with every kind
// of factor.
func TestCosineDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 10, 12, 16, 17, 24, 31, 48, 64, 80} {
		const width = 3
		c := newCosine(n)
		x, scratch := make([]float64, n*width), make([]float64, n*width)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		y := append([]float64(nil), x...)
		c.forward(y, scratch, width)
		for row, k := range c.order {
			for w := range width {
				want := 0.0
				for i := range n {
					want += x[i*width+w] * math.Cos(math.Pi*float64((2*i+1)*k%(4*n))/float64(2*n))
				}
				if math.Abs(y[row*width+w]-want) > 1e-13*float64(n*n+10) {
					t.Fatalf("length %d, frequency %d: %g, want %g", n, k, y[row*width+w], want)
				}
				y[row*width+w] *= c.weight(k)
			}
		}
		c.inverse(y, scratch, width)
		for i := range x {
			if math.Abs(y[i]-x[i]) > 1e-13*float64(n+10) {
				t.Fatalf("length %d: forward and inverse give %g for %g", n, y[i], x[i])
			}
		}
	}
}

// The modes of a plane are eigenvectors of the grid's Laplacian with the
// eigenvalues that each reports.
func TestPlaneModes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, size := range [][2]int{{1, 1}, {1, 6}, {7, 1}, {5, 4}, {16, 10}, {64, 64}} {
		rows, cols := size[0], size[1]
		n := New(Params{Rows: rows, Cols: cols, Ambient: 300, Layers: []Layer{{Capacity: 1, Lateral: 1}}})
		p := newPlane(rows, cols)
		x, y, modes := make([]float64, rows*cols), make([]float64, rows*cols), make([]float64, rows*cols)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		n.addConduction(y, x) // y = K x
		p.forward(modes, x)
		p.each(func(m int, along, down, weight float64) { modes[m] *= weight * (along + down) })
		z := make([]float64, rows*cols)
		p.inverse(z, modes)
		for i := range y {
			if math.Abs(y[i]-z[i]) > 1e-11 {
				t.Fatalf("%d x %d: Laplacian %g by modes, %g by differences", rows, cols, z[i], y[i])
			}
		}
	}
}
