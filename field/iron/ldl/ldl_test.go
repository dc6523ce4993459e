package ldl

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// random returns a sparse, diagonally dominant matrix as pattern, values and
// dense.
func random(n int, seed uint64) (Pattern, []float64, *mat.SymDense) {
	rng := rand.New(rand.NewPCG(seed, 1))
	dense := mat.NewSymDense(n, nil)
	p := Pattern{N: n, Start: make([]int32, n+1)}
	var values []float64
	for j := range n {
		for i := range j {
			if rng.Float64() < 0.1 {
				v := rng.NormFloat64()
				dense.SetSym(i, j, v)
				p.Rows, values = append(p.Rows, int32(i)), append(values, v)
			}
		}
		dense.SetSym(j, j, 10+float64(n)*0.3)
		p.Rows, values = append(p.Rows, int32(j)), append(values, dense.At(j, j))
		p.Start[j+1] = int32(len(p.Rows))
	}
	return p, values, dense
}

func TestSolveMeetsDenseCholesky(t *testing.T) {
	for _, n := range []int{1, 2, 7, 60} {
		p, values, dense := random(n, uint64(n))
		f := Analyse[float64](p)
		var chol mat.Cholesky
		if !chol.Factorize(dense) {
			t.Fatal("test matrix is not positive definite")
		}
		b := make([]float64, n)
		for i := range b {
			b[i] = math.Sin(float64(i + 1))
		}
		var want mat.VecDense
		if err := chol.SolveVecTo(&want, mat.NewVecDense(n, append([]float64(nil), b...))); err != nil {
			t.Fatal(err)
		}
		for pass := range 2 { // the second pass finds the scratch used
			if err := f.Factor(values); err != nil {
				t.Fatal(err)
			}
			x := append([]float64(nil), b...)
			f.Solve(x)
			for i := range x {
				if math.Abs(x[i]-want.AtVec(i)) > 1e-13 {
					t.Fatalf("n %d pass %d: x[%d] = %g, dense Cholesky gives %g", n, pass, i, x[i], want.AtVec(i))
				}
			}
		}
	}
}

func TestIndefiniteMatrixIsRefused(t *testing.T) {
	f := Analyse[float64](Pattern{N: 2, Start: []int32{0, 1, 3}, Rows: []int32{0, 0, 1}})
	if err := f.Factor([]float64{1, 2, 1}); err == nil {
		t.Error("a matrix with a negative pivot was factored")
	}
}

func TestDissectListsEveryNodeOnce(t *testing.T) {
	const rows, cols = 41, 23
	seen := make([]int, rows*cols)
	for _, k := range Dissect(rows, cols, func(r, c int) bool { return c < cols-1 }) {
		seen[k]++
	}
	for k, n := range seen {
		want := 1
		if k%cols == cols-1 {
			want = 0
		}
		if n != want {
			t.Fatalf("node %d listed %d times, want %d", k, n, want)
		}
	}
}
