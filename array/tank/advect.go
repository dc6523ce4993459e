package tank

import "math/bits"

// advect moves the shares with the flow for h seconds, an axis at a time and the other
// one first at the next step: G. D. Weymouth & D. K.-P. Yue, J. Computational Physics
// 229 (2010) 2853-2865, doi:10.1016/j.jcp.2009.12.018 (from memory). What a cell loses
// through a side is the fluid its line leaves in the part that flows out; what it gains
// by the axis' own divergence is taken at 1 where the share was at least one half before
// both sweeps and at 0 elsewhere, so that over both sweeps it cancels to rounding. With
// max|u|h/dx + max|v|h/dy < ½ in each cell the share stays in 0…1.
func (t *Tank) advect(h float64) {
	for _, l := range t.layers {
		if l.empty() {
			continue
		}
		sweeps := [2]func(*Tank, *layer, float64, bool){(*Tank).sweepX, (*Tank).sweepY}
		sweeps[t.sweeps&1](t, l, h, true)
		t.scan(l, between)
		copy(t.reached, l.wide)
		t.widen(l)
		t.draw(l)
		t.markNew(l)
		sweeps[1-t.sweeps&1](t, l, h, false)
		t.scan(l, purity)
		t.giveBack(l)
		t.widen(l)
		t.draw(l)
	}
	t.sweeps++
}

// markNew sets core where the first sweep did not come and the second does.
func (t *Tank) markNew(l *layer) {
	for w, b := range l.wide {
		for b &^= t.reached[w]; b != 0; b &= b - 1 {
			i, j := w/t.words, w%t.words<<6+bits.TrailingZeros64(b)
			if j < t.nx {
				l.core[i*t.nx+j] = l.c[i*t.nx+j] >= 0.5
			}
		}
	}
}

// sweepX moves the shares along x; the first of two sweeps notes which cells hold more
// fluid than not.
func (t *Tank) sweepX(l *layer, h float64, first bool) {
	nx := t.nx
	f := h / t.dx
	for _, r := range l.runs {
		i, lo, hi := int(r.row), int(r.lo), int(r.hi)
		c, slot, core := l.c[i*nx:(i+1)*nx], l.slot[i*nx:(i+1)*nx], l.core[i*nx:(i+1)*nx]
		u := t.u[i*(nx+1) : (i+1)*(nx+1)]
		in := t.sideX(l, c, slot, f*u[lo], lo)
		for j := lo; j < hi; j++ {
			out := t.sideX(l, c, slot, f*u[j+1], j+1)
			d := in - out
			if first {
				core[j] = c[j] >= 0.5
			}
			if core[j] {
				d += f * (u[j+1] - u[j])
			}
			c[j] += d
			in = out
		}
	}
}

// sideX is the flux through the side between the cells j−1 and j of a row, q of a cell
// flowing through it to the right.
func (t *Tank) sideX(l *layer, c []float64, slot []int32, q float64, j int) float64 {
	if q > 0 {
		if s := slot[j-1]; s != 0 {
			m := &l.lines[s-1]
			return leaving(m.mx, m.my, m.alpha, q)
		}
		return q * c[j-1]
	}
	if q == 0 {
		return 0
	}
	if s := slot[j]; s != 0 {
		m := &l.lines[s-1]
		return -leaving(-m.mx, m.my, m.alpha, -q)
	}
	return q * c[j]
}

// sweepY moves the shares along y, downwards positive.
func (t *Tank) sweepY(l *layer, h float64, first bool) {
	nx := t.nx
	f := h / t.dy
	// The fluxes through the lower sides first: rows are changed in turn. Neither cell at
	// the side over a run's top row is listed unless the row above has a run there too.
	for _, r := range l.runs {
		i := int(r.row)
		for k := i*nx + int(r.lo); k < i*nx+int(r.hi); k++ {
			q := f * t.v[k+nx]
			switch {
			case q == 0:
				t.flux[k] = 0
			case q > 0:
				if s := l.slot[k]; s != 0 {
					m := &l.lines[s-1]
					t.flux[k] = leaving(m.my, m.mx, m.alpha, q)
				} else {
					t.flux[k] = q * l.c[k]
				}
			default:
				if s := l.slot[k+nx]; s != 0 {
					m := &l.lines[s-1]
					t.flux[k] = -leaving(-m.my, m.mx, m.alpha, -q)
				} else {
					t.flux[k] = q * l.c[k+nx]
				}
			}
		}
	}
	for _, r := range l.runs {
		i := int(r.row)
		for k := i*nx + int(r.lo); k < i*nx+int(r.hi); k++ {
			in := 0.0
			if i > 0 {
				if l.slot[k] == 0 && l.slot[k-nx] == 0 {
					in = f * t.v[k] * l.c[k]
				} else {
					in = t.flux[k-nx]
				}
			}
			d := in - t.flux[k]
			if first {
				l.core[k] = l.c[k] >= 0.5
			}
			if l.core[k] {
				d += f * (t.v[k+nx] - t.v[k])
			}
			l.c[k] += d
		}
	}
}
