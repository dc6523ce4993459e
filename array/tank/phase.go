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
			top := t.cornerX[i*(nx+1) : (i+1)*(nx+1)]
			bottom := t.cornerX[(i+1)*(nx+1) : (i+2)*(nx+1)]
			for j := max(s.lo, 1); j <= min(s.hi, nx-1); j++ {
				a, b := c[j-1], c[j]
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
			above := t.c[(i-1)*nx : i*nx]
			c := t.c[i*nx : (i+1)*nx]
			f := t.fluxY[i*nx : (i+1)*nx]
			n := t.cornerY[i*(nx+1) : (i+1)*(nx+1)]
			for j := s.lo; j < s.hi; j++ {
				a, b := above[j], c[j]
				if a == b && (a == 0 || a == 1) {
					f[j] = 0
					continue
				}
				f[j] = gy * ((b - a) - tanh(ay*(n[j]+n[j+1]))*(a+b-2*a*b))
			}
		}
	}
	for i := range t.ny {
		s := t.spans[i]
		c := t.c[i*nx : (i+1)*nx]
		f := t.fluxX[i*(nx+1) : (i+1)*(nx+1)]
		top, bottom := t.fluxY[i*nx:(i+1)*nx], t.fluxY[(i+1)*nx:(i+2)*nx]
		for j := s.lo; j < s.hi; j++ {
			c[j] += (f[j+1] - f[j]) + (bottom[j] - top[j])
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
			c := t.c[i*nx : (i+1)*nx]
			f := t.fluxX[i*(nx+1) : (i+1)*(nx+1)]
			u := t.u[i*(nx+1) : (i+1)*(nx+1)]
			for j := max(s.lo, 1); j <= min(s.hi, nx-1); j++ {
				if q := kx * u[j]; q > 0 {
					f[j] = q * faceValue(c[max(j-2, 0)], c[j-1], c[j], q)
				} else {
					f[j] = q * faceValue(c[min(j+1, nx-1)], c[j], c[j-1], -q)
				}
			}
		}
		if i == 0 {
			continue
		}
		if s = s.hull(t.spans[i-1]); !s.empty() {
			above := t.c[(i-1)*nx : i*nx]
			c := t.c[i*nx : (i+1)*nx]
			above2 := above
			if i > 1 {
				above2 = t.c[(i-2)*nx : (i-1)*nx]
			}
			below := c
			if i < ny-1 {
				below = t.c[(i+1)*nx : (i+2)*nx]
			}
			f := t.fluxY[i*nx : (i+1)*nx]
			v := t.v[i*nx : (i+1)*nx]
			for j := s.lo; j < s.hi; j++ {
				if q := ky * v[j]; q > 0 {
					f[j] = q * faceValue(above2[j], above[j], c[j], q)
				} else {
					f[j] = q * faceValue(below[j], c[j], above[j], -q)
				}
			}
		}
	}
	limbo, weight := 0.0, 0.0
	for i := range ny {
		s := t.spans[i]
		c := t.c[i*nx : (i+1)*nx]
		f := t.fluxX[i*(nx+1) : (i+1)*(nx+1)]
		top, bottom := t.fluxY[i*nx:(i+1)*nx], t.fluxY[(i+1)*nx:(i+2)*nx]
		for j := s.lo; j < s.hi; j++ {
			a := c[j] - (f[j+1] - f[j]) - (bottom[j] - top[j])
			if a < purity {
				limbo += a
				a = 0
			} else if b := 1 - a; b < purity {
				limbo -= b
				a = 1
			}
			weight += a * (1 - a)
			c[j] = a
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
