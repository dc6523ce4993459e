package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The iterations and the banded factorisation against gonum's dense solver, on a
// board with holes and conductances over three decades.
func TestLinearSolvers(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for _, size := range [][2]int{{6, 9}, {9, 6}, {1, 9}, {5, 5}} {
		p := holes(board(size[0], size[1], 3))
		for i := range p.Layers[2].East {
			p.Layers[2].East[i] *= math.Exp(3 * rng.NormFloat64())
		}
		n := mustNew(t, p)
		s := newLinear(n)
		b := make([]float64, n.nodes)
		for i := range b {
			s.diagonal[i] = 0.01 * rng.Float64()
			b[i] = rng.NormFloat64()
			if n.absent[i] {
				b[i] = 0
			}
		}
		s.prepare()
		// The matrix, a column at a time from apply.
		a := mat.NewDense(n.nodes, n.nodes, nil)
		e, col := make([]float64, n.nodes), make([]float64, n.nodes)
		for j := range e {
			e[j] = 1
			s.apply(col, e)
			if n.absent[j] {
				col[j] = 1
			}
			a.SetCol(j, col)
			e[j] = 0
		}
		var want mat.VecDense
		if err := want.SolveVec(a, mat.NewVecDense(n.nodes, b)); err != nil {
			t.Fatal(err)
		}
		x := make([]float64, n.nodes)
		if err := s.iterate(t.Context(), x, b, 1e-13); err != nil {
			t.Fatal(err)
		}
		y := make([]float64, n.nodes)
		d := newDirect(s)
		if err := d.solve(t.Context(), y, b); err != nil {
			t.Fatal(err)
		}
		scale := norm(want.RawVector().Data)
		for i := range x {
			if w := want.AtVec(i); math.Abs(x[i]-w) > 1e-9*scale || math.Abs(y[i]-w) > 1e-9*scale {
				t.Fatalf("%v: node %d: %g by iteration, %g direct, %g dense", size, i, x[i], y[i], w)
			}
		}
		// Feedback beyond the losses is found by both.
		for i := range s.diagonal {
			s.diagonal[i] -= 0.02
		}
		s.prepare()
		d.stale = true
		if err := s.iterate(t.Context(), x, b, 1e-13); !errors.Is(err, errIndefinite) {
			t.Errorf("%v: iteration on an indefinite system: %v", size, err)
		}
		if err := d.solve(t.Context(), y, b); !errors.Is(err, errIndefinite) {
			t.Errorf("%v: factorisation of an indefinite system: %v", size, err)
		}
	}
}

// A board of wild contrasts makes the iterations stall; the steady state is found
// all the same.
func TestWildBoard(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	p := board(24, 20, 2)
	p.Layers[1].East = make([]float64, 24*19)
	for i := range p.Layers[1].East {
		p.Layers[1].East[i] = 0.1 * math.Exp(5*rng.NormFloat64())
	}
	load, show := frames(480)
	load.Volts = 2
	show(0)
	n := mustNew(t, p)
	w := newNewton(n)
	if err := w.run(t.Context(), load, 700); err != nil {
		t.Fatal(err)
	}
	if w.solve.direct == nil {
		t.Skip("the iterations managed")
	}
	if !(w.residual < 1e-7) {
		t.Errorf("residual %g", w.residual)
	}
	near(t, "loss", w.result().Loss, w.power, 1e-8)
}
