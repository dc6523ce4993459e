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
		n, err := New(Params{Rows: rows, Cols: cols, Ambient: 300, Layers: []Layer{{Capacity: 1, Lateral: 1}}})
		if err != nil {
			t.Fatal(err)
		}
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

// φ functions against their integral, φ_k(z) = ∫₀¹ e^{(1−s)z} s^{k−1}/(k−1)! ds, by
// Gauss-Legendre quadrature of 10 points on 64 pieces, and against φ_k(0) = 1/k!.
func TestPhi(t *testing.T) {
	nodes := []float64{0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717}
	weights := []float64{0.2955242247147529, 0.2692667193099963, 0.2190863625159820, 0.1494513491505806, 0.0666713443086881}
	integral := func(z float64, k int) (sum float64) {
		const pieces = 64
		for i := range pieces {
			for j, x := range nodes {
				for _, sign := range []float64{-1, 1} {
					s := (float64(i) + 0.5 + sign*x/2) / pieces
					f := math.Exp((1 - s) * z)
					switch k {
					case 2:
						f *= s
					case 3:
						f *= s * s / 2
					}
					sum += weights[j] / 2 / pieces * f
				}
			}
		}
		return sum
	}
	for _, z := range []float64{-50, -3, -1, -0.5001, -0.4999, -0.1, -1e-3, -1e-9, 0, 1e-6, 0.1, 0.7, 2} {
		p0, p1, p2, p3 := phi(z)
		near(t, "φ0", p0, math.Exp(z), 1e-14)
		near(t, "φ1", p1, integral(z, 1), 1e-13)
		near(t, "φ2", p2, integral(z, 2), 1e-13)
		near(t, "φ3", p3, integral(z, 3), 1e-13)
	}
	if _, p1, p2, p3 := phi(0); p1 != 1 || p2 != 0.5 || p3 != 1.0/6 {
		t.Error("φ_k(0) is not 1/k!")
	}
}
