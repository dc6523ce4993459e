package handover

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/array/tank"
	"lodegrid/field"
	"lodegrid/field/quantity"
)

// discForce is the magnetic force in newtons on a drop centred at (x, y) by the pixels on
// and the bias: the fall of the energy of a rigid disc, its field's mean and variances by
// Gauss places all over its depth too, of the coils and magnets themselves.
func (m *mover) discForce(on map[int]float64, x, y float64) (fx, fy float64) {
	g := m.grid
	f := g.Design.Fluid
	const rings, around, deep = 6, 24, 3
	square, ringShare, depth, depthShare := make([]float64, rings), make([]float64, rings), make([]float64, deep), make([]float64, deep)
	quad.Legendre{}.FixedLocations(square, ringShare, 0, 1)
	quad.Legendre{}.FixedLocations(depth, depthShare, f.Height-f.TankGap/2, f.Height+f.TankGap/2)
	coil, magnet := g.Pixel.From(f.Height-f.TankGap/2).CoilField(), g.Pixel.MagnetField()
	along, across := g.Fluid.Variances()
	pressure := func(x, y float64) float64 {
		var mean r3.Vec
		var z2, r2, rippleZ, rippleXY float64
		for i, s := range square {
			for k := range around {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / around)
				for l, z := range depth {
					at := r3.Vec{X: x + m.radius*math.Sqrt(s)*cos, Y: y + m.radius*math.Sqrt(s)*sin, Z: z}
					w := ringShare[i] / around * depthShare[l] / f.TankGap
					var b r3.Vec
					var ripple grid.Swing
					for p := range g.Design.Pixels() {
						from := r3.Sub(at, g.Design.PixelCenter(p/g.Design.Grid.Cols, p%g.Design.Grid.Cols))
						if magnet != nil {
							b = r3.Add(b, magnet.B(from))
						}
						if level, lit := on[p]; lit {
							c, per := m.current(p, g.At(level)), coil.B(from)
							b, ripple = r3.Add(b, r3.Scale(c.amperes, per)), c.rock.Add(ripple, per)
						}
					}
					mean = r3.Add(mean, r3.Scale(w, b))
					z2, r2 = z2+w*b.Z*b.Z, r2+w*(b.X*b.X+b.Y*b.Y)
					u, v := g.Squares(ripple)
					rippleZ, rippleXY = rippleZ+w*u, rippleXY+w*v
				}
			}
		}
		return g.Pressure.Pi(blend(mean.Z*mean.Z, z2, along, rippleZ), blend(mean.X*mean.X+mean.Y*mean.Y, r2, across, rippleXY))
	}
	const h = 0.1e-3
	return m.volume * (pressure(x+h, y) - pressure(x-h, y)) / (2 * h), m.volume * (pressure(x, y+h) - pressure(x, y-h)) / (2 * h)
}

func mustMover(t testing.TB, g *grid.Grid) *mover {
	t.Helper()
	m := newMover(g)
	return m
}

// A drop rests where the force on it is its weight.
func TestDropForce(t *testing.T) {
	g := trial.Build(t, grid.New, 16, "grid.cols=3", "grid.rows=3")
	m := mustMover(t, g)
	k := g.Design.Pixel(1, 1)
	r := m.rest(k, 1)
	if fx, fy := m.discForce(map[int]float64{k: 1}, r.x, r.y); !r.held || math.Hypot(fx, fy-m.weight) > 5e-2*m.weight || r.y >= 0 {
		t.Errorf("rests at %+v with %g, %g N left of a weight of %g N", r, fx, fy-m.weight, m.weight)
	}
}

// The force of a landscape is that of the disc, as far as the second order in its depth
// tells, and its energy the integral of it.
func TestLandscape(t *testing.T) {
	for _, c := range []struct {
		changes []string
		tol     float64
	}{
		{nil, 0.02},
		{[]string{"fluid.drop_diameter=9.5 mm"}, 0.02},
		{[]string{"fluid.drop_diameter=1.5 mm"}, 0.02},
		{append(trial.Magnets, "heat.orientation=face-up"), 0.02},
		{append(trial.Magnets, "drive.max_duty=30 %"), 0.02},
		{[]string{"drive.mode=stagger", "drive.max_duty=30 %"}, 0.02},
		{[]string{"fluid.height=1.2 mm"}, 0.04},
		{[]string{"fluid.tank_gap=0.5 mm"}, 5e-3},
	} {
		g := trial.Build(t, grid.New, 8, c.changes...)
		m := mustMover(t, g)
		e := &Edge{From: 5, To: 6, Right: 1}
		x := m.transfer(e, m.grid.FullLevel(), m.grid.FullLevel())
		l := x.lit(g.At(0.5), g.At(1))
		on := map[int]float64{5: 0.5, 6: 1}
		strongest, worst := 0.0, 0.0
		for k := range 9 {
			px, py := x.a.x-5e-3+20e-3*float64(k)/8, x.a.y+6e-3*math.Sin(float64(k))
			_, fx, fy := l.at(px, py)
			wx, wy := m.discForce(on, px, py)
			strongest = max(strongest, math.Hypot(wx, wy))
			worst = max(worst, math.Hypot(fx-wx, fy+m.weight-wy))
			const h = 1e-5
			up, _, _ := l.at(px, py+h)
			down, _, _ := l.at(px, py-h)
			right, _, _ := l.at(px+h, py)
			left, _, _ := l.at(px-h, py)
			if sx, sy := (left-right)/(2*h), (down-up)/(2*h); math.Hypot(sx-fx, sy-fy) > 1e-3*(strongest+m.weight) {
				t.Errorf("%v: at %g, %g mm the energy falls by %g, %g N, the force is %g, %g", c.changes, px*1e3, py*1e3, sx, sy, fx, fy)
			}
		}
		t.Logf("%v: force off by %.2g of the strongest, nodes %.3g mm apart, %d × %d", c.changes, worst/strongest, m.step*1e3, l.cols, l.rows)
		if worst > c.tol*strongest {
			t.Errorf("%v: force off by %.2g of the strongest", c.changes, worst/strongest)
		}
	}
}

// The bias between samples against the magnets themselves.
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		samples int
		tol     float64
	}{{8, 1e-3}, {16, 3e-5}} {
		g := trial.Build(t, grid.New, c.samples, "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm")
		peak, _, _ := peak(g.BiasPlane)
		for _, p := range []r3.Vec{{X: 1e-3, Y: 2e-3}, {X: -17.3e-3, Y: 4.4e-3}, {X: 24.9e-3, Y: -19.9e-3}, {X: 0.1e-3, Y: -8e-3}} {
			p.Z = g.Design.Fluid.Height
			var want r3.Vec
			for k := range g.Design.Pixels() {
				want = r3.Add(want, g.Pixel.MagnetField().B(r3.Sub(p, g.Design.PixelCenter(k/g.Design.Grid.Cols, k%g.Design.Grid.Cols))))
			}
			if e := r3.Norm(r3.Sub(fieldOn(g.BiasPlane, patch{p.X, p.Y, 1, 1, 1})[0], want)); e > c.tol*peak {
				t.Errorf("%d samples, at %v: off by %.2g of the largest bias", c.samples, p, e/peak)
			}
		}
		k := 3*g.Raster.Cols + 4
		at := g.Raster.Point(3, 4)
		if got := fieldOn(g.BiasPlane, patch{at.X, at.Y, 1, 1, 1})[0]; math.Abs(got.Z-g.BiasPlane.Bz[k]) > 1e-12*peak {
			t.Errorf("at a sample %g, the sample is %g", got.Z, g.BiasPlane.Bz[k])
		}
	}
}

// peak is the largest field of a plane whose magnitude was not filled in.
func peak(p *grid.Plane) (b float64, i, j int) {
	for k := range p.Bx {
		if v := r3.Norm(r3.Vec{X: p.Bx[k], Y: p.By[k], Z: p.Bz[k]}); v > b {
			b, i, j = v, k/p.Raster.Cols, k%p.Raster.Cols
		}
	}
	return b, i, j
}

// In a thin gap, where drag is everything, the time is ∫ ds/v with v = μF/V from the
// closed form of package tank; and the terminal speed is SinkSpeed.
func TestHandoverTime(t *testing.T) {
	g := trial.Build(t, grid.New, 8, "heat.orientation=face-up", "fluid.tank_gap=0.3 mm", "grid.cols=2", "grid.rows=1")
	p, err := One(t.Context(), g, 0, 1, Switch)
	if err != nil {
		t.Fatal(err)
	}
	m := mustMover(t, g)
	want := 0.0
	const n = 400
	from, to := -5e-3, 5e-3-near*10e-3
	for k := range n {
		x := from + (to-from)*(float64(k)+0.5)/n
		fx, _ := m.discForce(map[int]float64{1: 1}, x, 0)
		want += (to - from) / n / (m.mobility * fx / m.volume)
	}
	t.Logf("%.4g s, by quadrature %.4g s; drag time %.2g s", p.Time, want, m.drag)
	if !p.Taken || p.End != Arrived || math.Abs(p.Time/want-1) > 0.03 || p.Barrier != 0 {
		t.Errorf("%+v, by quadrature %g s", p, want)
	}
	g = trial.Build(t, grid.New, 8)
	h, err := All(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	f := g.Design.Fluid
	sink := tank.Params{Gap: f.TankGap, Density: f.Density, DensityDifference: f.DensityDifference, Viscosity: f.Viscosity, GravityY: -field.Gravity}.SinkSpeed(f.DropDiameter / 2)
	if math.Abs(h.Terminal.Value/sink-1) > 1e-12 {
		t.Errorf("terminal speed %g, the tank's %g", h.Terminal.Value, sink)
	}
}

// The energy balance of the way: with the contact line as strong as half the weakest pull
// the ratio is 2, as strong as all of it 1, and then the drop stays.
func TestContactLineStopsADrop(t *testing.T) {
	level := []string{"heat.orientation=face-up", "grid.cols=2", "grid.rows=1"}
	g := trial.Build(t, grid.New, 8, level...)
	m := mustMover(t, g)
	weakest := math.Inf(1)
	for k := range waySteps {
		s := (float64(k) + 0.5) / waySteps
		if s < 0.9 {
			fx, _ := m.discForce(map[int]float64{1: 1}, -5e-3+10e-3*s, 0)
			weakest = min(weakest, fx)
		}
	}
	for _, c := range []struct {
		share float64
		end   Ending
	}{{0.5, Arrived}, {2, Stays}} {
		g.Design.Fluid.ContactLine = c.share * weakest / g.Design.Fluid.DropDiameter
		p, err := One(t.Context(), g, 0, 1, Switch)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.Ratio*c.share-1) > 5e-3 || p.End != c.end || p.Taken != (c.end == Arrived) || (p.Barrier > 0) != (c.share > 1) {
			t.Errorf("grip %g of the weakest pull: %+v, want ratio %g and %q", c.share, p, 1/c.share, c.end)
		}
		if p.Taken == math.IsInf(p.Time, 1) {
			t.Errorf("taken %v in %g s", p.Taken, p.Time)
		}
	}
	// A stays on: the drop stays with it.
	if p, _ := One(t.Context(), g, 0, 1, Both); p.End != Stays || p.Ratio >= 1 || !(p.Barrier > 0) {
		t.Errorf("both on: %+v", p)
	}
	// Without drive, nothing holds.
	g.Pixel.FullCurrent = 0
	g.Design.Heat.Orientation = "vertical"
	g.Design.Fluid.ContactLine = 0
	if p, _ := One(t.Context(), g, 0, 1, Switch); p.End != NotHeld {
		t.Errorf("without current: %+v", p)
	}
}

// What the energy says of a drop's end is how it ends when it is followed all the way,
// and it is never slower to say so.
func TestEnergyDecides(t *testing.T) {
	for name, changes := range map[string][]string{
		"lying, magnets": append(trial.Magnets, "heat.orientation=face-up"),
		"lying, sheet":   {"heat.orientation=face-up", "magnet.kind=sheet"},
		"sheet":          {"magnet.kind=sheet"},
		"kick":           {"drive.mode=kick", "drive.kick_voltage=24 V", "drive.kick_time=20 ms", "drive.hold_duty=60 %"},
		"lying, thin":    {"heat.orientation=face-down", "fluid.viscosity=2 mPa s", "fluid.tank_gap=3 mm"},
	} {
		g := trial.Build(t, grid.New, 8, changes...)
		quick, slow := mustMover(t, g), mustMover(t, g)
		slow.every = math.MaxInt
		decided := 0
		for from := range g.Design.Pixels() {
			for _, e := range []*Edge{{From: from, To: from + 1, Right: 1}, {From: from, To: from + 4, Up: -1}} {
				if e.Right > 0 && from%4 == 3 || e.Up < 0 && from >= 8 {
					continue
				}
				a, b := quick.transfer(e, quick.grid.FullLevel(), quick.grid.FullLevel()), slow.transfer(e, slow.grid.FullLevel(), slow.grid.FullLevel())
				for s := range Schemes {
					before, was := quick.left, slow.left
					p, err := a.pass(t.Context(), s)
					if err != nil {
						t.Fatal(err)
					}
					q, err := b.pass(t.Context(), s)
					if err != nil {
						t.Fatal(err)
					}
					if p.End != q.End && q.End != Undecided || p.Taken && math.Abs(p.Time/q.Time-1) > 1e-9 {
						t.Errorf("%s: %d to %d, %v: by its energy %+v, followed %+v", name, e.From, e.To, s, p, q)
					}
					if before-quick.left > was-slow.left {
						t.Errorf("%s: %d to %d, %v: %d steps with its energy weighed, %d without", name, e.From, e.To, s, before-quick.left, was-slow.left)
					}
					if p.End != Undecided {
						decided++
					}
				}
			}
		}
		t.Logf("%s: %d decided, %d steps, %d followed all the way", name, decided, mostSteps-quick.left, mostSteps-slow.left)
	}
}

// Drops for which the effort does not reach are told apart from those that fail.
func TestEffortEnds(t *testing.T) {
	g := trial.Build(t, grid.New, 8)
	m := mustMover(t, g)
	m.left = 10
	e := &Edge{From: 5, To: 6, Right: 1}
	if err := m.passages(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	for s := range Schemes {
		if p := e.Passages[s]; p.End != Undecided || p.Taken || p.Time != 0 || !(p.Ratio >= 0) {
			t.Errorf("%v: %+v", s, p)
		}
	}
	m.left = 0
	if err := m.passages(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	for s := range Schemes {
		if p := e.Passages[s]; p.End != Undecided || p.Taken || !math.IsNaN(p.Ratio) {
			t.Errorf("without any effort, %v: %+v", s, p)
		}
	}
}

// Every edge computed once for its kind is what it is computed by itself.
func TestHandoversShareCases(t *testing.T) {
	for name, changes := range map[string][]string{
		"plain":   {"grid.cols=4", "grid.rows=3"},
		"magnets": append(trial.Magnets, "grid.cols=4", "grid.rows=2", "magnet.remanence=0.3 T"),
		"kick":    {"grid.cols=3", "grid.rows=2", "drive.mode=kick", "drive.kick_voltage=24 V", "drive.kick_time=100 ms", "drive.hold_duty=60 %"},
		"rising":  {"grid.cols=3", "grid.rows=2", "fluid.density_difference=-30 kg/m3"},
	} {
		g := trial.Build(t, grid.New, 6, changes...)
		h, err := All(t.Context(), g)
		if err != nil {
			t.Fatal(err)
		}
		d := g.Design.Grid
		count, failing, longest := 0, 0, 0.0
		for from, sides := range h.Edges {
			for _, e := range sides {
				if e == nil {
					continue
				}
				count++
				if e.From != from || e.Right*e.Right+e.Up*e.Up != 1 || e.To != from+e.Right-e.Up*d.Cols {
					t.Fatalf("%s: edge %+v of pixel %d", name, e, from)
				}
				for s := range Schemes {
					p, err := One(t.Context(), g, e.From, e.To, s)
					if err != nil {
						t.Fatal(err)
					}
					q := e.Passages[s]
					if p.End != q.End || math.Abs(p.Barrier-q.Barrier) > 1e-6*(p.Barrier+1e-9) || p.Taken && math.Abs(p.Time/q.Time-1) > 1e-3 {
						t.Errorf("%s: %d to %d, %v: %+v by itself, %+v in the map", name, e.From, e.To, s, p, q)
					}
				}
				if p := e.Passages[Switch]; p.Taken {
					longest = max(longest, p.Time)
				} else {
					failing++
				}
			}
		}
		if want := 2 * (d.Rows*(d.Cols-1) + d.Cols*(d.Rows-1)); count != want || failing != h.Failing || longest != h.FrameTime || h.Cases >= count {
			t.Errorf("%s: %d edges of %d, %d failing of %d, frame time %g of %g, %d cases", name, count, want, failing, h.Failing, longest, h.FrameTime, h.Cases)
		}
		t.Logf("%s: %d cases for %d edges, %d failing, frame time %.3g s, kick %.3g", name, h.Cases, count, h.Failing, h.FrameTime, h.Kick)
	}
	g := trial.Build(t, grid.New, 4)
	for _, p := range [][2]int{{0, 2}, {0, 6}, {0, 0}, {-1, 0}, {0, 99}, {3, 4}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("hand-over %v passes", p)
				}
			}()
			_, _ = One(t.Context(), g, p[0], p[1], Switch)
		}()
	}
	one, err := All(t.Context(), trial.Build(t, grid.New, 4, "grid.cols=1", "grid.rows=1"))
	if err != nil || one.Cases != 0 || one.Edges[0] != [4]*Edge{} {
		t.Errorf("one pixel: %+v, %v", one, err)
	}
}

// A kick carries upwards what the plain switch lets fall, down is easier than up.
func TestHandoverGravity(t *testing.T) {
	g := trial.Build(t, grid.New, 8, "grid.cols=1", "grid.rows=2", "drive.max_duty=70 %")
	down, err := One(t.Context(), g, 0, 1, Switch)
	if err != nil {
		t.Fatal(err)
	}
	up, err := One(t.Context(), g, 1, 0, Switch)
	if err != nil {
		t.Fatal(err)
	}
	kicked, err := One(t.Context(), g, 1, 0, Kick)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("down %+v\nup %+v\nkicked %+v", down, up, kicked)
	if !(down.Ratio > up.Ratio) || !(kicked.Ratio > up.Ratio) || !down.Taken || up.Taken {
		t.Errorf("ratios down %g, up %g, up with kick %g", down.Ratio, up.Ratio, kicked.Ratio)
	}
}

func BenchmarkHandover(b *testing.B) {
	g := trial.Build(b, grid.New, 8)
	for b.Loop() {
		if _, err := One(b.Context(), g, 5, 6, Switch); err != nil {
			b.Fatal(err)
		}
	}
}

// A grid with another drop and another density taken over is as one built so.
func TestWithAnotherDrop(t *testing.T) {
	changes := []string{"fluid.drop_diameter=6 mm", "fluid.density_difference=3 kg/m3"}
	built := trial.Build(t, grid.New, 8, changes...)
	with := trial.Build(t, grid.New, 8).With(built.Design)
	a := hold.LoneHold(built)
	b := hold.LoneHold(with)
	p, err := One(t.Context(), built, 5, 6, Kick)
	if err != nil {
		t.Fatal(err)
	}
	q, err := One(t.Context(), with, 5, 6, Kick)
	if err != nil {
		t.Fatal(err)
	}
	if a != b || p != q {
		t.Errorf("taken over: hold %g, hand-over %+v; built: %g, %+v", b, q, a, p)
	}
}

// How fast a drop sinks is told with where it comes from: of one much wider than the gap the shear
// along its edge leaves nearly all, and what has no weight along the panes has no such factor.
func TestSinkingTellsWhereItComesFrom(t *testing.T) {
	f := trial.Design(t).Fluid
	f.DropDiameter = 300 * f.TankGap
	mobility, _ := Motion(f)
	got := sinking(f, mobility*math.Abs(f.DensityDifference)*field.Gravity)
	var wide, left float64
	if _, err := fmt.Sscanf(got.Why[strings.LastIndex(got.Why, "= "):], "= %g mm/s × %g", &wide, &left); err != nil {
		t.Fatalf("%q: %v", got.Why, err)
	}
	if !(0.98 < left && left < 1) || math.Abs(wide*left/(1e3*got.Value)-1) > 1e-3 {
		t.Errorf("%g m/s: %s", got.Value, got.Why)
	}
	f.DensityDifference = 0
	for _, s := range []quantity.Derived{sinking(f, 0), sinking(trial.Design(t).Fluid, 0)} {
		if s.Value != 0 || strings.Contains(s.Why, "×") || strings.Contains(s.Why, "NaN") {
			t.Errorf("no weight: %g m/s, %s", s.Value, s.Why)
		}
	}
}
