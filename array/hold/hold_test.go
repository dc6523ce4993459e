package hold

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The drop's samples: area, symmetry and second moments of a disc.
func TestDiscRuns(t *testing.T) {
	for r := 1.1; r < 20; r *= 1.17 {
		runs := discRuns(r)
		xx, yy := moments(runs)
		if math.Abs(xx-r*r/4) > 1e-9*r*r || math.Abs(yy-r*r/4) > 1e-9*r*r {
			t.Errorf("radius %g: second moments %g, %g, want %g", r, xx, yy, r*r/4)
		}
		for k, run := range runs {
			if m := runs[len(runs)-1-k]; m.di != -run.di || m.half != run.half || math.Abs(m.end-run.end) > 1e-12 || run.end < 0 || run.end > 1 {
				t.Errorf("radius %g: run %+v against %+v", r, run, m)
			}
		}
	}
	// Radii that a sample covers alone.
	for _, r := range []float64{0.01, 0.3, 0.5, 0.7, 1} {
		if n := len(discRuns(r)); n < 1 || n > 3 {
			t.Errorf("radius %g: %d rows", r, n)
		}
	}
}

// pressure fills a plane's Π from a function of the position.
func pressure(g *grid.Grid, f func(p r3.Vec) float64) *grid.Plane {
	p := grid.NewPlane(g.Raster)
	for i := range g.Raster.Rows {
		for j := range g.Raster.Cols {
			p.Pi[i*g.Raster.Cols+j] = f(g.Raster.Point(i, j))
		}
	}
	return p
}

// A single bump Π = exp(−r²/2w²): the mean over a disc of radius R at distance y has the
// slope of a known integral; its steepest fall is found by fine quadrature over the
// rim, (1/πR²)∮Π n dl.
func TestHoldOfABump(t *testing.T) {
	for _, c := range []struct {
		samples int
		tol     float64
	}{{8, 0.02}, {16, 3e-3}, {32, 1e-3}} {
		g := trial.Build(t, grid.New, c.samples)
		h := New(g)
		const w = 3e-3
		at := g.Center(1, 2)
		p := pressure(g, func(q r3.Vec) float64 {
			d := r3.Sub(q, at)
			return 100 * math.Exp(-(d.X*d.X+d.Y*d.Y)/(2*w*w))
		})
		radius, steepest := h.drop.Diameter/2, 0.0
		for y := 0.0; y < 10e-3; y += 1e-5 {
			slope := 0.0
			const n = 64
			for k := range n {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
				px, py := radius*cos, y+radius*sin
				slope -= 100 * math.Exp(-(px*px+py*py)/(2*w*w)) * sin * 2 * math.Pi * radius / n
			}
			steepest = max(steepest, slope/(math.Pi*radius*radius))
		}
		want := steepest * h.drop.Volume / h.drop.Weight
		for _, vertical := range []bool{true, false} {
			g.Design.Heat.Orientation, h.drop.Pinning = design.Vertical, 0
			if !vertical { // centring a drop that sticks as hard as it weighs
				g.Design.Heat.Orientation, h.drop.Pinning = design.FaceUp, h.drop.Weight
			}
			states := make([]grid.State, g.Design.Pixels())
			k := g.Design.Pixel(1, 2)
			states[k] = grid.Lit
			ratios := make([]float64, len(states))
			h.Ratios(ratios, p, states)
			if e := math.Abs(ratios[k]/want - 1); e > c.tol {
				t.Errorf("%d samples, vertical %v: ratio %g, exact %g, off by %.2g", c.samples, vertical, ratios[k], want, e)
			}
			single, rise := h.RatioAt(1, 2, p, states)
			if math.Abs(single/ratios[k]-1) > 1e-12 || rise < 0 {
				t.Errorf("%d samples: alone %g, rise %g, among all %g", c.samples, single, rise, ratios[k])
			}
			// Dark pixels beside it stand on its slope.
			for _, n := range [][2]int{{0, 2}, {2, 2}, {1, 1}, {1, 3}} {
				if got := ratios[g.Design.Pixel(n[0], n[1])]; got != 0 {
					t.Errorf("dark pixel %v on the slope has ratio %g", n, got)
				}
			}
		}
	}
}

// The slope of the mean in the grid's own field against the analytic gradient of one
// pixel's field, dΠ/dB · (B·∂B/∂y)/|B|, averaged over the drop.
func TestHoldAgainstAnalyticGradient(t *testing.T) {
	for _, c := range []struct {
		samples int
		tol     float64
	}{{8, 0.025}, {16, 8e-3}, {32, 2e-3}} {
		g := trial.Build(t, grid.New, c.samples)
		h := New(g)
		n := g.Design.Pixels()
		k, i0 := g.Design.Pixel(1, 1), g.Pixel.FullCurrent
		currents, states := make([]float64, n), make([]grid.State, n)
		currents[k], states[k] = i0, grid.Lit
		p := g.Field(grid.Steady(currents))
		got, _ := h.RatioAt(1, 1, p, states)
		radius, steepest := h.drop.Diameter/2, 0.0
		for y := 0.0; y < 10e-3; y += 5e-5 {
			sum := 0.0 // Gauss–Legendre would do as well; midpoints in radius² and angle
			const m = 12
			for a := range m {
				r := radius * math.Sqrt((float64(a)+0.5)/m)
				for b := range 2 * m {
					sin, cos := math.Sincos(math.Pi * (float64(b) + 0.5) / m)
					l := g.Kernel.LocalAt(r*cos, y+r*sin)
					s := g.Fluid.MOf(r3.Scale(i0, l.B))
					sum -= i0 * (s.X*l.DxBy + s.Y*l.DyBy + s.Z*l.DyBz) / (2 * m * m)
				}
			}
			steepest = max(steepest, sum)
		}
		want := steepest * h.drop.Volume / h.drop.Weight
		t.Logf("%d samples: hold ratio %.4f, analytic %.4f", c.samples, got, want)
		if e := math.Abs(got/want - 1); e > c.tol {
			t.Errorf("%d samples: hold ratio %g, analytic gradient %g, off by %.2g", c.samples, got, want, e)
		}
	}
}

// A plane that falls evenly downwards: every slope is the same, the drop's size and
// place do not matter.
func TestHoldOnASlope(t *testing.T) {
	g := trial.Build(t, grid.New, 8)
	h := New(g)
	p := pressure(g, func(q r3.Vec) float64 { return 500 * q.Y })
	states := make([]grid.State, g.Design.Pixels())
	for k := range states {
		states[k] = grid.Lit
	}
	want := 500 * h.drop.Volume / h.drop.Weight
	for row := range g.Design.Grid.Rows {
		for col := range g.Design.Grid.Cols {
			if got, _ := h.RatioAt(row, col, p, states); math.Abs(got/want-1) > 1e-9 {
				t.Errorf("row %d, column %d: %g on an even slope, want %g", row, col, got, want)
			}
		}
	}
	// Without a field nothing holds and nothing is false.
	zero := grid.NewPlane(g.Raster)
	ratios := make([]float64, len(states))
	h.Ratios(ratios, zero, states)
	for k, v := range ratios {
		if v != 0 {
			t.Errorf("pixel %d holds %g without a field", k, v)
		}
	}
}

// lean, on made-up ratios: a drop that its pixel cannot hold rests on the lit pixel
// below, which has to bear both; the bearing pixel's ratio holds for all of them.
func TestLean(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "grid.rows=5", "grid.cols=1")
	h := New(g)
	for _, c := range []struct {
		name   string
		down   int
		states []grid.State
		in     []float64
		want   []float64
	}{
		{"each holds itself", 1, []grid.State{grid.Lit, grid.Lit, grid.Dark, grid.Lit, grid.Dark}, []float64{2, 3, 0.1, 4, 0}, []float64{2, 3, 0.1, 4, 0}},
		{"two on the third", 1, []grid.State{grid.Lit, grid.Lit, grid.Lit, grid.Dark, grid.Dark}, []float64{0.2, 0.4, 6, 0, 0}, []float64{2, 2, 2, 0, 0}},
		{"the weak one below has nothing to lean on", 1, []grid.State{grid.Lit, grid.Lit, grid.Dark, grid.Dark, grid.Dark}, []float64{3, 0.5, 0, 0, 0}, []float64{3, 0.5, 0, 0, 0}},
		{"at the lower edge", 1, []grid.State{grid.Dark, grid.Dark, grid.Dark, grid.Lit, grid.Lit}, []float64{0, 0, 0, 0.5, 3}, []float64{0, 0, 0, 1.5, 1.5}},
		{"a bearer that gives way leans too", 1, []grid.State{grid.Lit, grid.Lit, grid.Lit, grid.Dark, grid.Dark}, []float64{0.5, 1.5, 6, 0, 0}, []float64{2, 2, 2, 0, 0}},
		{"a lighter fluid rises", -1, []grid.State{grid.Lit, grid.Lit, grid.Lit, grid.Dark, grid.Dark}, []float64{6, 0.4, 0.2, 0, 0}, []float64{2, 2, 2, 0, 0}},
		{"a gap ends the run", 1, []grid.State{grid.Lit, grid.Dark, grid.Lit, grid.Lit, grid.Dark}, []float64{0.5, 0, 0.5, 4, 0}, []float64{0.5, 0, 2, 2, 0}},
	} {
		got := append([]float64(nil), c.in...)
		h.lean(got, c.states, 0, c.down)
		for k := range got {
			if math.Abs(got[k]-c.want[k]) > 1e-12 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
				break
			}
		}
	}
}

// RatioAt reads only the samples it says it reads, and agrees with Ratios.
func TestRatioAtReadsItsBlock(t *testing.T) {
	for _, orientation := range []string{"vertical", "face-up"} {
		g := trial.Build(t, grid.New, 6, "heat.orientation="+orientation, "fluid.contact_line=1 mN/m")
		h := New(g)
		n := g.Design.Pixels()
		rng := rand.New(rand.NewPCG(5, 6))
		currents, states := make([]float64, n), make([]grid.State, n)
		for k := range n {
			level := math.Round(rng.Float64())
			currents[k], states[k] = level*g.Pixel.FullCurrent, g.StateOf(level)
		}
		p := g.Field(grid.Steady(currents))
		all := make([]float64, n)
		h.average(p, box{0, g.Raster.Rows, 0, g.Raster.Cols})
		for k := range n {
			all[k], _ = h.own(k/4, k%4, states)
		}
		for k := range n {
			i0, i1, j0, j1 := h.Reads(k/4, k%4)
			q := grid.NewPlane(g.Raster)
			for m := range q.Pi {
				q.Pi[m] = math.NaN()
			}
			for i := i0; i < i1; i++ {
				copy(q.Pi[i*g.Raster.Cols+j0:i*g.Raster.Cols+j1], p.Pi[i*g.Raster.Cols+j0:i*g.Raster.Cols+j1])
			}
			if got, _ := h.RatioAt(k/4, k%4, q, states); !(math.Abs(got-all[k]) <= 1e-11*(1+all[k])) {
				t.Errorf("%s, pixel %d: %g from its block, %g from the whole plane", orientation, k, got, all[k])
			}
		}
	}
}

func TestStateOf(t *testing.T) {
	plain := trial.Build(t, grid.New, 2)
	north := trial.Build(t, grid.New, 2, "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm")
	south := trial.Build(t, grid.New, 2, "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm", "magnet.remanence=-1.2 T")
	for _, c := range []struct {
		level               float64
		plain, north, south grid.State
	}{
		{1, grid.Lit, grid.Lit, grid.Dark}, {-1, grid.Lit, grid.Dark, grid.Lit}, {0, grid.Dark, grid.Dark, grid.Dark}, {0.3, grid.Dim, grid.Dim, grid.Dark}, {-0.3, grid.Dim, grid.Dark, grid.Dim}, {0.5, grid.Lit, grid.Lit, grid.Dark}, {0.05, grid.Dark, grid.Dark, grid.Dark},
	} {
		if got := [3]grid.State{plain.StateOf(c.level), north.StateOf(c.level), south.StateOf(c.level)}; got != [3]grid.State{c.plain, c.north, c.south} {
			t.Errorf("level %g: %v, want %v", c.level, got, [3]grid.State{c.plain, c.north, c.south})
		}
	}
}

func TestDropForces(t *testing.T) {
	g := trial.Build(t, grid.New, 2, "fluid.contact_line=2 mN/m")
	v := math.Pi / 4 * 49e-6 * 2e-3
	weight, pinning := 50*9.80665*v, 2e-3*7e-3
	if got := g.Drop(); math.Abs(got.Weight/weight-1) > 1e-12 || math.Abs(got.Pinning/pinning-1) > 1e-12 || math.Abs(got.Volume/v-1) > 1e-12 {
		t.Errorf("drop %+v, want weight %g N, pinning %g N, volume %g m³", got, weight, pinning, v)
	}
	// Without a field a drop that the panes hold stays, in dark pixels too.
	dark := make([]float64, g.Design.Pixels())
	states := make([]grid.State, len(dark))
	plane := g.Field(grid.Steady(make([]float64, len(dark))))
	New(g).Ratios(dark, plane, states)
	k := g.Design.Pixels() - 1
	if want := pinning / weight; math.Abs(dark[k]/want-1) > 1e-12 {
		t.Errorf("dark pixel without a field: hold ratio %g, the contact line alone gives %g", dark[k], want)
	}
	g = trial.Build(t, grid.New, 2, "fluid.contact_line=2 mN/m", "heat.orientation=face-up")
	if got := g.Drop(); got.Weight != 0 || math.Abs(got.Pinning/pinning-1) > 1e-12 {
		t.Errorf("level display: %+v, want no weight and the contact line's pinning", got)
	}
}

func BenchmarkHold(b *testing.B) {
	g := trial.Build(b, grid.New, 8, "grid.rows=16", "grid.cols=16")
	h := New(g)
	n := g.Design.Pixels()
	currents, states, ratios := make([]float64, n), make([]grid.State, n), make([]float64, n)
	for k := range n {
		currents[k], states[k] = g.Pixel.FullCurrent, grid.Lit
	}
	p := g.Field(grid.Steady(currents))
	b.ReportAllocs()
	for b.Loop() {
		h.Ratios(ratios, p, states)
	}
}

// Where a drop is inside from side to side, the mean over it is that of the way written for the
// edges, whatever the block.
func TestAverageInsideAndAtTheEdges(t *testing.T) {
	g := trial.Build(t, grid.New, 8)
	h := New(g)
	p := grid.NewPlane(g.Raster)
	for k := range p.Pi {
		p.Pi[k] = math.Sin(float64(k*k%977)) + 2
	}
	r := g.Raster
	for _, b := range []box{{0, r.Rows, 0, r.Cols}, {3, 9, 5, 17}, {r.Rows - 4, r.Rows, r.Cols - 9, r.Cols}} {
		h.average(p, b)
		for i := b.i0; i < b.i1; i++ {
			for j := b.j0; j < b.j1; j++ {
				if got, want := h.mean[i*r.Cols+j], h.averageAt(i, j, r); math.Abs(got-want) > 1e-12 {
					t.Fatalf("block %v, sample %d, %d: %g, want %g", b, i, j, got, want)
				}
			}
		}
	}
}
