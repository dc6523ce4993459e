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
// s belongs to the interface and is moved with it. Where the interface is faint it
// is copied from where it is strong, never the other way, so that a drop at rest
// keeps its hold for good.
func (t *Tank) hold(h float64) {
	limit := t.p.ContactLine / (2 * t.p.Gap)
	stiff := limit / t.reach() * h
	nx, ny := t.nx, t.ny
	kx, ky := h/t.dx, h/t.dy
	const strong = 0.02 // of c(1−c)
	for i := range ny {
		s := t.mixed[i]
		for j := s.lo; j < s.hi; j++ {
			k := i*nx + j
			c := t.c[k]
			w := c * (1 - c)
			t.held[k] = 0
			if w == 0 {
				continue
			}
			l, r, a, b := k, k, k, k
			if j > 0 {
				l = k - 1
			}
			if j < nx-1 {
				r = k + 1
			}
			if i > 0 {
				a = k - nx
			}
			if i < ny-1 {
				b = k + nx
			}
			if w < strong {
				sum, weight := 0.0, 0.0
				for _, n := range [4]int{l, r, a, b} {
					if wn := t.c[n] * (1 - t.c[n]); wn > w {
						sum += wn * t.grip[n]
						weight += wn
					}
				}
				if weight > 0 {
					t.held[k] = sum / weight
				}
				continue
			}
			u := 0.5 * (t.u[i*(nx+1)+j] + t.u[i*(nx+1)+j+1])
			v := 0.5 * (t.v[k] + t.v[k+nx])
			q := t.grip[k]
			if u > 0 {
				q -= kx * u * (t.grip[k] - t.grip[l])
			} else {
				q -= kx * u * (t.grip[r] - t.grip[k])
			}
			if v > 0 {
				q -= ky * v * (t.grip[k] - t.grip[a])
			} else {
				q -= ky * v * (t.grip[b] - t.grip[k])
			}
			m := i*(nx+1) + j
			ox := 0.25 * (t.cornerX[m] + t.cornerX[m+1] + t.cornerX[m+nx+1] + t.cornerX[m+nx+2])
			oy := 0.25 * (t.cornerY[m] + t.cornerY[m+1] + t.cornerY[m+nx+1] + t.cornerY[m+nx+2])
			q -= stiff * (u*ox + v*oy)
			t.held[k] = math.Max(-limit, math.Min(limit, q))
		}
	}
	for i := range ny {
		s := t.mixed[i]
		if !s.empty() {
			copy(t.grip[i*nx+s.lo:i*nx+s.hi], t.held[i*nx+s.lo:i*nx+s.hi])
		}
	}
}

// reach is how far the interface moves before the contact line lets go, m; no less
// than half a cell, below which the grid cannot tell.
func (t *Tank) reach() float64 { return max(0.25*t.p.Gap, 0.5*min(t.dx, t.dy)) }
