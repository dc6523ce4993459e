package tank

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// base is a tank of 16×10 pixels of 12 mm, 16 cells per pitch, on a wall.
func base() Params {
	return Params{Width: 0.192, Height: 0.12, Cols: 256, Rows: 160, Gap: 4e-3, Density: 1000, DensityDifference: 50,
		Viscosity: 0.01, SurfaceTension: 0.01, GravityY: -StandardGravity}
}

func newTank(t testing.TB, p Params) *Tank {
	t.Helper()
	tk, err := New(p)
	if err != nil {
		t.Fatal(err)
	}
	return tk
}

func step(t testing.TB, tk *Tank, dt float64, pi []float64) Stats {
	t.Helper()
	st, err := tk.Step(dt, pi)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

func disc(t testing.TB, tk *Tank, x, y, r float64) {
	t.Helper()
	if err := tk.FillDisc(x, y, r); err != nil {
		t.Fatal(err)
	}
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

func centroid(t testing.TB, tk *Tank) (x, y float64) {
	t.Helper()
	x, y, ok := tk.Centroid()
	if !ok {
		t.Fatal("the tank is empty")
	}
	return x, y
}

// imageFactor is what the walls do, to first order, to the speed of a drop of
// radius r falling in the middle of a tank: the flow outside such a drop is that of
// a dipole, U R²(y²−x²)/(x²+y²)², and the walls are a lattice of its mirror images,
// turned round across every level wall.
func imageFactor(p Params, r float64) float64 {
	sum := 0.0
	const far = 60
	for m := -far; m <= far; m++ {
		for n := -far; n <= far; n++ {
			if m == 0 && n == 0 {
				continue
			}
			x, y := float64(m)*p.Width, float64(n)*p.Height
			q := x*x + y*y
			sign := 1.0
			if n%2 != 0 {
				sign = -1
			}
			sum += sign * (y*y - x*x) / (q * q)
		}
	}
	return 1 + r*r*sum
}

// Hydrostatics: under a uniform Π a pool with a level surface is at rest.
func TestPoolRests(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	tk := newTank(t, p)
	if err := tk.FillBelow(0.0403); err != nil {
		t.Fatal(err)
	}
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
	if got, want := tk.Pressure(75, 60)-tk.Pressure(65, 60), 50*StandardGravity*10*dy; math.Abs(got/want-1) > 1e-6 {
		t.Errorf("pressure rises by %g Pa over ten cells, want %g", got, want)
	}
}

// Young–Laplace between panes: the pressure in a drop is higher by σ/R, and
// nothing should move. The speed that does remain is compared with σ/η, the
// usual measure of spurious currents.
func TestLaplacePressure(t *testing.T) {
	for _, c := range []struct {
		cols, rows int
		r, tol     float64
	}{{256, 160, 0.008, 0.006}, {128, 80, 0.008, 0.02}, {128, 80, 0.005, 0.05}, {104, 80, 0.008, 0.025}} {
		p := base()
		p.GravityY = 0
		p.Cols, p.Rows = c.cols, c.rows
		tk := newTank(t, p)
		disc(t, tk, 0.0013, 0.0021, c.r)
		if got, want := tk.Volume(), math.Pi*c.r*c.r*p.Gap; math.Abs(got/want-1) > 1e-4 {
			t.Errorf("drop of radius %g holds %g m³, want %g", c.r, got, want)
		}
		st := step(t, tk, 0.5, nil)
		jump := tk.Pressure(c.rows/2, c.cols/2) - tk.Pressure(2, 2)
		want := p.SurfaceTension / c.r
		ca := st.MaxSpeed * p.Viscosity / p.SurfaceTension
		t.Logf("%d×%d, R %g mm: jump %.4f Pa, σ/R %.4f Pa; residual speed %.2g m/s, ηu/σ %.2g", c.cols, c.rows, c.r*1e3, jump, want, st.MaxSpeed, ca)
		if math.Abs(jump/want-1) > c.tol {
			t.Errorf("R %g: pressure jump %g Pa, want %g within %g", c.r, jump, want, c.tol)
		}
		if ca > 2e-4 {
			t.Errorf("R %g: spurious current ηu/σ = %g", c.r, ca)
		}
	}
}

// Drops of any size hold what they should, whole or in the corner of a tank.
func TestDropVolume(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	cell := p.Width / 128
	for _, c := range []struct{ r, tol float64 }{{cell, 1e-2}, {1.5 * cell, 3e-3}, {2 * cell, 1e-3}, {5 * cell, 1e-4}, {12 * cell, 1e-5}} {
		tk := newTank(t, p)
		disc(t, tk, 0.0007, 0.0013, c.r)
		if got, want := tk.Volume(), math.Pi*c.r*c.r*p.Gap; math.Abs(got/want-1) > c.tol {
			t.Errorf("radius of %g cells: %g m³, want %g", c.r/cell, got, want)
		}
		if got, want := tk.Mass(), tk.Volume()*p.Density; got != want {
			t.Errorf("mass %g kg, want %g", got, want)
		}
	}
	if a, b := edge(19.999), edge(20.001); math.Abs(b-a-0.002) > 1e-5 {
		t.Errorf("edge jumps from %g to %g", a, b)
	}
	tk := newTank(t, p)
	disc(t, tk, -p.Width/2, p.Height/2, 12*cell)
	if got, want := tk.Volume(), math.Pi*144*cell*cell*p.Gap/4; math.Abs(got/want-1) > 0.01 {
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
		_, v := tk.Velocity(80, 80)
		want := -0.5 * 50 * StandardGravity * h / p.Density / (1 + h/p.DragTime()) * imageFactor(p, r)
		t.Logf("R %g mm: %.5g m/s, want %.5g (walls %.4f)", r*1e3, v, want, imageFactor(p, r))
		if math.Abs(v/want-1) > 0.01 {
			t.Errorf("R %g: first speed %g, want %g", r, v, want)
		}
	}
}

// A round drop falling with no field, against SinkSpeed, at drags that keep it
// round. Far off the flow is that of the drop without its shear layer, so the walls
// take the same speed off.
func TestSink(t *testing.T) {
	for _, c := range []struct {
		gap, viscosity, r float64
	}{{4e-3, 0.05, 0.006}, {4e-3, 0.05, 0.012}, {1.5e-3, 0.01, 0.006}, {1.5e-3, 0.01, 0.003}} {
		p := base()
		p.Width, p.Height, p.Cols, p.Rows = 0.096, 0.096, 128, 128
		p.Gap, p.Viscosity = c.gap, c.viscosity
		tk := newTank(t, p)
		disc(t, tk, 0, 0, c.r)
		step(t, tk, 0.15, nil)
		_, y0 := centroid(t, tk)
		step(t, tk, 0.15, nil)
		_, y1 := centroid(t, tk)
		open := 0.5 * p.DensityDifference * StandardGravity * p.Gap * p.Gap / (12 * p.Viscosity)
		got, want := (y0-y1)/0.15, p.SinkSpeed(c.r)+open*(imageFactor(p, c.r)-1)
		t.Logf("b %g mm, R %g mm: %.5g m/s, theory %.5g: ratio %.3f (no shear layer %.5g)", c.gap*1e3, c.r*1e3, got, want, got/want, open*imageFactor(p, c.r))
		if math.Abs(got/want-1) > 0.02 {
			t.Errorf("b %g R %g: falls at %g m/s, want %g", c.gap, c.r, got, want)
		}
	}
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
	c := make([]float64, 120*120)
	for k := range c {
		x, y := tk.middle(k/120, k%120)
		th := math.Atan2(y, x)
		c[k] = 1 / (1 + math.Exp((math.Hypot(x, y)-r*(1+squeeze*math.Cos(2*th)))/tk.eps))
	}
	if err := tk.SetFraction(c); err != nil {
		t.Fatal(err)
	}
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
	c := make([]float64, 80*80)
	for n := range c {
		x, y := tk.middle(n/80, n%80)
		surface := deep - p.Height/2 + rise*math.Sin(k*x)
		c[n] = 1 / (1 + math.Exp((y-surface)/tk.eps))
	}
	if err := tk.SetFraction(c); err != nil {
		t.Fatal(err)
	}
	var f []float64
	const h = 0.05
	for range 40 {
		x, _ := centroid(t, tk)
		f = append(f, x)
		step(t, tk, h, nil)
	}
	coth := func(x float64) float64 { return 1 / math.Tanh(x) }
	drag := 1 / p.DragTime()
	free := (p.DensityDifference*StandardGravity*k + p.SurfaceTension*k*k*k) /
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
// rest the pull on the fluid is its weight: ∫c ∂Π/∂y = Δρ g∫c.
func TestCaptureAndHandOver(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 128, 80
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.005)
	var pi []float64
	for k, at := range []float64{0.006, 0.018} {
		pi = gauss(tk, at, 0, 0.006, 80)
		step(t, tk, 0.5, pi)
		if in := tk.FractionIn(at, 0, 0.009); in < 0.93 {
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
	if y > 0 || y < -0.003 {
		t.Errorf("drop hangs at y = %g m", y)
	}
	pull, weight := 0.0, 0.0
	c := tk.Fraction()
	for i := 1; i < tk.ny-1; i++ {
		for j := range tk.nx {
			k := i*tk.nx + j
			pull += c[k] * (pi[k-tk.nx] - pi[k+tk.nx]) / (2 * tk.dy)
			weight += c[k] * p.DensityDifference * StandardGravity
		}
	}
	t.Logf("held %.4f of the fluid at (%.3f, %.3f) mm; pull/weight %.4f", tk.FractionIn(0.018, 0, 0.009), x*1e3, y*1e3, pull/weight)
	if math.Abs(pull/weight-1) > 0.03 {
		t.Errorf("pull is %g of the weight", pull/weight)
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
	balance := math.Pi * p.DensityDifference * StandardGravity * r * p.Gap / 2
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

// rough switches random pixels every 50 ms.
func rough(tk *Tank, rng *rand.Rand, peak float64, pi []float64) {
	clear(pi)
	pitch := tk.p.Width / 16
	for range 30 {
		x0 := (float64(rng.IntN(16)) - 7.5) * pitch
		y0 := (float64(rng.IntN(10)) - 4.5) * pitch
		for i := range tk.ny {
			for j := range tk.nx {
				x, y := tk.middle(i, j)
				if d := math.Hypot(x-x0, y-y0) / (0.42 * pitch); d < 4 {
					pi[i*tk.nx+j] = max(pi[i*tk.nx+j], peak*math.Exp(-d*d))
				}
			}
		}
	}
}

// Rough scenes: Π to 500 Pa switched every 50 ms, torn fluid, thin and thick gaps,
// no surface tension, noise in place of a field. Shares stay in 0…1 and the volume
// stays what it was; both hold whatever the field does.
func TestRoughScenes(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Params)
		peak   float64
		noise  bool
	}{
		{"usual", func(*Params) {}, 500, false},
		{"pushed away", func(*Params) {}, -500, false},
		{"thin gap", func(p *Params) { p.Gap = 0.3e-3 }, 500, false},
		{"hardly any drag", func(p *Params) { p.Gap, p.Viscosity = 10e-3, 1e-3 }, 500, false},
		{"no surface tension", func(p *Params) { p.SurfaceTension = 0 }, 500, false},
		{"strong surface tension", func(p *Params) { p.SurfaceTension = 0.07 }, 500, false},
		{"sticky", func(p *Params) { p.ContactLine = 0.02 }, 500, false},
		{"noise", func(p *Params) { p.SurfaceTension = 0 }, 500, true},
		{"unequal cells", func(p *Params) { p.Cols = 50 }, 500, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := base()
			p.Cols, p.Rows = 80, 50
			c.change(&p)
			tk := newTank(t, p)
			if err := tk.FillBelow(0.03); err != nil {
				t.Fatal(err)
			}
			disc(t, tk, 0, 0.02, 0.008)
			rng := rand.New(rand.NewPCG(3, 5))
			pi := make([]float64, p.Cols*p.Rows)
			fastest, substeps := 0.0, 0
			for range 16 {
				if c.noise {
					for k := range pi {
						pi[k] = c.peak * rng.Float64()
					}
				} else {
					rough(tk, rng, c.peak, pi)
				}
				st := step(t, tk, 0.05, pi)
				fastest = max(fastest, st.MaxSpeed)
				substeps += st.Substeps
				if !(math.Abs(st.MassError) <= 1e-12) {
					t.Fatalf("mass error %g", st.MassError)
				}
				for k, c := range tk.Fraction() {
					if !(c >= 0 && c <= 1) {
						t.Fatalf("share %g in cell %d", c, k)
					}
				}
				if !(st.MaxSpeed < 5) {
					t.Fatalf("speed %g m/s", st.MaxSpeed)
				}
			}
			t.Logf("%d substeps, fastest %.3f m/s", substeps, fastest)
			if fastest < 1e-3 {
				t.Errorf("nothing moved: fastest %g m/s", fastest)
			}
		})
	}
}

// Tanks nobody would build, filled at random and shaken: from 0.01 mm to 0.1 m of
// gap, from nearly gas to nearly solid. Nothing may leave 0…1, get lost or blow up.
func TestWildTanks(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 5))
	between := func(a, b float64) float64 { return a * math.Pow(b/a, rng.Float64()) }
	for n := range 150 {
		p := Params{
			Width: between(1e-3, 1), Cols: 4 + rng.IntN(20), Rows: 4 + rng.IntN(20),
			Gap: between(1e-5, 0.1), Density: between(1, 1e5), Viscosity: between(1e-6, 1e3),
			SurfaceTension: between(1e-6, 10), ContactLine: between(1e-6, 1),
			GravityX: 100 * rng.NormFloat64(), GravityY: 100 * rng.NormFloat64(),
		}
		p.Height = p.Width * float64(p.Rows) / float64(p.Cols) * between(0.6, 1.6)
		p.DensityDifference = p.Density * (2*rng.Float64() - 1)
		if rng.IntN(3) == 0 {
			p.ContactLine = 0
		}
		if rng.IntN(3) == 0 {
			p.SurfaceTension = 0
		}
		tk := newTank(t, p)
		c := make([]float64, len(tk.c))
		for k := range c {
			c[k] = min(max(2*rng.Float64()-0.5, 0), 1)
		}
		if err := tk.SetFraction(c); err != nil {
			t.Fatal(err)
		}
		peak := between(1e-3, 1e4)
		for range 2 {
			for k := range c {
				c[k] = peak * (2*rng.Float64() - 1)
			}
			st := step(t, tk, 30*tk.substepLimit(), c)
			if !(st.MaxSpeed < 1e6) || !(math.Abs(st.MassError) <= 1e-12) {
				t.Fatalf("tank %d: %+v, %+v", n, p, st)
			}
			for _, v := range tk.c {
				if !(v >= 0 && v <= 1) {
					t.Fatalf("tank %d: %+v: share %g", n, p, v)
				}
			}
		}
	}
}

// A scene that is its own mirror image stays so.
func TestMirrorSymmetry(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 96, 60
	tk := newTank(t, p)
	if err := tk.FillBelow(0.02); err != nil {
		t.Fatal(err)
	}
	disc(t, tk, 0.03, 0.02, 0.008)
	disc(t, tk, -0.03, 0.02, 0.008)
	pi := gauss(tk, 0.02, 0, 0.006, 80)
	for k, v := range gauss(tk, -0.02, 0, 0.006, 80) {
		pi[k] += v
	}
	step(t, tk, 0.3, pi)
	c := tk.Fraction()
	worst := 0.0
	for i := range 60 {
		for j := range 48 {
			worst = max(worst, math.Abs(c[i*96+j]-c[i*96+95-j]))
		}
	}
	t.Logf("worst difference %g", worst)
	if worst > 1e-4 { // rounding decides on which side of a cut a faint share falls
		t.Errorf("mirror images differ by %g", worst)
	}
	if x, _ := centroid(t, tk); math.Abs(x) > 1e-7 {
		t.Errorf("centroid at x = %g m", x)
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

func TestSameEveryTime(t *testing.T) {
	run := func() []float64 {
		p := base()
		p.Cols, p.Rows = 64, 40
		tk := newTank(t, p)
		disc(t, tk, 0, 0, 0.008)
		step(t, tk, 0.2, gauss(tk, 0.012, 0, 0.006, 200))
		return tk.Fraction()
	}
	a, b := run(), run()
	for k := range a {
		if a[k] != b[k] {
			t.Fatalf("cell %d: %g and %g", k, a[k], b[k])
		}
	}
}

func TestStepAllocatesNothing(t *testing.T) {
	p := base()
	p.Cols, p.Rows, p.ContactLine = 64, 40, 0.01
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.008)
	pi := gauss(tk, 0.012, 0, 0.006, 80)
	if n := testing.AllocsPerRun(5, func() {
		if _, err := tk.Step(0.01, pi); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("a step allocates %g times", n)
	}
}

func TestStepRefuses(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 16, 10
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.03)
	before := fmt.Sprint(tk.c, tk.u, tk.v, tk.phi)
	good := make([]float64, 160)
	bad := append([]float64(nil), good...)
	bad[37] = math.NaN()
	big := append([]float64(nil), good...)
	big[3] = 2e6
	for _, c := range []struct {
		dt float64
		pi []float64
	}{{-1, good}, {math.NaN(), good}, {math.Inf(1), good}, {0.01, good[1:]}, {0.01, bad}, {0.01, big}} {
		if _, err := tk.Step(c.dt, c.pi); err == nil {
			t.Errorf("Step(%g, …) gave no error", c.dt)
		} else {
			t.Log(err)
		}
	}
	for _, err := range []error{tk.FillBelow(-1), tk.FillBelow(1), tk.FillBelow(math.NaN()), tk.FillDisc(0, 0, 0.011),
		tk.FillDisc(math.NaN(), 0, 0.05), tk.FillDisc(0, 0, math.Inf(1)), tk.SetFraction(good[1:]), tk.SetFraction(bad)} {
		if err == nil {
			t.Error("a bad filling gave no error")
		}
	}
	if fmt.Sprint(tk.c, tk.u, tk.v, tk.phi) != before {
		t.Error("a refused call changed the tank")
	}
	if _, err := tk.Step(1e6, good); err == nil {
		t.Error("a step of 1e6 s gave no error")
	}
	if st := step(t, tk, 0, nil); st.Substeps != 0 || st.ShortestStep != 0 {
		t.Errorf("a step of 0 s did %+v", st)
	}
}

func TestEmptyTank(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 16, 10
	tk := newTank(t, p)
	st := step(t, tk, 0.1, gauss(tk, 0, 0, 0.01, 500))
	if st.MaxSpeed != 0 || st.MassError != 0 || tk.Volume() != 0 || tk.FractionIn(0, 0, 1) != 0 {
		t.Errorf("an empty tank did %+v", st)
	}
	if _, _, ok := tk.Centroid(); ok {
		t.Error("an empty tank has a centroid")
	}
	disc(t, tk, 0, 0, 0.03)
	step(t, tk, 0.1, nil)
	tk.Clear()
	if tk.Volume() != 0 || tk.maxSpeed() != 0 {
		t.Error("a cleared tank is not empty and still")
	}
}
