package heat

import (
	"context"

	"gonum.org/v1/gonum/mat"
)

// direct solves D + K by a banded Cholesky factorisation, nodes ordered along the
// shorter side of the board: for boards so uneven that the iterations stall.
type direct struct {
	s     *linear
	stale bool
	ok    bool
	place []int // of each node in the ordering
	chol  mat.BandCholesky
	x, b  *mat.VecDense
}

// maxDirectCost bounds nodes × bandwidth² of what is worth factoring, about ten
// seconds' work.
const maxDirectCost = 4e10

func bandwidth(n *Network) int { return n.layers * min(n.rows, n.cols) }

func directCost(n *Network) float64 {
	k := float64(bandwidth(n))
	return float64(n.nodes) * k * k
}

func newDirect(s *linear) *direct {
	n := s.n
	d := &direct{s: s, stale: true, place: make([]int, n.nodes),
		x: mat.NewVecDense(n.nodes, nil), b: mat.NewVecDense(n.nodes, nil)}
	for i := range d.place {
		l, p := i/n.pixels, i%n.pixels
		r, c := p/n.cols, p%n.cols
		if n.rows <= n.cols {
			p = c*n.rows + r
		}
		d.place[i] = p*n.layers + l
	}
	return d
}

func (d *direct) factor() {
	n := d.s.n
	k := bandwidth(n)
	a := mat.NewSymBandDense(n.nodes, min(k, n.nodes-1), nil)
	add := func(i, j int, v float64) {
		i, j = d.place[i], d.place[j]
		a.SetSymBand(i, j, a.At(i, j)+v)
	}
	link := func(i, j int, g float64) {
		if g != 0 {
			add(i, i, g)
			add(j, j, g)
			add(i, j, -g)
		}
	}
	for i, v := range d.s.diagonal {
		if n.absent != nil && n.absent[i] {
			v = 1
		}
		add(i, i, v)
		if n.east[i] != 0 {
			link(i, i+1, n.east[i])
		}
		if n.south[i] != 0 {
			link(i, i+n.cols, n.south[i])
		}
		if n.down[i] != 0 {
			link(i, i+n.pixels, n.down[i])
		}
	}
	d.ok = d.chol.Factorize(a)
	d.stale = false
}

func (d *direct) solve(ctx context.Context, x, b []float64) error {
	if d.stale {
		if err := ctx.Err(); err != nil {
			return err
		}
		d.factor()
	}
	if !d.ok {
		return errIndefinite
	}
	for i, at := range d.place {
		v := b[i]
		if d.s.n.absent != nil && d.s.n.absent[i] {
			v = 0
		}
		d.b.SetVec(at, v)
	}
	if err := d.chol.SolveVecTo(d.x, d.b); err != nil {
		// A warning of bad condition: the answer is still the best to be had, and
		// who asked checks the residual.
		if _, ok := err.(mat.Condition); !ok {
			return errStalled
		}
	}
	for i, at := range d.place {
		x[i] = d.x.AtVec(at)
	}
	return nil
}
