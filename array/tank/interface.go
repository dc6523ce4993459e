package tank

import "math"

// refresh works out, from c as it now is, everything about the interface: gives
// back what advect cut off, finds the cells that matter, and their distances,
// normals and curvatures.
func (t *Tank) refresh() {
	t.distances()
	t.dilate()
	t.normals()
	t.curvatures()
}

// distances gives the cut-off shares back in proportion to c(1−c), which moves the
// interface as a whole by next to nothing, and sets psi and the mixed spans.
func (t *Tank) distances() {
	nx, ny := t.nx, t.ny
	back := 0.0
	if t.weight > 0 {
		// More than one half per unit of weight could push c out of 0…1.
		back = min(max(t.limbo/t.weight, -0.5), 0.5)
		t.limbo -= back * t.weight
	}
	for i := range t.mixed {
		t.mixed[i] = span{nx, 0}
	}
	for i := range ny {
		s := t.spans[i]
		if s.empty() {
			continue
		}
		c := t.c[i*nx+s.lo : i*nx+s.hi]
		psi := t.psi[i*nx+s.lo:][:len(c)]
		lo, hi := nx, 0
		for j, a := range c {
			if a == 0 {
				psi[j] = -psiLimit
				continue
			}
			if a == 1 {
				psi[j] = psiLimit
				continue
			}
			a += back * a * (1 - a)
			c[j] = a
			psi[j] = logarithm(a / (1 - a))
			if j < lo {
				lo = j
			}
			hi = j + 1
		}
		if lo < hi {
			t.mixed[i] = span{s.lo + lo, s.lo + hi}
		}
	}
	// Jumps between pure cells, which a sharp flow can leave behind.
	for i := range ny {
		s := t.spans[i]
		c := t.c[i*nx : (i+1)*nx]
		below := c
		if i < ny-1 {
			below = t.c[(i+1)*nx : (i+2)*nx]
		}
		for j := s.lo; j < s.hi; j++ {
			a := c[j]
			if a != 0 && a != 1 {
				continue
			}
			if j < nx-1 && a+c[j+1] == 1 && a*c[j+1] == 0 {
				t.mixed[i] = t.mixed[i].hull(span{j, j + 2})
			}
			if a+below[j] == 1 && a*below[j] == 0 {
				t.mixed[i] = t.mixed[i].hull(span{j, j + 1})
				t.mixed[i+1] = t.mixed[i+1].hull(span{j, j + 1})
			}
		}
	}
}

// logarithm is ln x for a positive normal x, to 1e-9: the power of two taken out by
// its bits, then ln m = 2 artanh((m−1)/(m+1)) with m within √2 of 1.
func logarithm(x float64) float64 {
	b := math.Float64bits(x)
	const half = 0x3fe6a09e667f3bcd // √½
	e := int64(b-half) >> 52
	m := math.Float64frombits(b - uint64(e)<<52)
	s := (m - 1) / (m + 1)
	q := s * s
	return float64(e)*math.Ln2 + s*(2+q*(2.0/3+q*(2.0/5+q*(2.0/7+q*(2.0/9+q*(2.0/11))))))
}

// dilate widens the mixed spans by two cells every way: in one substep a share can
// pass into the next cell by sharpen and on into the one after by advect.
func (t *Tank) dilate() {
	for i := range t.spans {
		var s span
		for k := max(i-2, 0); k <= min(i+2, t.ny-1); k++ {
			s = s.hull(t.mixed[k])
		}
		if !s.empty() {
			s = span{max(s.lo-2, 0), min(s.hi+2, t.nx)}
		}
		t.spans[i] = s
	}
}

// normals sets ∇ψ/|∇ψ| at the corners of the cells in the spans. ψ is linear
// across the interface where c is a step, so its differences are accurate. Where it
// is nearly flat, between two interfaces, the normal is made short.
func (t *Tank) normals() {
	nx, ny := t.nx, t.ny
	fx, fy := 0.5/t.dx, 0.5/t.dy
	tiny := 0.01 / t.eps
	tiny *= tiny
	for i := 0; i <= ny; i++ {
		var s span
		if i > 0 {
			s = t.spans[i-1]
		}
		if i < ny {
			s = s.hull(t.spans[i])
		}
		if s.empty() {
			continue
		}
		above := t.psi[max(i-1, 0)*nx:][:nx]
		below := t.psi[min(i, ny-1)*nx:][:nx]
		cx := t.cornerX[i*(nx+1) : (i+1)*(nx+1)]
		cy := t.cornerY[i*(nx+1) : (i+1)*(nx+1)]
		a, b := above[max(s.lo-1, 0)], below[max(s.lo-1, 0)]
		for j := s.lo; j <= s.hi; j++ {
			c, d := above[min(j, nx-1)], below[min(j, nx-1)]
			gx, gy := fx*((c-a)+(d-b)), fy*((b-a)+(d-c))
			a, b = c, d
			if gx == 0 && gy == 0 {
				cx[j], cy[j] = 0, 0
				continue
			}
			l := 1 / math.Sqrt(gx*gx+gy*gy+tiny)
			cx[j], cy[j] = gx*l, gy*l
		}
	}
}

// curvatures sets −∇·n, carried along the normal to the interface: a circle of
// radius R seen at the distance d inside has 1/(R−d), and 1/R is wanted
// everywhere across, or the curvature's own variation would drive a flow.
func (t *Tank) curvatures() {
	if t.p.SurfaceTension == 0 {
		return
	}
	nx := t.nx
	fx, fy := 0.5/t.dx, 0.5/t.dy
	limit := 1 / min(t.dx, t.dy)
	for i := range t.ny {
		s := t.mixed[i]
		if s.empty() {
			continue
		}
		c := t.c[i*nx : (i+1)*nx]
		psi := t.psi[i*nx : (i+1)*nx]
		kappa := t.kappa[i*nx : (i+1)*nx]
		xa, xb := t.cornerX[i*(nx+1):(i+1)*(nx+1)], t.cornerX[(i+1)*(nx+1):(i+2)*(nx+1)]
		ya, yb := t.cornerY[i*(nx+1):(i+1)*(nx+1)], t.cornerY[(i+1)*(nx+1):(i+2)*(nx+1)]
		for j := s.lo; j < s.hi; j++ {
			if a := c[j]; a == 0 || a == 1 {
				continue // no share in any mean of curvatures
			}
			k := fx*((xa[j]+xb[j])-(xa[j+1]+xb[j+1])) + fy*((ya[j]+ya[j+1])-(yb[j]+yb[j+1]))
			if q := 1 + k*t.eps*psi[j]; q > 0.25 {
				k /= q
			} else {
				k *= 4
			}
			if k > limit {
				k = limit
			} else if k < -limit {
				k = -limit
			}
			kappa[j] = k
		}
	}
}
