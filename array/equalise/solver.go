package equalise

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/array/lattice"
)

// Problem describes the grid.
type Problem struct {
	Rows, Cols int
	// Kernel gives Bz in tesla at unit level, offsets in pitches; it is its own mirror
	// image left to right and top to bottom.
	Kernel lattice.Kernel
	// Bias is Bz of the magnets at each pixel, T, row-major; nil for none.
	Bias []float64
	// Low and High bound the levels.
	Low, High float64
	// Tolerance is where the solver stops: the gap as a share of ½Σ(t − bias)², 0 takes
	// 1e-10.
	Tolerance float64
}

// maxIterations bounds the Newton steps.
const maxIterations = 200

// Solver solves for one target after the other. It keeps scratch memory and must not be
// used by two goroutines at once.
type Solver struct {
	p      Problem
	n      int
	engine *lattice.Engine // its own transpose
	own    float64

	r, g, d     []float64 // misses, gradient, step
	cr, cp, cq  []float64 // conjugate gradients
	cz, diag    []float64 // and their scaling
	work, trial []float64
	free        []bool
}

// New prepares a problem's convolution.
func New(ctx context.Context, p Problem) (*Solver, error) {
	p.Tolerance = cmp.Or(p.Tolerance, 1e-10)
	n := p.Rows * p.Cols
	at := make([]float64, 1)
	kernel := func(dx, dy float64) float64 {
		p.Kernel(at, dx, dy)
		return at[0]
	}
	s := &Solver{p: p, n: n, own: kernel(0, 0), free: make([]bool, n)}
	if s.own == 0 || math.IsNaN(s.own) || math.IsInf(s.own, 0) {
		return nil, fmt.Errorf("equalise: a pixel's own axial field is %g T at level 1", s.own)
	}
	var err error
	if s.engine, err = lattice.New(ctx, lattice.Shape{Rows: p.Rows, Cols: p.Cols, Samples: 1, Components: 1}, p.Kernel, lattice.Symmetry{X: []int{1}, Y: []int{1}}); err != nil {
		return nil, fmt.Errorf("equalise: %w", err)
	}
	for _, v := range []*[]float64{&s.work, &s.r, &s.g, &s.d, &s.cr, &s.cp, &s.cq, &s.cz, &s.diag, &s.trial} {
		*v = make([]float64, n)
	}
	// What a level does beyond its eight neighbours is left out of the diagonal: it is a
	// scaling, not part of the answer.
	for a := -1; a <= 1; a++ {
		for b := -1; b <= 1; b++ {
			v := kernel(float64(b), float64(-a))
			for i := max(-a, 0); i < min(p.Rows-a, p.Rows); i++ {
				for j := max(-b, 0); j < min(p.Cols-b, p.Cols); j++ {
					s.diag[i*p.Cols+j] += v * v
				}
			}
		}
	}
	return s, nil
}

// apply writes the field of levels into dst, without bias; what weights of the field do to
// the levels is the same sum.
func (s *Solver) apply(dst, levels []float64) {
	s.engine.Superpose([][]float64{dst}, levels)
}
