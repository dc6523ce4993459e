package array

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/tank"
)

// The rim sum against the integral of the analytic gradient over the drop, and its
// largest value against the hold ratio of a fine raster.
func TestDropForce(t *testing.T) {
	g := testGrid(t, 32, "grid.cols=3", "grid.rows=3")
	f := newDropField(g)
	k := g.Design.Pixel(1, 1)
	f.light([]int{k}, []float64{1})
	i0 := g.Pixel.FullCurrent
	for _, p := range [][2]float64{{0, 0}, {1e-3, -2e-3}, {3e-3, 3e-3}, {-6e-3, 1e-3}} {
		var want [2]float64
		const m = 40
		for a := range m {
			r := f.radius * math.Sqrt((float64(a)+0.5)/m)
			for b := range 2 * m {
				sin, cos := math.Sincos(math.Pi * (float64(b) + 0.5) / m)
				l := g.Kernel.LocalAt(p[0]+r*cos, p[1]+r*sin)
				s := r3.Scale(i0*f.volume/(2*m*m), g.Fluid.MOf(r3.Scale(i0, l.B)))
				want[0] += s.X*l.DxBx + s.Y*l.DxBy + s.Z*l.DxBz
				want[1] += s.X*l.DxBy + s.Y*l.DyBy + s.Z*l.DyBz
			}
		}
		fx, fy := f.magnetic(p[0], p[1])
		scale := g.Drop().Weight
		if math.Abs(fx-want[0]) > 2e-3*(math.Hypot(want[0], want[1])+scale) || math.Abs(fy-want[1]) > 2e-3*(math.Hypot(want[0], want[1])+scale) {
			t.Errorf("at %v: force %g, %g N, volume integral %g, %g", p, fx, fy, want[0], want[1])
		}
	}
	most := 0.0
	for y := 0.0; y < 10e-3; y += 2e-5 {
		_, fy := f.magnetic(0, -y)
		most = max(most, fy)
	}
	currents, states := make([]float64, 9), make([]State, 9)
	currents[k], states[k] = i0, Lit
	ratio, _ := NewHold(g).RatioAt(1, 1, mustField(t, g, currents), states)
	if e := math.Abs(most/g.Drop().Weight/ratio - 1); e > 2e-3 {
		t.Errorf("largest force over need %g, hold ratio %g", most/g.Drop().Weight, ratio)
	}
	x, y, held := f.rest(k, 1)
	if fx, fy := f.force(x, y); !held || math.Hypot(fx, fy) > 1e-6*g.Drop().Weight || y >= 0 {
		t.Errorf("rests at %g, %g with %g, %g N left", x, y, fx, fy)
	}
}

// The bias between samples against the magnets themselves.
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		samples int
		tol     float64
	}{{8, 1e-3}, {16, 3e-5}} {
		g := testGrid(t, c.samples, "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm")
		dark := make([]float64, g.Design.Pixels())
		peak, _, _ := g.bias.peak()
		for _, p := range []r3.Vec{{X: 1e-3, Y: 2e-3}, {X: -17.3e-3, Y: 4.4e-3}, {X: 24.9e-3, Y: -19.9e-3}, {X: 0.1e-3, Y: -8e-3}} {
			p.Z = g.Design.Fluid.Height
			want := direct(g, dark, p)
			if e := r3.Norm(r3.Sub(g.bias.between(p.X, p.Y), want)); e > c.tol*peak {
				t.Errorf("%d samples, at %v: off by %.2g of the largest bias", c.samples, p, e/peak)
			}
		}
		k := 3*g.Raster.Cols + 4
		at := g.Raster.Point(3, 4)
		if got := g.bias.between(at.X, at.Y); math.Abs(got.Z-g.bias.Bz[k]) > 1e-12*peak {
			t.Errorf("at a sample %g, the sample is %g", got.Z, g.bias.Bz[k])
		}
	}
}

// peak is the largest field of a plane whose magnitude was not filled in.
func (p *Plane) peak() (b float64, i, j int) {
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
	g := testGrid(t, 8, "heat.orientation=face-up", "fluid.tank_gap=0.3 mm", "grid.cols=2", "grid.rows=1")
	p, err := g.Handover(t.Context(), 0, 1, Switch)
	if err != nil {
		t.Fatal(err)
	}
	m, err := newMover(g)
	if err != nil {
		t.Fatal(err)
	}
	m.field.light([]int{1}, []float64{1})
	want := 0.0
	const n = 4000
	from, to := -5e-3, 5e-3-near*10e-3
	for k := range n {
		x := from + (to-from)*(float64(k)+0.5)/n
		fx, _ := m.field.force(x, 0)
		want += (to - from) / n / (m.mobility * fx / m.field.volume)
	}
	t.Logf("%.4g s, by quadrature %.4g s; drag time %.2g s", p.Time, want, m.drag)
	if !p.Taken || p.End != Arrived || math.Abs(p.Time/want-1) > 0.03 || p.Barrier != 0 {
		t.Errorf("%+v, by quadrature %g s", p, want)
	}
	g = testGrid(t, 8)
	h, err := g.Handovers(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	f := g.Design.Fluid
	sink := tank.Params{Gap: f.TankGap, Density: f.Density, DensityDifference: f.DensityDifference, Viscosity: f.Viscosity, GravityY: -tank.StandardGravity}.SinkSpeed(f.DropDiameter / 2)
	if math.Abs(h.Terminal/sink-1) > 1e-12 {
		t.Errorf("terminal speed %g, the tank's %g", h.Terminal, sink)
	}
}

// The energy balance of the way: with the contact line as strong as half the weakest pull
// the ratio is 2, as strong as all of it 1, and then the drop stays.
func TestContactLineStopsADrop(t *testing.T) {
	level := []string{"heat.orientation=face-up", "grid.cols=2", "grid.rows=1"}
	g := testGrid(t, 8, level...)
	m, err := newMover(g)
	if err != nil {
		t.Fatal(err)
	}
	m.field.light([]int{1}, []float64{1})
	weakest := math.Inf(1)
	for k := range waySteps {
		s := (float64(k) + 0.5) / waySteps
		if s < 0.9 {
			fx, _ := m.field.magnetic(-5e-3+10e-3*s, 0)
			weakest = min(weakest, fx)
		}
	}
	for _, c := range []struct {
		share float64
		end   Ending
	}{{0.5, Arrived}, {2, Stays}} {
		g.Design.Fluid.ContactLine = c.share * weakest / g.Design.Fluid.DropDiameter
		p, err := g.Handover(t.Context(), 0, 1, Switch)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.Ratio*c.share-1) > 1e-9 || p.End != c.end || p.Taken != (c.end == Arrived) || (p.Barrier > 0) != (c.share > 1) {
			t.Errorf("grip %g of the weakest pull: %+v, want ratio %g and %q", c.share, p, 1/c.share, c.end)
		}
		if p.Taken == math.IsInf(p.Time, 1) {
			t.Errorf("taken %v in %g s", p.Taken, p.Time)
		}
	}
	// A stays on: the drop stays with it.
	if p, _ := g.Handover(t.Context(), 0, 1, Both); p.End != Stays || p.Ratio >= 1 || !(p.Barrier > 0) {
		t.Errorf("both on: %+v", p)
	}
	// Without drive, nothing holds.
	g.Pixel.FullCurrent = 0
	g.Design.Heat.Orientation = "vertical"
	g.Design.Fluid.ContactLine = 0
	if p, _ := g.Handover(t.Context(), 0, 1, Switch); p.End != NotHeld {
		t.Errorf("without current: %+v", p)
	}
}

// Every edge computed once for its kind is what it is computed by itself.
func TestHandoversShareCases(t *testing.T) {
	for name, changes := range map[string][]string{
		"plain":   {"grid.cols=4", "grid.rows=3"},
		"magnets": append(magnets, "grid.cols=4", "grid.rows=2", "magnet.remanence=0.3 T"),
		"kick":    {"grid.cols=3", "grid.rows=2", "drive.mode=kick", "drive.kick_voltage=24 V", "drive.kick_time=100 ms", "drive.hold_duty=60 %"},
		"rising":  {"grid.cols=3", "grid.rows=2", "fluid.density_difference=-30 kg/m3"},
	} {
		g := testGrid(t, 6, changes...)
		if name == "plain" {
			g.Gains = []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 0.4, 1, 1}
		}
		h, err := g.Handovers(t.Context())
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
				if e.From != from || abs(e.Right)+abs(e.Up) != 1 || e.To != from+e.Right-e.Up*d.Cols {
					t.Fatalf("%s: edge %+v of pixel %d", name, e, from)
				}
				for s := range Schemes {
					p, err := g.Handover(t.Context(), e.From, e.To, s)
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
	g := testGrid(t, 4)
	for _, p := range [][3]int{{0, 2, 0}, {0, 5, 0}, {0, 0, 0}, {-1, 0, 0}, {0, 99, 0}, {0, 1, 7}, {3, 4, 0}} {
		if _, err := g.Handover(t.Context(), p[0], p[1], Scheme(p[2])); err == nil {
			t.Errorf("hand-over %v passes", p)
		}
	}
	g.Gains = []float64{1}
	if _, err := g.Handovers(t.Context()); err == nil {
		t.Error("one gain for twelve pixels passes")
	}
	one, err := testGrid(t, 4, "grid.cols=1", "grid.rows=1").Handovers(t.Context())
	if err != nil || one.Cases != 0 || one.Edges[0] != [4]*Edge{} {
		t.Errorf("one pixel: %+v, %v", one, err)
	}
}

// A kick carries upwards what the plain switch lets fall, down is easier than up.
func TestHandoverGravity(t *testing.T) {
	g := testGrid(t, 8, "grid.cols=1", "grid.rows=2", "drive.max_duty=70 %")
	down, err := g.Handover(t.Context(), 0, 1, Switch)
	if err != nil {
		t.Fatal(err)
	}
	up, err := g.Handover(t.Context(), 1, 0, Switch)
	if err != nil {
		t.Fatal(err)
	}
	kicked, err := g.Handover(t.Context(), 1, 0, Kick)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("down %+v\nup %+v\nkicked %+v", down, up, kicked)
	if !(down.Ratio > up.Ratio) || !(kicked.Ratio > up.Ratio) || !down.Taken || up.Taken {
		t.Errorf("ratios down %g, up %g, up with kick %g", down.Ratio, up.Ratio, kicked.Ratio)
	}
}

func BenchmarkHandover(b *testing.B) {
	g := testGrid(b, 8)
	for b.Loop() {
		if _, err := g.Handover(b.Context(), 5, 6, Switch); err != nil {
			b.Fatal(err)
		}
	}
}
