package tank

import "math"

// slip moves c by what the resolved flow misses. The two liquids slide past each
// other along the interface, by a jump or within a layer of about a third of the
// gap; smeared over the interface's width, the mean velocity u hides it. If u and c
// are means over that width of two uniform states u1 inside and u2 outside, the mean
// of their product is
//
//	cu1 = cu + c(1−c)(u1−u2),
//
// and the jump is along the interface, so it is the vorticity ω over |∇c|; in the
// profile kept by sharpen c(1−c) = ε|∇c|, which leaves the flux εωt, t the unit
// tangent. Without it a round drop falls too slowly by the part 2ε/R.
//
// In a layer wider than the interface less is hidden. For the layer friction makes,
// sgn(n)(1−e^(−|n|/d)) at the distance n, the flux missed and the flux εω, both
// summed over the interface, were computed numerically for ε/d from 0.02 to 10; their
// ratio is (0.413d+0.929ε)/(d+0.86ε), within 3 %.
//
// A side's flux is held to a quarter of what the cell it leaves has and of what
// the cell it enters has room for, so c stays in 0…1.
func (t *Tank) slip(h float64) {
	if t.rate == 0 {
		return
	}
	nx, ny := t.nx, t.ny
	d := math.Sqrt(t.layer)
	hidden := t.eps * (0.413*d + 0.929*t.eps) / (d + 0.86*t.eps)
	kx, ky := 0.5*h/t.dx*hidden, 0.5*h/t.dy*hidden
	t.swirl()
	for i := range ny {
		s := t.spans[i]
		if !s.empty() {
			lo, n := s.sides(nx)
			f := t.fluxX[i*(nx+1)+lo:][:n]
			right := t.c[i*nx+lo:][:n]
			top := t.slipX[i*(nx+1)+lo:][:n]
			bottom := t.slipX[(i+1)*(nx+1)+lo:][:n]
			b := t.c[i*nx+lo-1]
			for j := range f {
				a := b
				b = right[j]
				f[j] = slipFlux(kx*(top[j]+bottom[j]), a, b)
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
			corner := t.slipY[i*(nx+1)+s.lo:][:n+1]
			right := corner[1:][:n]
			for j := range f {
				f[j] = slipFlux(ky*(corner[j]+right[j]), above[j], c[j])
			}
		}
	}
	t.gather(-1)
}

// slipFlux is the flux q from a cell with share a to one with b, faded out away
// from the interface, where vorticity is not slip.
func slipFlux(q, a, b float64) float64 {
	const fade = 0.05
	s := 0.5 * (a + b - 2*a*b)
	if s < 0.01*fade {
		return 0
	}
	if s < fade {
		q *= s * (1 / fade)
	}
	if q > 0 {
		return lesser(q, 0.25*lesser(a, 1-b))
	}
	return -lesser(-q, 0.25*lesser(b, 1-a))
}

// lesser is min without its care for NaN and −0.
func lesser(a, b float64) float64 {
	if a < b {
		return a
	}
	return b
}

// swirl sets ωt at the corners of the cells in the spans; walls have none.
func (t *Tank) swirl() {
	nx := t.nx
	fx, fy := 1/t.dx, 1/t.dy
	for i := 1; i < t.ny; i++ {
		s := t.spans[i].hull(t.spans[i-1])
		if s.empty() {
			continue
		}
		lo, n := s.sides(nx)
		ua, ub := t.u[(i-1)*(nx+1)+lo:][:n], t.u[i*(nx+1)+lo:][:n]
		v := t.v[i*nx+lo:][:n]
		cx, cy := t.cornerX[i*(nx+1)+lo:][:n], t.cornerY[i*(nx+1)+lo:][:n]
		sx, sy := t.slipX[i*(nx+1)+lo:][:n], t.slipY[i*(nx+1)+lo:][:n]
		left := t.v[i*nx+lo-1]
		for j, right := range v {
			w := fx*(right-left) - fy*(ub[j]-ua[j])
			left = right
			sx[j], sy[j] = -w*cy[j], w*cx[j]
		}
	}
}

// age follows the thickness d of the layer in which the liquids slide. In steady
// motion it is b/√12; motion that grows as e^(gt) has d² = ν/(12ν/b²+g), and so
//
//	d(d²)/dt = ν − (12ν/b² + |g|)d²
//
// with g from the change of the energy, for the tank as a whole, is right for both
// and starts afresh when the flow turns round.
func (t *Tank) age(h, energy float64) {
	nu := t.p.Viscosity / t.p.Density
	g := 0.0
	if most := math.Max(energy, t.energy); most > 0 {
		g = 0.5 * math.Abs(energy-t.energy) / most
	}
	t.layer = (t.layer + h*nu) / (1 + h*12*nu/(t.p.Gap*t.p.Gap) + g)
	t.energy = energy
}
