package tank

import "math"

// hold advances the contact line's hold by h seconds. On a pane that is not
// perfectly smooth the line where the interface meets it stays put until the
// contact angle has gone from its receding to its advancing value (E. B. Dussan V.
// & R. T.-P. Chow, J. Fluid Mechanics 137 (1983) 1-29, from memory), and the
// pressure jump over the interface changes with the angle. So the interface
// carries a pressure s that is raised by moving out and lowered by moving in,
// in proportion to the way, up to a limit at which the line lets go:
//
//	ds/dt = (limit/reach)·(speed outwards),   |s| ≤ limit = f/2b.
//
// A drop of width D then resists any pull up to 2·limit·b·D = fD, f the retaining
// force per width. The reach, how far the interface bulges before the line goes,
// is of the order of the gap; a quarter of it is taken here (no source: it shifts a
// held drop by that much and changes nothing else).
//
// s belongs to the interface and is moved with it, from listed cell to listed cell; a
// cell that the interface has just entered takes the mean of its neighbours'.
func (t *Tank) hold(l *layer, h float64) {
	limit := t.p.ContactLine / (2 * t.p.Gap)
	stiff := limit / t.reach() * h
	nx, ny := t.nx, t.ny
	kx, ky := h/t.dx, h/t.dy
	l.held = resize(l.held, len(l.cells))
	for s, k32 := range l.cells {
		k := int(k32)
		i, j := k/nx, k%nx
		q := l.grip[k]
		if math.IsNaN(q) {
			sum, weight := 0.0, 0.0
			for ii := max(i-1, 0); ii <= min(i+1, ny-1); ii++ {
				for jj := max(j-1, 0); jj <= min(j+1, nx-1); jj++ {
					n := ii*nx + jj
					if g := l.grip[n]; !math.IsNaN(g) {
						w := l.c[n]*(1-l.c[n]) + 1e-3
						sum, weight = sum+w*g, weight+w
					}
				}
			}
			l.held[s] = 0
			if weight > 0 {
				l.held[s] = sum / weight
			}
			continue
		}
		// The slope is upwind; towards a cell without interface there is none.
		slope := func(n int, inside bool, sign float64) float64 {
			if !inside || math.IsNaN(l.grip[n]) {
				return 0
			}
			return sign * (q - l.grip[n])
		}
		u := 0.5 * (t.u[k+i] + t.u[k+i+1])
		v := 0.5 * (t.v[k] + t.v[k+nx])
		d := 0.0
		if u > 0 {
			d -= kx * u * slope(k-1, j > 0, 1)
		} else {
			d -= kx * u * slope(k+1, j < nx-1, -1)
		}
		if v > 0 {
			d -= ky * v * slope(k-nx, i > 0, 1)
		} else {
			d -= ky * v * slope(k+nx, i < ny-1, -1)
		}
		f := &l.facets[s]
		l.held[s] = min(max(q+d+stiff*(u*f.nx+v*f.ny), -limit), limit)
	}
	for _, k := range l.before {
		l.grip[k] = math.NaN()
	}
	for s, k := range l.cells {
		l.grip[k] = l.held[s]
	}
	l.before = append(l.before[:0], l.cells...)
}

// reach is how far the interface moves before the contact line lets go, m; no less
// than half a cell, below which the grid cannot tell.
func (t *Tank) reach() float64 { return max(0.25*t.p.Gap, 0.5*min(t.dx, t.dy)) }
