package choreograph

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// The built-in display's kick draws a drop out of a pool of 7.4 mm and none out of one of 2.2 mm;
// a deeper pool takes less time. A drop that nothing holds falls.
func TestLiftOutOfThePool(t *testing.T) {
	g, timing := demoCorner(t)
	o, err := newPond(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	var lifts [3]Lift
	for k, depth := range []float64{2.2e-3, 7.4e-3, 9e-3} {
		if lifts[k], err = o.lift(t.Context(), depth); err != nil || math.Abs(lifts[k].Depth-depth) > depthStep/2+1e-9 {
			t.Errorf("%g m: %+v, %v", depth, lifts[k], err)
		}
	}
	if lifts[0].Drops != 0 || lifts[1].Drops < leastDrop || lifts[1].Drops > mostDrop || lifts[2].Drops < leastDrop || lifts[2].Kick >= lifts[1].Kick {
		t.Errorf("%+v", lifts)
	}
	list, err := o.lifts(t.Context(), 7.4e-3, 3e-3, 5) // a pool that a drop makes shallow
	if err != nil || list != 1 {
		t.Errorf("%+v, %v", list, err)
	}
	// A round drop between panes goes with Δρ g b²/12 over the sum of the two viscosities
	// (Taylor & Saffman, Q. J. Mech. Appl. Math. 12 (1959) 265, from memory);
	// the walls near it and the panes' bow slow it.
	d := g.Design
	f := d.Fluid
	want := d.Grid.Pitch * 12 * (f.Viscosity + f.CarrierViscosity) / (f.DensityDifference * field.Gravity * f.TankGap * f.TankGap)
	if each, err := o.fall(t.Context()); err != nil || each < 0.9*want || each > 1.5*want {
		t.Errorf("falls by a pixel in %g s, want %g s (%v)", each, want, err)
	}
}

// The volume that gives the most drops is looked for below what there is, too: a pool may be too deep.
func TestLessFluidGivesMore(t *testing.T) {
	g, timing := demoCorner(t)
	o, err := newPond(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	const drop, area = 1e-7, 1e-4 // a drop is 1 mm of the pool
	for k := range 200 {
		l := Lift{Depth: float64(k) * depthStep}
		if l.Depth > 5.9e-3 && l.Depth < 9.1e-3 {
			l.Drops = 1
		}
		o.known[k] = l
	}
	for _, c := range []struct {
		depth, volume float64 // of the least that gives all that come, 0 for no other than there is
		lifted, most  int
	}{{12e-3, 9e-7, 0, 4}, {9e-3, 0, 4, 4}, {5e-3, 9e-7, 0, 4}} {
		lifted, err := o.lifts(t.Context(), c.depth, drop/area, 5)
		if err != nil {
			t.Fatal(err)
		}
		volume, most, err := o.most(t.Context(), 5, lifted, drop, area)
		if err != nil || lifted != c.lifted || most != c.most || math.Abs(volume-c.volume) > 1e-12 {
			t.Errorf("%g m: %d lifted, %d of %g m³, %v; want %+v", c.depth, lifted, most, volume, err, c)
		}
	}
}

// Fallen drops do not come back by themselves, in the tank as in the drop model: the full kick of the
// lowest pixel draws nothing out of a pool of 5.4 mm or less, which 25 of the display's 34 drops make.
// From 7.8 mm on both draw up a drop or more; the drop model does so at once.
func TestFallenDropsStay(t *testing.T) {
	g, timing := demoCorner(t)
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	area, drop := float64(p.Grid().Raster.Cols)*p.Grid().Raster.Spacing*g.Design.Fluid.TankGap, p.Grid().Drop().Volume
	for _, c := range []struct {
		drops  int
		leaves bool
	}{{1, false}, {4, false}, {7, false}, {10, true}, {13, true}} {
		q, err := p.With(func(d *design.Design) {
			d.Fluid.Start, d.Fluid.Volume = design.StartPool, float64(c.drops)*drop
		})
		if err != nil {
			t.Fatal(err)
		}
		tank, err := player.NewTank(q.Grid(), partCells, 0)
		if err != nil {
			t.Fatal(err)
		}
		droplets, err := player.NewDroplets(q.Grid(), 0)
		if err != nil {
			t.Fatal(err)
		}
		for name, fluid := range map[string]shown.Fluid{"tank": tank, "drop model": droplets} {
			if _, err := fluid.FillFor(scenes.New("dark", 3, 3, 1, 1)); err != nil {
				t.Fatal(err)
			}
			q.Reset()
			levels := make([]float64, 9)
			levels[7] = timing.sign
			if _, err := q.Push(t.Context(), scenes.Frame{Levels: levels, Duration: liftMost}); err != nil {
				t.Fatal(err)
			}
			if err := q.Move(0, liftMost, fluid.Step); err != nil {
				t.Fatal(err)
			}
			place, cell := make([]float64, 9), make([]float64, 9)
			fluid.Cover(place, cell)
			t.Logf("%.1f mm, %s: %.2f drops", float64(c.drops)*drop/area*1e3, name, cell[7])
			if drawn := cell[7] > leastDrop; drawn != c.leaves || !drawn && cell[7] > 0.1 {
				t.Errorf("%d fallen drops, %s: %.2f of them at the lowest pixel", c.drops, name, cell[7])
			}
		}
	}
}

// A start is planned in the display's own tank and played there again from its beginning: every drop
// comes, though one of the lowest row's pixels is broken, and stands where the plan begins. Nothing of it
// lights a broken pixel; what stands beside one that is drawn off has its guard and holds beside the kicks.
func TestStartBringsDropsHome(t *testing.T) {
	if testing.Short() {
		t.Skip("plays a start in the tank, twice")
	}
	g, p, plan, o := pooled(t, 10e-3)
	s, err := Started(t.Context(), g, p, plan, o, StartCells)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Scene.Validate(); err != nil {
		t.Fatal(err)
	}
	if f := s.Scene.Frames[0]; f.Duration != s.Fall || slices.Max(f.Levels) != 0 {
		t.Errorf("does not begin dark for %g s: %g s", s.Fall, f.Duration)
	}
	n, err := Confirmed(t.Context(), p, plan, s, 10)
	if err != nil || s.Came != plan.Drops || n != plan.Drops || len(s.Lifts) < plan.Drops || s.Volume != 0 {
		t.Fatalf("%d of %d drops come, %d played again: %+v, %v", s.Came, plan.Drops, n, s, err)
	}
	kicked := g.With(Planned(g.Design, plan.Timing.Duty))
	secure, err := newSecure(kicked)
	if err != nil {
		t.Fatal(err)
	}
	cols := s.Scene.Cols
	for k, f := range s.Scene.Frames {
		for _, v := range o.Broken {
			if f.Levels[v] != 0 {
				t.Errorf("frame %d: pixel %d, which is broken, is on", k, v)
			}
		}
		if !slices.Contains(f.Levels, 1) {
			continue
		}
		if _, err := secure.trial.Show(f.Levels, 1); err != nil {
			t.Fatal(err)
		}
		for v, ratio := range secure.player.Holds() {
			if level := f.Levels[v]; level > 0 && level < 1 && ratio < secure.asked {
				t.Errorf("frame %d: pixel %d has hold ratio %.2f, asked %.2f", k, v, ratio, secure.asked)
			}
		}
		for v := (s.Scene.Rows - 1) * cols; v < len(f.Levels); v++ {
			for _, w := range []int{v - cols - 1, v - cols + 1} {
				if f.Levels[v] == 1 && w/cols == v/cols-1 && f.Levels[w] != 0 && f.Levels[w] < plan.Timing.Guard.Value {
					t.Errorf("frame %d: pixel %d is not guarded: %g", k, w, f.Levels[w])
				}
			}
		}
	}
	for v, level := range s.Scene.Frames[len(s.Scene.Frames)-1].Levels {
		if level > 0 != plan.Stops[0].At[v] {
			t.Errorf("at its end pixel %d has level %g", v, level)
		}
	}
}

// Out of a pool that has run dry as many come as the tank has up, and it says how deep it is then.
func TestStartTellsWhatComes(t *testing.T) {
	if testing.Short() {
		t.Skip("plays a start in the tank")
	}
	g, p, plan, o := pooled(t, 7.4e-3)
	s := Start{Drops: plan.Drops, Cells: StartCells, Depth: 7.4e-3, Fall: 1}
	x, err := raised(t.Context(), g, p, plan, o, &s)
	if err == nil {
		err = x.settle(&s, plan)
	}
	n := 0
	if err == nil {
		n, err = Confirmed(t.Context(), p, plan, s, StartCells)
	}
	if err != nil || s.Came == 0 || s.Came >= plan.Drops || n != s.Came || s.Left > 7.3e-3 || s.Left < 5.5e-3 {
		t.Errorf("%d of %d come, %d played again: %+v, %v", s.Came, plan.Drops, n, s, err)
	}
}

// pooled is a corner of the built-in display with a pool so deep, m, one of its lowest row's pixels broken,
// its planned player, and a plan of four drops on each of two rows in turn.
func pooled(t *testing.T, depth float64) (*grid.Grid, *player.Player, *Plan, Options) {
	t.Helper()
	d := design.Demo()
	d.Grid.Rows, d.Grid.Cols, d.Drive.MostLit = 4, 4, 16
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	d.Fluid.Start, d.Fluid.Volume = design.StartPool, depth*area(g)
	g = g.With(d)
	timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, d.Drive.MaxDuty)
	if err != nil {
		t.Fatal(err)
	}
	p, err := player.New(g)
	if err == nil {
		p, err = p.With(func(d *design.Design) { *d = Planned(*d, timing.Duty) })
	}
	if err != nil {
		t.Fatal(err)
	}
	o := Defaults()
	o.Broken = []int{13}
	s := scenes.New("rows", 4, 4, 2, 40)
	for k, f := range s.Frames {
		for col := range 4 {
			f.Levels[4*k+col] = 1
		}
	}
	plan, err := Scene(t.Context(), g, s, timing, o)
	if err != nil {
		t.Fatal(err)
	}
	return g, p, plan, o
}

// Where there is no pool, what an outage leaves is said.
func TestStartWithoutAPool(t *testing.T) {
	for want, change := range map[string]func(*design.Design){
		"lies":          func(d *design.Design) { d.Heat.Orientation = design.FaceUp },
		"magnets hold":  func(d *design.Design) { d.Magnet.Kind = design.MagnetSheet },
		"does not sink": func(d *design.Design) { d.Fluid.DensityDifference = -40 },
		"3 rows":        func(d *design.Design) { d.Grid.Rows = 2 },
	} {
		d := design.Demo()
		change(&d)
		if _, err := Started(t.Context(), &grid.Grid{Design: d}, nil, &Plan{}, Defaults(), 0); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// A scene whose drops begin in the pool is planned with those that come out, and begins where the
// start puts them; before it, its first picture is wanted. The verdict's fluid is all there is.
func TestPlannedFromThePool(t *testing.T) {
	if testing.Short() {
		t.Skip("lifts drops out of many pools")
	}
	d := design.Demo()
	d.Grid.Rows, d.Grid.Cols, d.Drive.MostLit, d.Fluid.Start, d.Fluid.Volume = 4, 3, 12, "pool", 1e-6
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	s := scenes.New("rows", 4, 3, 2, 40)
	for k, f := range s.Frames {
		for col := range 3 {
			f.Levels[k*3+col], f.Levels[(k+1)*3+col] = 1, 1
		}
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Carry(t.Context(), p, s, Aim{Options: Defaults()})
	if err != nil {
		t.Fatal(err)
	}
	at, err := r.Player.Grid().Design.StartAt()
	if err != nil || r.Start == nil || len(at) != r.Start.Came || r.Plan.Drops != len(at) || len(at) == 0 || len(at) == 6 || r.Start.Drops != 6 {
		t.Fatalf("%+v begins at %v, %v", r.Start, at, err)
	}
	for _, v := range at {
		if !r.Plan.Stops[0].At[v] {
			t.Errorf("pixel %d has a drop and the plan has none there", v)
		}
	}
	f := player.FillOf(r.Player.Grid(), r.Plan.Scene)
	if len(f.On) != len(at) || math.Abs(f.Fluid()-1e-6) > 1e-12 {
		t.Errorf("%d drops and %g m³ in all", len(f.On), f.Fluid())
	}
	played, wanted := r.Start.Whole(r.Plan.Scene, r.Plan.Wanted)
	if math.Abs(played.Duration()-wanted.Duration()) > 1e-6 || !slices.Equal(wanted.Frames[0].Levels, wanted.Frames[1].Levels) || slices.Max(played.Frames[0].Levels) != 0 {
		t.Errorf("%g s are played, %g s wanted", played.Duration(), wanted.Duration())
	}
}

// A start that the tank would be at for too long is not begun, or given up, and says so.
func TestLongStartIsRefused(t *testing.T) {
	g, timing := demoCorner(t)
	const cells, few = 48, 6 // of 9 pixels: 6.4 times 30 s at 20,736 cells
	var long *LongStartError
	if _, _, err := drawn(t.Context(), g, nil, &Plan{Timing: timing, Drops: few + 1}, Defaults(), cells); !errors.As(err, &long) || long.Few != few || long.Drops != few+1 {
		t.Errorf("%+v, %v", long, err)
	}
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	o, err := newPoolTank(p, partCells, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, work := range []float64{0, mostStart} {
		o.work = work
		if err := o.play(t.Context(), make([]float64, 9), 0.01); errors.Is(err, errLong) != (work > 0) {
			t.Errorf("after %g: %v", work, err)
		}
	}
}
