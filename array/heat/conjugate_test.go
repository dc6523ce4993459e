package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The iterations against gonum's dense solver, on a board with edges and a diagonal as
// uneven as can be.
func TestLinearSolver(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for _, size := range [][2]int{{6, 9}, {9, 6}, {1, 9}, {5, 5}} {
		p := edged(board(size[0], size[1], 3))
		n := mustNew(t, p)
		s := newLinear(n)
		b := make([]float64, n.nodes)
		for i := range b {
			s.diagonal[i] = 0.01 * rng.Float64()
			b[i] = rng.NormFloat64()
		}
		s.prepare()
		// The matrix, a column at a time from apply.
		a := mat.NewDense(n.nodes, n.nodes, nil)
		e, col := make([]float64, n.nodes), make([]float64, n.nodes)
		for j := range e {
			e[j] = 1
			s.apply(col, e)
			a.SetCol(j, col)
			e[j] = 0
		}
		var want mat.VecDense
		if err := want.SolveVec(a, mat.NewVecDense(n.nodes, b)); err != nil {
			t.Fatal(err)
		}
		x := make([]float64, n.nodes)
		if err := s.solve(t.Context(), x, b, 1e-13); err != nil {
			t.Fatal(err)
		}
		scale := norm(want.RawVector().Data)
		for i := range x {
			if w := want.AtVec(i); math.Abs(x[i]-w) > 1e-9*scale {
				t.Fatalf("%v: node %d: %g by iteration, %g dense", size, i, x[i], w)
			}
		}
		// Feedback beyond the losses is found.
		for i := range s.diagonal {
			s.diagonal[i] -= 0.02
		}
		s.prepare()
		for range 2 {
			if err := s.solve(t.Context(), x, b, 1e-13); !errors.Is(err, errIndefinite) {
				t.Errorf("%v: iteration on an indefinite system: %v", size, err)
			}
			s.diagonal[n.nodes/2] = math.Inf(-1) // feedback without bound
		}
	}
}
