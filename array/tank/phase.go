package tank

// Shares nearer than purity to 0 or 1 are cut to 0 and 1; what is cut is given back
// to the interface in the same substep. Only cells about the interface then need
// work, and the rest stays exactly pure.
const (
	purity   = 1e-5
	psiLimit = 11.512915464920228 // ln((1−purity)/purity)
)

// span is the columns lo … hi−1 of a row; empty when hi <= lo.
type span struct{ lo, hi int }

func (s span) empty() bool { return s.hi <= s.lo }

func (s span) hull(o span) span {
	if s.empty() {
		return o
	}
	if o.empty() {
		return s
	}
	return span{min(s.lo, o.lo), max(s.hi, o.hi)}
}

// sharpen takes one explicit step of ∂c/∂t = Γ∇·(ε∇c − c(1−c)n). Between
// neighbours a and b at distance d along an axis where n has the component m, the
// flux is
//
//	Γε/d · [(b − a) − tanh(md/2ε)(a + b − 2ab)],
//
// which vanishes exactly for the flat profile c = 1/(1+exp(−n·x/ε)), since there
// b−a = tanh(md/2ε)(a+b−2ab). Each neighbour enters a cell's new value with a
// factor that is not negative, and so does 1−c, while Γεh(2/dx²+2/dy²)(1+tanh) ≤ 1:
// c cannot leave 0…1. With Γ = sharpening·(cells per second)·cell and the Courant
// number at one half that sum is at most 0.95.
func (t *Tank) sharpen(h float64) {
	cell := min(t.dx, t.dy)
	g := sharpening * t.rate * cell * t.eps * h
	if g == 0 {
		return
	}
	nx := t.nx
	gx, gy := g/(t.dx*t.dx), g/(t.dy*t.dy)
	ax, ay := t.dx/(4*t.eps), t.dy/(4*t.eps) // with the two corners' sum in place of their mean
	for i := range t.ny {
		s := t.spans[i]
		if !s.empty() {
			c := t.c[i*nx : (i+1)*nx]
			f := t.fluxX[i*(nx+1) : (i+1)*(nx+1)]
			lo, n := s.sides(nx)
			f = f[lo:][:n]
			right := c[lo:][:n]
			top := t.cornerX[i*(nx+1)+lo:][:n]
			bottom := t.cornerX[(i+1)*(nx+1)+lo:][:n]
			b := c[lo-1]
			for j := range f {
				a := b
				b = right[j]
				if a == b && (a == 0 || a == 1) {
					f[j] = 0
					continue
				}
				f[j] = gx * ((b - a) - tanh(ax*(top[j]+bottom[j]))*(a+b-2*a*b))
			}
		}
		if i == 0 {
			continue
		}
		if s = s.hull(t.spans[i-1]); !s.empty() {
			n := s.hi - s.lo
			above := t.c[(i-1)*nx+s.lo:][:n]
			c := t.c[i*nx+s.lo:][:n]
			f := t.fluxY[i*nx+s.lo:][:n]
			corner := t.cornerY[i*(nx+1)+s.lo:][:n+1]
			right := corner[1:][:n]
			for j := range f {
				a, b := above[j], c[j]
				if a == b && (a == 0 || a == 1) {
					f[j] = 0
					continue
				}
				f[j] = gy * ((b - a) - tanh(ay*(corner[j]+right[j]))*(a+b-2*a*b))
			}
		}
	}
	t.gather(1)
}

// sides is the first of the inner sides of the cells in a span that is not empty,
// in a row of nx cells, and their number. Side j is left of cell j.
func (s span) sides(nx int) (lo, n int) {
	lo = max(s.lo, 1)
	return lo, min(s.hi, nx-1) + 1 - lo
}

// gather adds sign times what flows in less what flows out to the cells in the
// spans, for fluxes counted positive up and to the left.
func (t *Tank) gather(sign float64) {
	nx := t.nx
	for i, s := range t.spans {
		if s.empty() {
			continue
		}
		n := s.hi - s.lo
		c := t.c[i*nx+s.lo:][:n]
		f := t.fluxX[i*(nx+1)+s.lo:][:n+1]
		right := f[1:][:n]
		top, bottom := t.fluxY[i*nx+s.lo:][:n], t.fluxY[(i+1)*nx+s.lo:][:n]
		left := f[0]
		for j := range c {
			r := right[j]
			c[j] += sign * ((r - left) + (bottom[j] - top[j]))
			left = r
		}
	}
}

// tanh is good to 2e-5 for |x| ≤ 0.7, the range met here, and stays inside ±1
// there; the exact value only sets the interface's width.
func tanh(x float64) float64 {
	q := x * x
	return x * (15 + q) / (15 + 6*q)
}

// advect moves c with the flow: second-order fluxes with van Leer's limiter (B. van
// Leer, J. Computational Physics 14 (1974) 361-370, doi:10.1016/0021-9991(74)90019-9,
// from memory). A face value is at most twice the share of the cell it leaves, and
// one minus it at most twice that cell's one minus share, so with Courant numbers
// up to one half and a flow free of divergence c stays in 0…1.
func (t *Tank) advect(h float64) {
	nx, ny := t.nx, t.ny
	kx, ky := h/t.dx, h/t.dy
	for i := range ny {
		s := t.spans[i]
		if !s.empty() {
			lo, n := s.sides(nx)
			c := t.c[i*nx : (i+1)*nx]
			f := t.fluxX[i*(nx+1)+lo:][:n]
			u := t.u[i*(nx+1)+lo:][:n]
			next := c[lo+1:] // may be one short
			left2, left, right := c[max(lo-2, 0)], c[lo-1], c[lo]
			for j := range f {
				right2 := right
				if j < len(next) {
					right2 = next[j]
				}
				if q := kx * u[j]; q > 0 {
					f[j] = q * faceValue(left2, left, right, q)
				} else {
					f[j] = q * faceValue(right2, right, left, -q)
				}
				left2, left, right = left, right, right2
			}
		}
		if i == 0 {
			continue
		}
		if s = s.hull(t.spans[i-1]); !s.empty() {
			n := s.hi - s.lo
			above2 := t.c[max(i-2, 0)*nx+s.lo:][:n]
			above := t.c[(i-1)*nx+s.lo:][:n]
			c := t.c[i*nx+s.lo:][:n]
			below := t.c[min(i+1, ny-1)*nx+s.lo:][:n]
			f := t.fluxY[i*nx+s.lo:][:n]
			v := t.v[i*nx+s.lo:][:n]
			for j := range f {
				if q := ky * v[j]; q > 0 {
					f[j] = q * faceValue(above2[j], above[j], c[j], q)
				} else {
					f[j] = q * faceValue(below[j], c[j], above[j], -q)
				}
			}
		}
	}
	t.gather(-1)
	t.purify()
}

// purify cuts shares next to 0 and 1, keeping account of what it cut.
func (t *Tank) purify() {
	limbo, weight := 0.0, 0.0
	for i, s := range t.spans {
		if s.empty() {
			continue
		}
		c := t.c[i*t.nx+s.lo : i*t.nx+s.hi]
		for j, a := range c {
			if a < purity {
				limbo += a
				c[j] = 0
			} else if b := 1 - a; b < purity {
				limbo -= b
				c[j] = 1
			} else {
				weight += a * b
			}
		}
	}
	t.limbo += limbo
	t.weight = weight
}

// faceValue is c at a face that the part q of the cell up leaves through, up to
// the side of down; back is the cell behind.
func faceValue(back, up, down, q float64) float64 {
	a, b := up-back, down-up
	if p := a * b; p > 0 {
		return up + (1-q)*p/(a+b)
	}
	return up
}
