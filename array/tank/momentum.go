package tank

import (
	"math"
	"slices"
)

// upwinding is the share of full upwind dissipation in the momentum fluxes: the
// least that keeps forward Euler stable at the Courant number used.
const upwinding = 0.5

// accelerate gives the velocities everything but the forces on the interface and the
// pressure. A momentum flux between a and b carried by w is w(a+b)/2 −
// upwinding·|w|(b−a)/2; sums stand for means, the quarter being in the factors.
func (t *Tank) accelerate(pushed, damp float64) {
	nx, ny := t.nx, t.ny
	kx, ky := 1.2*pushed/(4*t.dx), 1.2*pushed/(4*t.dy)
	// Viscosity along the panes joins the upwind dissipation, in the fluxes' units.
	nu := t.p.Viscosity / t.p.Density * 4 / 1.2
	vx, vy := nu*t.eased[0]/t.dx, nu*t.eased[1]/t.dy
	if t.contrast != nil {
		vx, vy = 0, 0 // rub has it
	}
	r := &t.rows
	clear(r.cellY)
	clear(r.cornerV)
	// Liquid sticks to the walls: beyond them it moves the other way.
	for j := range r.cornerU {
		r.cornerU[j] = -2 * vy * t.u[j]
	}
	for i := range ny {
		u := t.u[i*(nx+1) : (i+1)*(nx+1)]
		v := t.v[i*nx : (i+1)*nx]
		below := t.v[(i+1)*nx : (i+2)*nx]
		ub := r.mirror
		if i < ny-1 {
			ub = t.u[(i+1)*(nx+1) : (i+2)*(nx+1)]
		} else {
			for j := range ub {
				ub[j] = -u[j]
			}
		}
		du, dv := t.dragAt(i)
		r.carry(u, ub, v, below, du, dv, 1-damp, kx, ky, vx, vy)
		if i == 0 {
			clear(v) // the wall
		}
	}
}

// rowBuffers are the momentum fluxes a row of cells leaves for the one below: of v
// through its cells' middles, of u down and of v to the right through their lower
// corners.
type rowBuffers struct {
	cellY, cornerU, cornerV []float64
	mirror                  []float64 // u of the row beyond the lower wall
	flat                    []float64 // drag between flat panes, ones
}

// carry adds the momentum fluxes to u and v of one row of cells, v on their upper
// sides, and takes the drag off, lost times du and dv. ub and vb are the old velocities below.
func (r *rowBuffers) carry(u, ub, v, vb, du, dv []float64, lost, kx, ky, vx, vy float64) {
	n := len(v)
	vb, du, dv = vb[:n], du[:n], dv[:n]
	u, ub = u[:n+1], ub[:n]
	cellY, cornerU := r.cellY[:n], r.cornerU[:n]
	cornerV := r.cornerV[:n+1]
	here, fxLeft := u[0], 0.0
	vbLeft := -vb[0]
	cvLeft := cornerV[0]
	for j := range n {
		// The lower left corner.
		b, vbHere := ub[j], vb[j]
		su, sv := here+b, vbLeft+vbHere
		p := su * sv
		cu := p - (upwinding*math.Abs(sv)+vy)*(b-here)
		cv := p - (upwinding*math.Abs(su)+vx)*(vbHere-vbLeft)
		vbLeft = vbHere
		// The cell.
		right, vHere := u[j+1], v[j]
		s := here + right
		fx := s*s - (upwinding*math.Abs(s)+vx)*(right-here)
		s = vHere + vbHere
		fy := s*s - (upwinding*math.Abs(s)+vy)*(vbHere-vHere)
		u[j] = here - lost*du[j]*here - kx*(fx-fxLeft) - ky*(cu-cornerU[j])
		cvRight := cornerV[j+1]
		v[j] = vHere - lost*dv[j]*vHere - kx*(cvRight-cvLeft) - ky*(fy-cellY[j])
		cornerU[j], cornerV[j], cellY[j] = cu, cv, fy
		here, fxLeft, cvLeft = right, fx, cvRight
	}
	cornerV[n] = 2 * vx * vbLeft
	u[0] = 0
}

// ease is the part of the viscosity along the panes that is left to do when cells of the
// size x = √12·dx/b have done theirs. Two liquids that slide past each other drag each
// other along in a layer of the thickness d = b/√12; over it the inner one's flow falls
// short by d/2 of its full speed's. In cells, where it is Σ c v with c the mean over a
// cell and v from the five-point operator (whose layer falls by the factor r from cell to
// cell, r + 1/r = 2 + x²/f, f the part of the viscosity), it falls short, on the mean over
// the places that the interface can have in a cell, by
//
//	dx [(1−r)/(1+r)/6 + r/(1−r²)],
//
// since a mean over a cell is a layer too. Equal to d/2 that is a quadratic in r; f is 1
// − x²/12 + … for fine cells and 0 from x = 3 on, where the cell's mean alone is more.
func ease(x float64) float64 {
	g := 0.5 / x
	if g <= 1.0/6 {
		return 0
	}
	r := (math.Sqrt(1.0/12+g*g) - 1.0/3) / (g + 1.0/6)
	return x * x * r / ((1 - r) * (1 - r))
}

// Bow sets the depth between the panes, m, at the places that Step has its pressures of,
// straight between them; only the panes' drag knows of it, which goes as 1 over its square.
// Where it is deepest a drop's outline would be smaller by the share that it is deeper, and is
// not.
func (t *Tank) Bow(depth []float64) {
	p := &t.p
	t.narrowest = slices.Min(depth)
	t.dragU, t.dragV = make([]float64, len(t.u)), make([]float64, len(t.v))
	at := func(x, y float64) float64 { // in cells
		x, y = x*float64(p.SampleCols)/float64(t.nx)-0.5, y*float64(p.SampleRows)/float64(p.Rows)-0.5
		j, i := min(max(int(math.Floor(x)), 0), p.SampleCols-2), min(max(int(math.Floor(y)), 0), p.SampleRows-2)
		u, v := min(max(x-float64(j), 0), 1), min(max(y-float64(i), 0), 1)
		a, b := depth[i*p.SampleCols+j:], depth[(i+1)*p.SampleCols+j:]
		d := t.narrowest / ((1-v)*((1-u)*a[0]+u*a[1]) + v*((1-u)*b[0]+u*b[1]))
		return d * d
	}
	for i := range t.ny + 1 {
		for j := range t.nx + 1 {
			x, y := float64(j), float64(i)
			if i < t.ny {
				t.dragU[i*(t.nx+1)+j] = at(x, y+0.5)
			}
			if j < t.nx {
				t.dragV[i*t.nx+j] = at(x+0.5, y)
			}
		}
	}
}

// dragAt is the panes' drag on u and v of row i over that where they are narrowest.
func (t *Tank) dragAt(i int) (u, v []float64) {
	if t.dragU == nil {
		return t.rows.flat, t.rows.flat
	}
	return t.dragU[i*(t.nx+1):][:t.nx+1], t.dragV[i*t.nx:][:t.nx]
}

// damping is what the panes' drag leaves of a velocity after h seconds where they are
// narrowest, and for how long a steady acceleration would have to act without drag to do what
// it does in h with it: both exact, which starts a drop half a substep late in place of a whole
// one. Where the drag is a share of that, so is what is lost: then too a steady force ends in
// the speed that it has in the drag there.
func (t *Tank) damping(h float64) (left, pushed float64) {
	if g := 12 * t.p.Viscosity / (t.p.Density * t.narrowest * t.narrowest); g*h > 1e-9 {
		return math.Exp(-g * h), -math.Expm1(-g*h) / g
	}
	return 1, h
}

// divergence puts ∇·u of row i on the solver's right side.
func (t *Tank) divergence(i int) {
	n := t.nx
	out := t.solver.Row(i)[:n]
	u := t.u[i*(n+1) : (i+1)*(n+1)]
	ur := u[1:][:n]
	v, vb := t.v[i*n : (i+1)*n][:n], t.v[(i+1)*n : (i+2)*n][:n]
	fx, fy := 1/t.dx, 1/t.dy
	left := u[0]
	for j := range n {
		right := ur[j]
		out[j] = fx*(right-left) + fy*(vb[j]-v[j])
		left = right
	}
}

// project takes the divergence out of the velocities and measures the rate.
func (t *Tank) project(h float64) {
	for i := range t.ny {
		t.divergence(i)
	}
	t.solver.Solve()
	t.lastStep = h
	n, ny := t.nx, t.ny
	fx, fy := 1/t.dx, 1/t.dy
	rate := 0.0
	for i := range ny {
		q := t.solver.Row(i)[:n]
		u := t.u[i*(n+1) : (i+1)*(n+1)]
		ur, qr := u[1:][:n-1], q[1:][:n-1]
		v, vb := t.v[i*n : (i+1)*n][:n], t.v[(i+1)*n : (i+2)*n][:n]
		below := q // at the lower wall vb stays 0
		if i < ny-1 {
			below = t.solver.Row(i + 1)[:n]
		}
		l, here := 0.0, q[0]
		for j, right := range qr {
			w := ur[j] - fx*(right-here)
			b := vb[j] - fy*(below[j]-here)
			ur[j], vb[j], here = w, b, right
			r, b := math.Abs(w), math.Abs(b)
			if r > l {
				l = r
			}
			if a := math.Abs(v[j]); a > b {
				b = a
			}
			if a := fx*l + fy*b; a > rate {
				rate = a
			}
			l = r
		}
		vb[n-1] -= fy * (below[n-1] - here)
		rate = max(rate, fx*l+fy*max(math.Abs(v[n-1]), math.Abs(vb[n-1])))
	}
	t.rate = rate
}

func (t *Tank) maxSpeed() float64 {
	n := t.nx
	fastest := 0.0
	for i := range t.ny {
		u := t.u[i*(n+1) : (i+1)*(n+1)]
		v, vb := t.v[i*n:(i+1)*n], t.v[(i+1)*n:(i+2)*n]
		for j := range n {
			a, b := u[j]+u[j+1], v[j]+vb[j]
			if s := a*a + b*b; s > fastest {
				fastest = s
			}
		}
	}
	return 0.5 * math.Sqrt(fastest)
}
