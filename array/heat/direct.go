package heat

import (
	"context"

	"gonum.org/v1/gonum/mat"
)

// direct solves D + K by Cholesky factorisation, for boards so uneven that the
// iterations stall. The board is cut along its longer side into slices, whose nodes are
// linked to those of the next slice one to one: a block tridiagonal matrix with diagonal
// blocks beside the diagonal, factored slice by slice (G. H. Golub and C. F. Van Loan,
// Matrix Computations, ch. 4.5, block tridiagonal systems; from memory). With D the block
// of a slice, −g the links to the next and UᵀU = S,
//
//	S₀ = D₀,  Sᵢ₊₁ = Dᵢ₊₁ − WᵢᵀWᵢ,  Wᵢ = Uᵢ⁻ᵀ gᵢ
type direct struct {
	s     *linear
	stale bool
	ok    bool
	size  int   // nodes of a slice
	place []int // of each node in the order of the slices
	chol  []mat.Cholesky
	links []float64 // W/K, of each place to the next slice
	x     *mat.VecDense
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
	d := &direct{s: s, stale: true, size: bandwidth(n), place: make([]int, n.nodes),
		chol: make([]mat.Cholesky, max(n.rows, n.cols)), links: make([]float64, n.nodes), x: mat.NewVecDense(n.nodes, nil)}
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

// factor takes the matrix as it is now. It looks at the context at every slice.
func (d *direct) factor(ctx context.Context) error {
	n, k := d.s.n, d.size
	blocks := make([]*mat.SymDense, len(d.chol))
	for i := range blocks {
		blocks[i] = mat.NewSymDense(k, nil)
	}
	add := func(i, j int, v float64) {
		b := blocks[i/k]
		b.SetSym(i%k, j%k, b.At(i%k, j%k)+v)
	}
	clear(d.links)
	link := func(i, j int, g float64) {
		if g == 0 {
			return
		}
		i, j = d.place[i], d.place[j]
		add(i, i, g)
		add(j, j, g)
		if i/k == j/k {
			add(i, j, -g)
		} else {
			d.links[i] = g
		}
	}
	for i, v := range d.s.diagonal {
		if n.absent != nil && n.absent[i] {
			v = 1
		}
		add(d.place[i], d.place[i], v)
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
	d.ok, d.stale = false, true
	var u mat.TriDense
	var w mat.Dense
	for i, b := range blocks {
		if err := ctx.Err(); err != nil {
			return err
		}
		if i > 0 {
			d.chol[i-1].UTo(&u)
			g := mat.NewDiagDense(k, d.links[(i-1)*k:i*k])
			// A bad condition is told by the residual to who asked.
			if err := u.SolveTo(&w, true, g); err != nil {
				if _, ok := err.(mat.Condition); !ok {
					return errStalled
				}
			}
			b.SymRankK(b, -1, w.T())
		}
		if !d.chol[i].Factorize(b) {
			d.stale = false
			return nil
		}
	}
	d.ok, d.stale = true, false
	return nil
}

func (d *direct) solve(ctx context.Context, x, b []float64) error {
	if d.stale {
		if err := d.factor(ctx); err != nil {
			return err
		}
	}
	if !d.ok {
		return errIndefinite
	}
	for i, at := range d.place {
		v := b[i]
		if d.s.n.absent != nil && d.s.n.absent[i] {
			v = 0
		}
		d.x.SetVec(at, v)
	}
	k := d.size
	slice := func(i int) *mat.VecDense { return d.x.SliceVec(i*k, (i+1)*k).(*mat.VecDense) }
	y := mat.NewVecDense(k, nil)
	// solved puts the slice's solution for what it holds into y. A warning of bad
	// condition: the answer is still the best to be had, and who asked checks the
	// residual.
	solved := func(i int) error {
		if err := d.chol[i].SolveVecTo(y, slice(i)); err != nil {
			if _, ok := err.(mat.Condition); !ok {
				return errStalled
			}
		}
		return nil
	}
	last := len(d.chol) - 1
	for i := range last {
		if err := solved(i); err != nil {
			return err
		}
		for j, g := range d.links[i*k : (i+1)*k] {
			at := (i+1)*k + j
			d.x.SetVec(at, d.x.AtVec(at)+g*y.AtVec(j))
		}
	}
	for i := last; i >= 0; i-- {
		if i < last {
			for j, g := range d.links[i*k : (i+1)*k] {
				at := i*k + j
				d.x.SetVec(at, d.x.AtVec(at)+g*d.x.AtVec(at+k))
			}
		}
		if err := solved(i); err != nil {
			return err
		}
		slice(i).CopyVec(y)
	}
	for i, at := range d.place {
		x[i] = d.x.AtVec(at)
	}
	return nil
}
