package tank

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"lodegrid/field"
)

// base is a tank of 16×10 pixels of 12 mm, 16 cells per pitch, on a wall.
func base() Params {
	return Params{Width: 0.192, Height: 0.12, Cols: 256, Rows: 160, Gap: 4e-3, Density: 1000, DensityDifference: 50,
		Viscosity: 0.01, SurfaceTension: 0.01, GravityY: -field.Gravity}
}

// gauss is a magnetic pressure with one round peak.
func gauss(tk *Tank, x, y, r, peak float64) []float64 {
	pi := make([]float64, tk.nx*tk.ny)
	for i := range tk.ny {
		for j := range tk.nx {
			px, py := tk.middle(i, j)
			d := math.Hypot(px-x, py-y) / r
			pi[i*tk.nx+j] = peak * math.Exp(-d*d)
		}
	}
	return pi
}

// Hydrostatics: under a uniform Π a pool with a level surface is at rest.
func TestPoolRests(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	tk := newTank(t, p)
	tk.FillBelow(0.0403)
	if got, want := tk.Volume(), 0.0403*p.Width*p.Gap; math.Abs(got/want-1) > 1e-4 {
		t.Errorf("pool holds %g m³, want %g", got, want)
	}
	before := append([]float64(nil), tk.Fraction()...)
	pi := make([]float64, len(before))
	for k := range pi {
		pi[k] = 80
	}
	st := step(t, tk, 0.5, pi)
	if st.MaxSpeed > 1e-12 {
		t.Errorf("level pool moves at %g m/s", st.MaxSpeed)
	}
	for k, c := range tk.Fraction() {
		if math.Abs(c-before[k]) > 1e-10 {
			t.Fatalf("share of cell %d went from %g to %g", k, before[k], c)
		}
	}
	// Hydrostatic pressure: dp/dy = −Δρ g inside the fluid, nothing outside.
	dy := p.Height / 80
	if got, want := pressure(tk, 75, 60)+tk.phi.at(60.5, 75.5)-pressure(tk, 65, 60)-tk.phi.at(60.5, 65.5), 50*field.Gravity*10*dy; math.Abs(got/want-1) > 1e-6 {
		t.Errorf("pressure rises by %g Pa over ten cells, want %g", got, want)
	}
}

// Drops of any size hold what they should, whole or in the corner of a tank.
func TestDropVolume(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	cell := p.Width / 128
	for _, c := range []struct{ r, tol float64 }{{cell, 1e-12}, {1.5 * cell, 1e-12}, {2 * cell, 1e-12}, {5 * cell, 1e-12}, {12 * cell, 1e-12}} {
		tk := newTank(t, p)
		disc(t, tk, 0.0007, 0.0013, c.r)
		if got, want := tk.Volume(), math.Pi*c.r*c.r*p.Gap; math.Abs(got/want-1) > c.tol {
			t.Errorf("radius of %g cells: %g m³, want %g", c.r/cell, got, want)
		}
	}
	tk := newTank(t, p)
	disc(t, tk, -p.Width/2, p.Height/2, 12*cell)
	if got, want := tk.Volume(), math.Pi*144*cell*cell*p.Gap/4; math.Abs(got/want-1) > 1e-12 {
		t.Errorf("quarter drop in the corner: %g m³, want %g", got, want)
	}
}

// Release from rest: a cylinder in a liquid of its own density has an added mass
// equal to its own, so it starts at half of Δρ g/ρ (H. Lamb, Hydrodynamics, § 68).
func TestFirstPush(t *testing.T) {
	p := base()
	p.Width, p.Height, p.Cols, p.Rows = 0.12, 0.12, 160, 160
	for _, r := range []float64{0.004, 0.008} {
		tk := newTank(t, p)
		disc(t, tk, 0, 0, r)
		const h = 1e-3
		step(t, tk, h, nil)
		v := -tk.v[80*tk.nx+80]
		want := -0.5 * 50 * field.Gravity * h / p.Density / (1 + h/p.DragTime()) * imageFactor(p, r)
		t.Logf("R %g mm: %.5g m/s, want %.5g (walls %.4f)", r*1e3, v, want, imageFactor(p, r))
		if math.Abs(v/want-1) > 0.01 {
			t.Errorf("R %g: first speed %g, want %g", r, v, want)
		}
	}
}

// shape fills a tank with what lies inside, by 24 × 24 points a cell.
func shape(t testing.TB, tk *Tank, inside func(x, y float64) bool) {
	t.Helper()
	c := make([]float64, tk.nx*tk.ny)
	const n = 24
	for k := range c {
		x, y := tk.middle(k/tk.nx, k%tk.nx)
		for p := range n * n {
			if inside(x+(float64(p%n)+0.5-n/2)/n*tk.dx, y+(float64(p/n)+0.5-n/2)/n*tk.dy) {
				c[k]++
			}
		}
		c[k] /= n * n
	}
	setFraction(tk, c)
}

// period fits f(t) = A e^(−γt) cos(ωt) to equally spaced values by the three-term
// recurrence f[n+1] + e^(−2γh) f[n−1] = 2e^(−γh)cos(ωh) f[n] of any damped
// oscillation, in the sense of least squares.
func period(f []float64, h float64) (omega, gamma float64) {
	var a11, a12, a22, b1, b2 float64
	for n := 1; n+1 < len(f); n++ {
		x, y, z := f[n], -f[n-1], f[n+1]
		a11 += x * x
		a12 += x * y
		a22 += y * y
		b1 += x * z
		b2 += y * z
	}
	det := a11*a22 - a12*a12
	p, q := (b1*a22-b2*a12)/det, (a11*b2-a12*b1)/det
	gamma = -math.Log(q) / (2 * h)
	omega = math.Acos(p/(2*math.Sqrt(q))) / h
	return omega, gamma
}

// A drop pressed into an ellipse swings about the circle with
// ω² = n(n²−1)σ/((ρ1+ρ2)R³), n = 2 (H. Lamb, Hydrodynamics, 6th ed., § 273, for one
// liquid; with the outer liquid's equal inertia the density doubles), damped by the
// panes at half their drag rate. The Stokes layers on both sides of the edge, where
// the liquids swing against each other, add s = (n/2R)√(νω/2) to the damping and take
// as much off the frequency: dissipation ½ρU²√(νω/2) per area and side (Lamb § 345)
// over twice the energy ρπU²R²/n.
func TestDropSwings(t *testing.T) {
	p := base()
	p.GravityY = 0
	p.Width, p.Height, p.Cols, p.Rows = 0.06, 0.06, 120, 120
	p.Viscosity = 1e-3
	p.MaxStep = 1e-3
	tk := newTank(t, p)
	const r, squeeze = 0.007, 0.06
	shape(t, tk, func(x, y float64) bool { return math.Hypot(x, y) < r*(1+squeeze*math.Cos(2*math.Atan2(y, x))) })
	var f []float64
	const h = 0.02
	for range 30 {
		m := 0.0
		for k, c := range tk.Fraction() {
			x, y := tk.middle(k/120, k%120)
			m += c * (x*x - y*y)
		}
		f = append(f, m)
		step(t, tk, h, nil)
	}
	drag := 1 / p.DragTime()
	free := math.Sqrt(6 * p.SurfaceTension / (2 * p.Density * r * r * r))
	stokes := 1 / r * math.Sqrt(p.Viscosity/p.Density*free/2)
	want := math.Sqrt(free*free-drag*drag/4) - stokes
	omega, gamma := period(f, h)
	t.Logf("ω %.3f 1/s, theory %.3f; damping %.3f 1/s, theory %.3f", omega, want, gamma, drag/2+stokes)
	if math.Abs(omega/want-1) > 0.02 {
		t.Errorf("ω = %g, want %g", omega, want)
	}
	if math.Abs(gamma/(drag/2+stokes)-1) > 0.15 {
		t.Errorf("damping %g 1/s, want %g", gamma, drag/2+stokes)
	}
}

// energyOf is that of the interface and of the motion per gap, J/m: σ times the length of
// the curve r(θ) about the tank's middle, a series of harmonics fitted to the middles of
// the facets' arcs, and ½ρu².
func energyOf(t *testing.T, tk *Tank) float64 {
	t.Helper()
	const harmonics = 4
	var rows, radii []float64
	for _, l := range tk.layers {
		for _, f := range l.facets {
			out := f.bend * f.length * f.length / 24
			x, y := f.x+out*f.nx-tk.phi.x0, f.y+out*f.ny-tk.phi.y0
			th := math.Atan2(y, x)
			rows, radii = append(rows, 1), append(radii, math.Hypot(x, y))
			for n := 1; n <= harmonics; n++ {
				rows = append(rows, math.Cos(2*float64(n)*th), math.Sin(2*float64(n)*th))
			}
		}
	}
	const terms = 2*harmonics + 1
	var s mat.VecDense
	if err := s.SolveVec(mat.NewDense(len(radii), terms, rows), mat.NewVecDense(len(radii), radii)); err != nil {
		t.Fatal(err)
	}
	length := 0.0
	const steps = 1000
	for k := range steps {
		th := 2 * math.Pi * float64(k) / steps
		r, slope := s.AtVec(0), 0.0
		for n := 1; n <= harmonics; n++ {
			sin, cos := math.Sincos(2 * float64(n) * th)
			a, b := s.AtVec(2*n-1), s.AtVec(2*n)
			r += a*cos + b*sin
			slope += 2 * float64(n) * (b*cos - a*sin)
		}
		length += math.Hypot(r, slope) * 2 * math.Pi / steps
	}
	speeds := 0.0
	for _, u := range tk.u {
		speeds += u * u
	}
	for _, v := range tk.v {
		speeds += v * v
	}
	return tk.p.SurfaceTension*length*tk.cell + 0.5*tk.p.Density*speeds*tk.dx*tk.dy
}

// A drop let go as an ellipse comes to rest as a circle and hardly gains energy on the way:
// 2πRσ is left of that of the ellipse's edge. What it gains is the explicit force of the first
// substeps, which goes with the step, and where the lines' length is not what the curvature is
// the gradient of, which goes with the cells.
func TestRelaxingDropLosesEnergy(t *testing.T) {
	for _, c := range []struct {
		cells       int
		step, gains float64
	}{{8, 0, 5e-4}, {12, 0, 5e-4}, {16, 0, 3e-4}, {16, 1e-3, 5e-5}} {
		cells := c.cells
		p := demo(t, 1, 1, 1, cells)
		p.GravityY, p.MaxStep = 0, c.step
		tk := newTank(t, p)
		const r = 0.004
		shape(t, tk, func(x, y float64) bool { return math.Hypot(x/1.3, y*1.3) < r })
		tk.refresh()
		first := energyOf(t, tk)
		round := 2 * math.Pi * r * p.SurfaceTension
		before, rise := first, 0.0
		for range 400 {
			step(t, tk, 0.004, nil)
			e := energyOf(t, tk)
			rise = max(rise, e-before)
			before = min(before, e)
		}
		t.Logf("%d cells: %.4f of a circle's energy at first, %.5f at last; greatest rise %.1g of it", cells, first/round, before/round, rise/round)
		if math.Abs(before/round-1) > 1e-3 || rise/round > c.gains || first < 1.02*round {
			t.Errorf("%d cells: energy from %g to %g of a circle's, greatest rise %g", cells, first/round, before/round, rise/round)
		}
	}
}

// The surface of a pool rocks with ω² = (Δρ g k + σk³)/(ρ coth kh1 + ρ coth kh2)
// (Lamb, §§ 231, 267), k = π/width; the Stokes layers along the surface add
// k√(νω/2)/(tanh kh1 + tanh kh2) to the damping and take it off the frequency. Those
// along the walls, smaller, are in the tolerance.
func TestPoolRocks(t *testing.T) {
	p := base()
	p.Width, p.Height, p.Cols, p.Rows = 0.08, 0.08, 80, 80
	p.Viscosity, p.DensityDifference = 1e-3, 100
	tk := newTank(t, p)
	const deep, rise = 0.03, 0.002
	k := math.Pi / p.Width
	shape(t, tk, func(x, y float64) bool { return y < deep-p.Height/2+rise*math.Sin(k*x) })
	var f []float64
	const h = 0.05
	for range 40 {
		x, _ := centroid(t, tk)
		f = append(f, x)
		step(t, tk, h, nil)
	}
	coth := func(x float64) float64 { return 1 / math.Tanh(x) }
	drag := 1 / p.DragTime()
	free := (p.DensityDifference*field.Gravity*k + p.SurfaceTension*k*k*k) /
		(p.Density * (coth(k*deep) + coth(k*(p.Height-deep))))
	stokes := k * math.Sqrt(p.Viscosity/p.Density*math.Sqrt(free)/2) / (math.Tanh(k*deep) + math.Tanh(k*(p.Height-deep)))
	want := math.Sqrt(free-drag*drag/4) - stokes
	omega, gamma := period(f, h)
	t.Logf("ω %.4f 1/s, theory %.4f; damping %.3f 1/s, theory %.3f", omega, want, gamma, drag/2+stokes)
	if math.Abs(omega/want-1) > 0.01 {
		t.Errorf("ω = %g, want %g", omega, want)
	}
	if math.Abs(gamma/(drag/2+stokes)-1) > 0.1 {
		t.Errorf("damping %g 1/s, want %g", gamma, drag/2+stokes)
	}
}

// One pixel catches a drop half a pitch off, hands it to the next, and holds it. At
// rest the pull on the fluid is its weight.
func TestCaptureAndHandOver(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.005)
	var pi []float64
	for k, at := range []float64{0.006, 0.018} {
		pi = gauss(tk, at, 0, 0.006, 80)
		step(t, tk, 0.5, pi)
		if in := tk.VolumeIn(at, 0, 0.009) / tk.Volume(); in < 0.93 {
			t.Errorf("after move %d only %g of the fluid is at the pixel", k+1, in)
		}
	}
	step(t, tk, 2, pi)
	x0, _ := centroid(t, tk)
	st := step(t, tk, 0.5, pi)
	x, y := centroid(t, tk)
	if math.Abs(x-0.018) > 3e-4 || math.Abs(x-x0) > 1e-4 || st.MaxSpeed > 3e-3 {
		t.Errorf("drop at x = %g m (was %g), moving at %g m/s; want it at rest at 0.018", x, x0, st.MaxSpeed)
	}
	// A disc's mean of ∂Π/∂y equals Δρ g there; Π is a Gaussian about the pixel.
	rest := func(y float64) float64 {
		const n = 200
		sum := 0.0
		for k := range n * n {
			a, b := (float64(k%n)+0.5)*2/n-1, (float64(k/n)+0.5)*2/n-1
			if a*a+b*b < 1 {
				px, py := 0.005*a, y+0.005*b
				sum -= 2 * py / (0.006 * 0.006) * 80 * math.Exp(-(px*px+py*py)/(0.006*0.006)) * 4 / (n * n * math.Pi)
			}
		}
		return sum - p.DensityDifference*field.Gravity
	}
	lo, hi := -0.002, 0.0
	for range 40 {
		if mid := 0.5 * (lo + hi); rest(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	t.Logf("held %.4f of the fluid at (%.3f, %.4f) mm; the balance is at %.4f", tk.VolumeIn(0.018, 0, 0.009)/tk.Volume(), x*1e3, y*1e3, lo*1e3)
	if math.Abs(y/lo-1) > 0.03 {
		t.Errorf("drop hangs at y = %g m, want %g", y, lo)
	}
	// With no field it falls.
	step(t, tk, 0.5, nil)
	if _, low := centroid(t, tk); low > y-0.002 {
		t.Errorf("released drop went from y = %g to %g m", y, low)
	}
}

// On panes that hold it back a drop stays if the hold is above its weight, Δρ g πR²b
// = f·2R, and falls more slowly if it is below.
func TestContactLine(t *testing.T) {
	p := base()
	p.Width, p.Height, p.Cols, p.Rows = 0.08, 0.08, 80, 80
	p.Viscosity = 0.05
	const r = 0.008
	balance := math.Pi * p.DensityDifference * field.Gravity * r * p.Gap / 2
	speed := func(part float64) float64 {
		q := p
		q.ContactLine = part * balance
		tk := newTank(t, q)
		disc(t, tk, 0, 0.01, r)
		step(t, tk, 0.75, nil)
		_, y0 := centroid(t, tk)
		step(t, tk, 0.25, nil)
		_, y1 := centroid(t, tk)
		return (y0 - y1) / 0.25 / (p.SinkSpeed(r) * imageFactor(p, r))
	}
	free, half, over := speed(0), speed(0.5), speed(1.5)
	t.Logf("speed over theory's: free %.3f, half the hold %.3f, one and a half %.4f", free, half, over)
	if math.Abs(free-1) > 0.07 {
		t.Errorf("free drop falls at %g of the speed expected", free)
	}
	if math.Abs(half-0.5*free) > 0.12 {
		t.Errorf("half-held drop falls at %g, free %g", half, free)
	}
	if math.Abs(over) > 0.02 {
		t.Errorf("held drop moves at %g", over)
	}
}

// A drop on a tilted tank slides from the angle on at which its weight down the slope is the
// panes' hold on its width, mg sin α = f·w (C. G. L. Furmidge, J. Colloid Science 17 (1962) 309,
// from memory), whichever way the slope goes over the cells: at a tenth less it creeps at
// a hundredth of its free speed, at a tenth more it goes on as if held by 0.92 of that.
func TestTiltedPlane(t *testing.T) {
	p := base()
	p.Width, p.Height, p.Cols, p.Rows = 0.06, 0.06, 60, 60
	p.Viscosity = 0.02
	const r = 0.008
	p.ContactLine = 0.6 * math.Pi / 2 * p.DensityDifference * field.Gravity * r * p.Gap // slides from sin α = 0.6 on
	for _, way := range []float64{-math.Pi / 2, -math.Pi / 3} {
		for _, sin := range []float64{0.54, 0.66} {
			q := p
			q.GravityX, q.GravityY = field.Gravity*sin*math.Cos(way), field.Gravity*sin*math.Sin(way)
			tk := newTank(t, q)
			disc(t, tk, -0.005, 0.008, r)
			step(t, tk, 1.5, nil)
			x0, y0 := centroid(t, tk)
			step(t, tk, 0.5, nil)
			x1, y1 := centroid(t, tk)
			went := math.Hypot(x1-x0, y1-y0) / 0.5 / p.SinkSpeed(r)
			t.Logf("way %.0f°, sin α %.2f: goes at %.3f of the free speed, as if held by %.3f", way*180/math.Pi, sin, went, sin-went)
			if sin < 0.6 && went > 0.02 || sin > 0.6 && math.Abs((sin-went)/0.6-1) > 0.1 {
				t.Errorf("way %.0f°, sin α %.2f: it goes at %.3g of its free speed", way*180/math.Pi, sin, went)
			}
		}
	}
}

// Finer grids come nearer to each other: a drop caught from one pitch away.
func TestConvergence(t *testing.T) {
	path := func(cols int) (xs []float64) {
		p := base()
		p.Cols, p.Rows = cols, cols*5/8
		tk := newTank(t, p)
		disc(t, tk, 0, 0.01, 0.006)
		pi := gauss(tk, 0.012, 0.01, 0.007, 60)
		for range 6 {
			step(t, tk, 0.05, pi)
			x, y := centroid(t, tk)
			xs = append(xs, x, y)
		}
		return xs
	}
	gap := func(a, b []float64) (worst float64) {
		for k := range a {
			worst = max(worst, math.Abs(a[k]-b[k]))
		}
		return worst
	}
	a, b, c := path(64), path(128), path(256)
	first, second := gap(a, b), gap(b, c)
	t.Logf("centroids differ by %.3f mm between 64 and 128 columns, %.3f mm between 128 and 256", first*1e3, second*1e3)
	if second > 0.6*first {
		t.Errorf("no convergence: %g then %g m", first, second)
	}
	if second > 1.2e-3 { // a tenth of a pitch, at 0.2 m/s
		t.Errorf("128 and 256 columns differ by %g m", second)
	}
}
