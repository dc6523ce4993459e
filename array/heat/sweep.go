package heat

import "math"

// sweeper conducts heat within the layers, one direction at a time, by
// tridiagonal systems solved for every row or column:
//
//	(C + a K) v = C u,   K the conduction along the line
//
// which is v = w(u) with w = (1 − a J)⁻¹ and J = −K/C. With a = h/2 the trapezoidal
// step is u ← 2 w u − u. Where h is long against the conduction it would ring, and
// the step is instead the second-order form that damps fully (SDIRK2 with
// γ = 1 − 1/√2, R. Alexander, SIAM J. Numer. Anal. 14 (1977) 1006), which with
// the same kind of solve, a = γ h, is
//
//	u ← w [ (1−γ)/γ w u − (1−2γ)/γ u ]
//
// Both keep Σ C u to rounding.
type sweeper struct {
	n      *Network
	h      float64
	strong bool // damping form
	along  []lines
	down   []lines
	w      []float64 // w u of one layer
}

// lines holds the factored system of one layer in one direction, all of whose lines are
// alike: with pivots p, keep = C/p, carry = e_before/p, back = e_after/p.
type lines struct {
	layer             int
	keep, carry, back []float64
}

const sdirkGamma = 1 - math.Sqrt2/2

func newSweeper(n *Network) *sweeper {
	s := &sweeper{n: n, w: make([]float64, n.pixels)}
	for l, y := range n.p.Layers {
		if y.Lateral > 0 && n.cols > 1 {
			s.along = append(s.along, newLines(l, n.cols))
		}
		if y.Lateral > 0 && n.rows > 1 {
			s.down = append(s.down, newLines(l, n.rows))
		}
	}
	return s
}

func newLines(l, length int) lines {
	return lines{l, make([]float64, length), make([]float64, length), make([]float64, length)}
}

// prepare factors the systems for steps of h.
func (s *sweeper) prepare(h float64) {
	s.h = h
	s.strong = h*s.n.lateralRate > 2
	a := h / 2
	if s.strong {
		a = sdirkGamma * h
	}
	for _, all := range [][]lines{s.along, s.down} {
		for _, t := range all {
			t.factor(s.n.p.Layers[t.layer].Capacity, a*s.n.p.Layers[t.layer].Lateral)
		}
	}
}

// factor eliminates C + a K, link the conductance between neighbours times a.
func (t *lines) factor(capacity, link float64) {
	before, pivot := 0.0, 1.0
	for i := range t.keep {
		after := link
		if i+1 == len(t.keep) {
			after = 0
		}
		pivot = capacity + before*(1-before/pivot) + after
		t.keep[i], t.carry[i], t.back[i] = capacity/pivot, before/pivot, after/pivot
		before = after
	}
}

// rows conducts along the rows, columns along the columns, for h each.
func (s *sweeper) rows(rise []float64)    { s.sweep(rise, s.along, s.solveRows) }
func (s *sweeper) columns(rise []float64) { s.sweep(rise, s.down, s.solveColumns) }

func (s *sweeper) sweep(rise []float64, all []lines, solve func(t *lines, u []float64)) {
	for i := range all {
		t := &all[i]
		u := rise[t.layer*s.n.pixels : (t.layer+1)*s.n.pixels]
		solve(t, u)
		if !s.strong {
			for k, v := range s.w {
				u[k] = 2*v - u[k]
			}
			continue
		}
		const b2, b1 = (1 - sdirkGamma) / sdirkGamma, (1 - 2*sdirkGamma) / sdirkGamma
		for k, v := range s.w {
			u[k] = b2*v - b1*u[k]
		}
		solve(t, u)
		copy(u, s.w)
	}
}

// solveColumns puts w u down the columns into s.w, a row of the picture at a time.
func (s *sweeper) solveColumns(t *lines, u []float64) {
	cols := s.n.cols
	for r, k := range t.keep {
		o := r * cols
		ur, wr := u[o:o+cols], s.w[o:o+cols]
		if r == 0 {
			for c, v := range ur {
				wr[c] = k * v
			}
			continue
		}
		wp, b := s.w[o-cols:o], t.carry[r]
		for c, v := range ur {
			wr[c] = k*v + b*wp[c]
		}
	}
	for r := s.n.rows - 2; r >= 0; r-- {
		o := r * cols
		wr, wn, b := s.w[o:o+cols], s.w[o+cols:o+2*cols], t.back[r]
		for c := range wr {
			wr[c] += b * wn[c]
		}
	}
}

// solveRows puts w u along the rows into s.w, four rows at once so that their
// recurrences overlap.
func (s *sweeper) solveRows(t *lines, u []float64) {
	cols, rows := s.n.cols, s.n.rows
	keep, carry, back := t.keep[:cols], t.carry[:cols], t.back[:cols]
	r := 0
	for ; r+4 <= rows; r += 4 {
		o := r * cols
		u0, u1, u2, u3 := u[o:o+cols], u[o+cols:o+2*cols], u[o+2*cols:o+3*cols], u[o+3*cols:o+4*cols]
		w0, w1, w2, w3 := s.w[o:o+cols], s.w[o+cols:o+2*cols], s.w[o+2*cols:o+3*cols], s.w[o+3*cols:o+4*cols]
		var a0, a1, a2, a3 float64
		for c, v := range u0 {
			a0 = keep[c]*v + carry[c]*a0
			a1 = keep[c]*u1[c] + carry[c]*a1
			a2 = keep[c]*u2[c] + carry[c]*a2
			a3 = keep[c]*u3[c] + carry[c]*a3
			w0[c], w1[c], w2[c], w3[c] = a0, a1, a2, a3
		}
		a0, a1, a2, a3 = 0, 0, 0, 0
		for c := len(w0) - 1; c >= 0; c-- {
			a0 = w0[c] + back[c]*a0
			a1 = w1[c] + back[c]*a1
			a2 = w2[c] + back[c]*a2
			a3 = w3[c] + back[c]*a3
			w0[c], w1[c], w2[c], w3[c] = a0, a1, a2, a3
		}
	}
	for ; r < rows; r++ {
		ur, wr := u[r*cols:][:cols], s.w[r*cols:][:cols]
		a := 0.0
		for c, v := range ur {
			a = keep[c]*v + carry[c]*a
			wr[c] = a
		}
		a = 0
		for c := cols - 1; c >= 0; c-- {
			a = wr[c] + back[c]*a
			wr[c] = a
		}
	}
}
