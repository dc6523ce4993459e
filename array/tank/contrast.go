package tank

import "math"

// contrast is what two liquids of different viscosity ask for beyond equal ones. With the
// drag 12η/b² different from side to side the projection's equation is ∇·(B∇φ) = ∇·(Bu*),
// B = 1/(1+12ηh/ρb²), φ the pressure times h/ρ. It is solved by conjugate gradients with
// the solver for equal liquids as preconditioner, from the last answer on; what they leave
// undone one projection for equal liquids takes out, so that the flow is free of divergence
// to rounding, on which the mass rests.
type contrast struct {
	eta    []float64 // Pa·s, in the cells
	bx, by []float64 // B on the sides, as u and v
	fu, fv []float64 // m/s, what friction along the panes does in a substep
	shear  []float64 // its stress at the cells' corners

	phi         []float64 // m²/s
	h           float64   // s, substep of phi; 0 if there is none
	r, dir, out []float64
	rounds      int // of conjugate gradients in all
}

func newContrast(nx, ny int) *contrast {
	cells, us, vs := nx*ny, ny*(nx+1), (ny+1)*nx
	return &contrast{
		eta: make([]float64, cells), bx: make([]float64, us), by: make([]float64, vs),
		fu: make([]float64, us), fv: make([]float64, vs), shear: make([]float64, (nx+1)*(ny+1)),
		phi: make([]float64, cells), r: make([]float64, cells), dir: make([]float64, cells), out: make([]float64, cells),
	}
}

// blend sets the viscosity of the cells and B on the sides. Liquids on a side share its
// one velocity: the viscosity there is the mean by volume.
func (t *Tank) blend(h float64) {
	k, nx, ny := t.contrast, t.nx, t.ny
	c := t.Fraction()[:nx*ny]
	inner, outer := t.p.Viscosity, t.p.OuterViscosity
	for i, s := range c {
		k.eta[i] = outer + (inner-outer)*s
	}
	f := 12 * h / (t.p.Density * t.narrowest * t.narrowest)
	for i := range ny {
		row := k.eta[i*nx : (i+1)*nx]
		b := k.bx[i*(nx+1) : (i+1)*(nx+1)]
		du, dv := t.dragAt(i)
		for j := 1; j < nx; j++ {
			b[j] = 1 / (1 + f*du[j]*t.sideViscosity(row[j-1], row[j]))
		}
		if i > 0 {
			above, b := k.eta[(i-1)*nx:i*nx], k.by[i*nx:(i+1)*nx]
			for j := range row {
				b[j] = 1 / (1 + f*dv[j]*t.sideViscosity(above[j], row[j]))
			}
		}
	}
}

func (t *Tank) sideViscosity(a, b float64) float64 { return 0.5 * (a + b) }

// rub works out what friction along the panes, the divergence of η(∇u + ∇uᵀ), does to the
// velocities in h seconds. Liquid sticks to the walls.
func (t *Tank) rub(h float64) {
	k, nx, ny := t.contrast, t.nx, t.ny
	fx, fy := 1/t.dx, 1/t.dy
	ease := 0.5 * (t.eased[0] + t.eased[1])
	at := func(i, j int) float64 { return 1 / k.eta[min(max(i, 0), ny-1)*nx+min(max(j, 0), nx-1)] }
	for i := 0; i <= ny; i++ {
		for j := 0; j <= nx; j++ {
			du, dv := 0.0, 0.0
			switch {
			case i == 0:
				du = 2 * t.u[j]
			case i == ny:
				du = -2 * t.u[(ny-1)*(nx+1)+j]
			default:
				du = t.u[i*(nx+1)+j] - t.u[(i-1)*(nx+1)+j]
			}
			switch j {
			case 0:
				dv = 2 * t.v[i*nx]
			case nx:
				dv = -2 * t.v[i*nx+nx-1]
			default:
				dv = t.v[i*nx+j] - t.v[i*nx+j-1]
			}
			// Liquids side by side shear in series.
			eta := 4 / (at(i-1, j-1) + at(i-1, j) + at(i, j-1) + at(i, j))
			k.shear[i*(nx+1)+j] = eta * (fy*du + fx*dv)
		}
	}
	g := h * ease / t.p.Density
	for i := range ny {
		for j := range nx {
			c := i*nx + j
			if j > 0 {
				pull := 2 * fx * (k.eta[c]*(t.u[c+i+1]-t.u[c+i]) - k.eta[c-1]*(t.u[c+i]-t.u[c+i-1]))
				k.fu[c+i] = g * (fx*pull + fy*(k.shear[c+i+nx+1]-k.shear[c+i]))
			}
			if i > 0 {
				pull := 2 * fy * (k.eta[c]*(t.v[c+nx]-t.v[c]) - k.eta[c-nx]*(t.v[c]-t.v[c-nx]))
				k.fv[c] = g * (fy*pull + fx*(k.shear[c+i+1]-k.shear[c+i]))
			}
		}
	}
}

// drag adds the friction along the panes to the velocities and takes the panes' drag off.
func (t *Tank) drag() {
	k := t.contrast
	for i, b := range k.bx {
		t.u[i] = (t.u[i] + k.fu[i]) * b
	}
	for i, b := range k.by {
		t.v[i] = (t.v[i] + k.fv[i]) * b
	}
}

// divergenceOf sets out to ∇·(u, v).
func (t *Tank) divergenceOf(out []float64) {
	nx := t.nx
	fx, fy := 1/t.dx, 1/t.dy
	for i := range t.ny {
		u, v := t.u[i*(nx+1):(i+1)*(nx+1)], t.v[i*nx:]
		o := out[i*nx : (i+1)*nx]
		for j := range o {
			o[j] = fx*(u[j+1]-u[j]) + fy*(v[j+nx]-v[j])
		}
	}
}

// weighted sets out to ∇·(B∇p).
func (t *Tank) weighted(out, p []float64) {
	k, nx, ny := t.contrast, t.nx, t.ny
	fx, fy := 1/(t.dx*t.dx), 1/(t.dy*t.dy)
	for i := range ny {
		o, q := out[i*nx:(i+1)*nx], p[i*nx:(i+1)*nx]
		bx := k.bx[i*(nx+1) : (i+1)*(nx+1)]
		left := 0.0
		for j := range o {
			right := 0.0
			if j+1 < nx {
				right = fx * bx[j+1] * (q[j+1] - q[j])
			}
			o[j] = right - left
			left = right
		}
		if i > 0 {
			above, by := p[(i-1)*nx:i*nx], k.by[i*nx:(i+1)*nx]
			oa := out[(i-1)*nx : i*nx]
			for j := range o {
				f := fy * by[j] * (q[j] - above[j])
				o[j] -= f
				oa[j] += f
			}
		}
	}
}

// precondition turns the residual into the answer for equal liquids, in the solver's rows,
// and returns their scalar product.
func (t *Tank) precondition(r []float64) float64 {
	for i := range t.ny {
		copy(t.solver.Row(i), r[i*t.nx:(i+1)*t.nx])
	}
	t.solver.Solve()
	sum := 0.0
	for i := range t.ny {
		z := t.solver.Row(i)
		part := 0.0
		for j, v := range r[i*t.nx : (i+1)*t.nx] {
			part += v * z[j]
		}
		sum += part
	}
	return sum
}

// relax takes B∇φ off the velocities, to a part in a million of their divergence.
func (t *Tank) relax(h float64) {
	k, nx := t.contrast, t.nx
	if k.h > 0 && k.h != h {
		for i := range k.phi {
			k.phi[i] *= h / k.h
		}
	}
	k.h = h
	t.divergenceOf(k.r)
	most := 0.0
	for _, v := range k.r {
		most += v * v
	}
	t.weighted(k.out, k.phi)
	left := 0.0
	for i, v := range k.out {
		k.r[i] -= v
		left += k.r[i] * k.r[i]
	}
	const tolerance, rounds = 1e-6, 60
	before := 0.0
	for n := 0; n < rounds && left > tolerance*tolerance*most; n++ {
		k.rounds++
		rz := t.precondition(k.r)
		if rz == 0 {
			break
		}
		keep := 0.0
		if n > 0 {
			keep = rz / before
		}
		before = rz
		for i := range t.ny {
			z, d := t.solver.Row(i), k.dir[i*nx:(i+1)*nx]
			for j := range d {
				d[j] = z[j] + keep*d[j]
			}
		}
		t.weighted(k.out, k.dir)
		dq := 0.0
		for i, v := range k.out {
			dq += v * k.dir[i]
		}
		if dq == 0 || math.IsNaN(dq) {
			break
		}
		a := rz / dq
		left = 0
		for i, v := range k.out {
			k.phi[i] += a * k.dir[i]
			k.r[i] -= a * v
			left += k.r[i] * k.r[i]
		}
	}
	fx, fy := 1/t.dx, 1/t.dy
	for i := range t.ny {
		q := k.phi[i*nx : (i+1)*nx]
		for j := range q {
			if j > 0 {
				t.u[i*(nx+1)+j] -= fx * k.bx[i*(nx+1)+j] * (q[j] - q[j-1])
			}
			if i > 0 {
				t.v[i*nx+j] -= fy * k.by[i*nx+j] * (q[j] - k.phi[(i-1)*nx+j])
			}
		}
	}
}
