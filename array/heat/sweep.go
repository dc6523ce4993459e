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
	w, u   []float64 // scratch, one layer
}

// lines holds the factored systems of one layer in one direction: with pivots
// p, keep = C/p, carry = e_before/p, back = e_after/p.
type lines struct {
	layer             int
	keep, carry, back []float64
	same              bool // all lines of the layer alike: one line stored
}

const sdirkGamma = 1 - math.Sqrt2/2

func newSweeper(n *Network) *sweeper {
	s := &sweeper{n: n, w: make([]float64, n.pixels), u: make([]float64, n.pixels)}
	for l := range n.layers {
		lo := l * n.pixels
		if same, any := alike(n, lo, n.east, false); any {
			s.along = append(s.along, newLines(l, n.pixels, n.cols, same))
		}
		if same, any := alike(n, lo, n.south, true); any {
			s.down = append(s.down, newLines(l, n.pixels, n.rows, same))
		}
	}
	return s
}

func newLines(l, pixels, length int, same bool) lines {
	k := pixels
	if same {
		k = length
	}
	return lines{l, make([]float64, k), make([]float64, k), make([]float64, k), same}
}

// alike reports whether all lines of a layer have equal capacities and
// conductances, and whether any conducts at all.
func alike(n *Network, lo int, g []float64, columns bool) (same, any bool) {
	same = true
	for p := range n.pixels {
		first := lo + p%n.cols
		if columns {
			first = lo + p - p%n.cols
		}
		same = same && g[lo+p] == g[first] && n.capacity[lo+p] == n.capacity[first]
		any = any || g[lo+p] != 0
	}
	return same, any
}

// prepare factors the systems for steps of h.
func (s *sweeper) prepare(h float64) {
	s.h = h
	s.strong = h*s.n.lateralRate > 2
	a := h / 2
	if s.strong {
		a = sdirkGamma * h
	}
	n := s.n
	for _, t := range s.along {
		lo := t.layer * n.pixels
		for r := range n.rows {
			if t.same && r > 0 {
				break
			}
			o := r * n.cols
			factor(t.keep[o:], t.carry[o:], t.back[o:], n.capacity[lo+o:], n.east[lo+o:], n.cols, 1, a)
		}
	}
	for _, t := range s.down {
		lo := t.layer * n.pixels
		if t.same {
			// One value per row: take them from the first column.
			for r := range n.rows {
				s.u[r] = n.capacity[lo+r*n.cols]
				s.w[r] = n.south[lo+r*n.cols]
			}
			factor(t.keep, t.carry, t.back, s.u, s.w, n.rows, 1, a)
			continue
		}
		for c := range n.cols {
			factor(t.keep[c:], t.carry[c:], t.back[c:], n.capacity[lo+c:], n.south[lo+c:], n.rows, n.cols, a)
		}
	}
}

// factor eliminates one line of C + a K, entries stride apart.
func factor(keep, carry, back, capacity, g []float64, length, stride int, a float64) {
	before, pivot := 0.0, 1.0
	for i := range length {
		k := i * stride
		after := 0.0
		if i+1 < length {
			after = a * g[k]
		}
		pivot = capacity[k] + before*(1-before/pivot) + after
		keep[k] = capacity[k] / pivot
		carry[k] = before / pivot
		back[k] = after / pivot
		before = after
	}
}

// rows conducts along the rows, columns along the columns, for h each.
func (s *sweeper) rows(rise []float64)    { s.sweep(rise, s.along, s.solveRows) }
func (s *sweeper) columns(rise []float64) { s.sweep(rise, s.down, s.solveColumns) }

func (s *sweeper) sweep(rise []float64, all []lines, solve func(t *lines, u, out []float64, twice bool)) {
	for i := range all {
		t := &all[i]
		u := rise[t.layer*s.n.pixels : (t.layer+1)*s.n.pixels]
		if !s.strong {
			solve(t, u, u, true)
			continue
		}
		solve(t, u, s.u, false)
		const b2, b1 = (1 - sdirkGamma) / sdirkGamma, (1 - 2*sdirkGamma) / sdirkGamma
		for k, v := range s.u {
			u[k] = b2*v - b1*u[k]
		}
		solve(t, u, u, false)
	}
}

// solveColumns solves down the columns, a row of the picture at a time. With
// twice the result is 2 w u − u, else w u.
func (s *sweeper) solveColumns(t *lines, u, out []float64, twice bool) {
	cols, rows := s.n.cols, s.n.rows
	w := s.w[:len(u)]
	for r := range rows {
		o := r * cols
		ur, wr := u[o:o+cols], w[o:o+cols]
		if t.same {
			k, b := t.keep[r], t.carry[r]
			if r == 0 {
				for c, v := range ur {
					wr[c] = k * v
				}
				continue
			}
			wp := w[o-cols : o]
			for c, v := range ur {
				wr[c] = k*v + b*wp[c]
			}
			continue
		}
		kr := t.keep[o : o+cols]
		if r == 0 {
			for c, v := range ur {
				wr[c] = kr[c] * v
			}
			continue
		}
		wp, br := w[o-cols:o], t.carry[o:o+cols]
		for c, v := range ur {
			wr[c] = kr[c]*v + br[c]*wp[c]
		}
	}
	for r := rows - 1; r >= 0; r-- {
		o := r * cols
		wr := w[o : o+cols]
		if r < rows-1 {
			wn := w[o+cols : o+2*cols]
			if t.same {
				b := t.back[r]
				for c := range wr {
					wr[c] += b * wn[c]
				}
			} else {
				br := t.back[o : o+cols]
				for c := range wr {
					wr[c] += br[c] * wn[c]
				}
			}
		}
		ur, or := u[o:o+cols], out[o:o+cols]
		if twice {
			for c, v := range wr {
				or[c] = 2*v - ur[c]
			}
		} else {
			copy(or, wr)
		}
	}
}

// solveRows solves along the rows, four rows at once so that their recurrences
// overlap.
func (s *sweeper) solveRows(t *lines, u, out []float64, twice bool) {
	cols, rows := s.n.cols, s.n.rows
	r := 0
	for ; r+4 <= rows; r += 4 {
		o := r * cols
		u0, u1, u2, u3 := u[o:o+cols], u[o+cols:o+2*cols], u[o+2*cols:o+3*cols], u[o+3*cols:o+4*cols]
		w0, w1, w2, w3 := s.w[0:cols], s.w[cols:2*cols], s.w[2*cols:3*cols], s.w[3*cols:4*cols]
		k0, k1, k2, k3 := t.four(t.keep, o, cols)
		c0, c1, c2, c3 := t.four(t.carry, o, cols)
		b0, b1, b2, b3 := t.four(t.back, o, cols)
		var a0, a1, a2, a3 float64
		for c, v := range u0 {
			a0 = k0[c]*v + c0[c]*a0
			a1 = k1[c]*u1[c] + c1[c]*a1
			a2 = k2[c]*u2[c] + c2[c]*a2
			a3 = k3[c]*u3[c] + c3[c]*a3
			w0[c], w1[c], w2[c], w3[c] = a0, a1, a2, a3
		}
		o0, o1, o2, o3 := out[o:o+cols], out[o+cols:o+2*cols], out[o+2*cols:o+3*cols], out[o+3*cols:o+4*cols]
		a0, a1, a2, a3 = 0, 0, 0, 0
		if twice {
			for c := len(o0) - 1; c >= 0; c-- {
				a0 = w0[c] + b0[c]*a0
				a1 = w1[c] + b1[c]*a1
				a2 = w2[c] + b2[c]*a2
				a3 = w3[c] + b3[c]*a3
				o0[c] = 2*a0 - u0[c]
				o1[c] = 2*a1 - u1[c]
				o2[c] = 2*a2 - u2[c]
				o3[c] = 2*a3 - u3[c]
			}
			continue
		}
		for c := len(o0) - 1; c >= 0; c-- {
			a0 = w0[c] + b0[c]*a0
			a1 = w1[c] + b1[c]*a1
			a2 = w2[c] + b2[c]*a2
			a3 = w3[c] + b3[c]*a3
			o0[c], o1[c], o2[c], o3[c] = a0, a1, a2, a3
		}
	}
	for ; r < rows; r++ {
		o := r * cols
		ur, or, wr := u[o:o+cols], out[o:o+cols], s.w[:cols]
		k, _, _, _ := t.four(t.keep, o, cols)
		f, _, _, _ := t.four(t.carry, o, cols)
		b, _, _, _ := t.four(t.back, o, cols)
		a := 0.0
		for c, v := range ur {
			a = k[c]*v + f[c]*a
			wr[c] = a
		}
		a = 0
		for c := cols - 1; c >= 0; c-- {
			a = wr[c] + b[c]*a
			if twice {
				or[c] = 2*a - ur[c]
			} else {
				or[c] = a
			}
		}
	}
}

// four returns up to four rows of coefficients from offset o on.
func (t *lines) four(v []float64, o, cols int) (a, b, c, d []float64) {
	if t.same {
		v = v[:cols:cols]
		return v, v, v, v
	}
	a = v[o : o+cols : o+cols]
	if o+4*cols <= len(v) {
		b, c, d = v[o+cols:o+2*cols], v[o+2*cols:o+3*cols], v[o+3*cols:o+4*cols]
	}
	return a, b, c, d
}
