package choreograph

import (
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
	if err != nil || len(list) != 1 {
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
		s := Start{Drops: 5, Depth: c.depth}
		if s.Lifts, err = o.lifts(t.Context(), s.Depth, drop/area, s.Drops); err == nil {
			err = o.most(t.Context(), &s, drop, area)
		}
		if err != nil || len(s.Lifts) != c.lifted || s.Most != c.most || math.Abs(s.Volume-c.volume) > 1e-12 {
			t.Errorf("%g m: %d lifted, %d of %g m³, %v; want %+v", c.depth, len(s.Lifts), s.Most, s.Volume, err, c)
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

// A start puts every lifted drop where the plan begins, the lowest row's last; a drop beside one
// that is drawn off has its guard, and nothing stands where it is drawn through.
func TestStartBringsDropsHome(t *testing.T) {
	g := moving(t, "supply.power=60 W")
	o := Defaults()
	const fall = 7
	for _, c := range []struct {
		fewer  int
		broken []int
	}{{0, nil}, {3, nil}, {0, []int{25, 28}}} {
		o.Broken = c.broken
		plan := carriedBy(t, g, random(3, g, 3, 12, 20), o)
		pond := &pond{timing: plan.Timing}
		drops := plan.Drops - c.fewer
		s := Start{Fall: fall, Lifts: slices.Repeat([]Lift{{Kick: 1.5, Level: 0.37, Drops: 1}}, drops)}
		sc, err := pond.raise(t.Context(), g, plan, o, s)
		if err != nil {
			t.Fatal(err)
		}
		if err := sc.Validate(); err != nil {
			t.Fatal(err)
		}
		if f := sc.Frames[0]; f.Duration != fall || slices.Max(f.Levels) != 0 {
			t.Errorf("does not begin dark for %d s: %g s", fall, f.Duration)
		}
		necks := 0
		cols := sc.Cols
		for _, f := range sc.Frames {
			for v, level := range f.Levels {
				if level != 0 && slices.Contains(c.broken, v) {
					t.Errorf("pixel %d, which is broken, is on", v)
				}
				if level != 0.37 {
					continue
				}
				if necks++; v < (sc.Rows-1)*cols {
					t.Errorf("draws from pixel %d", v)
				}
				if f.Levels[v-cols] != 0 {
					t.Errorf("something stands over pixel %d", v)
				}
				for _, w := range []int{v - cols - 1, v - cols + 1} {
					if w/cols == v/cols-1 && f.Levels[w] != 0 && f.Levels[w] < plan.Timing.Guard.Value {
						t.Errorf("pixel %d is not guarded: %g", w, f.Levels[w])
					}
				}
			}
		}
		if necks != drops {
			t.Errorf("%d drops drawn off, want %d", necks, drops)
		}
		last := sc.Frames[len(sc.Frames)-1].Levels
		there := 0
		for v, at := range plan.Stops[0].At {
			if last[v] > 0 && !at {
				t.Errorf("a drop on pixel %d", v)
			}
			if last[v] > 0 {
				there++
			}
		}
		if there != drops {
			t.Errorf("%d drops at the end, want %d", there, drops)
		}
	}
}

// Drops that stand hold beside the kicks of a start, too, however weak the hold by itself is.
func TestStartHoldsBesideKicks(t *testing.T) {
	g := moving(t, "supply.power=60 W")
	plan := carriedBy(t, g, random(3, g, 3, 12, 20), Defaults())
	plan.Timing.HoldLevel.Value = 0.05
	pond := &pond{timing: plan.Timing}
	sc, err := pond.raise(t.Context(), g, plan, Defaults(), Start{Lifts: slices.Repeat([]Lift{{Kick: 1.5, Level: 0.37, Drops: 1}}, plan.Drops)})
	if err != nil {
		t.Fatal(err)
	}
	kicked, err := g.With(Planned(g.Design, plan.Timing.Duty))
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSecure(kicked)
	if err != nil {
		t.Fatal(err)
	}
	for k, f := range sc.Frames {
		if !slices.Contains(f.Levels, 1) {
			continue
		}
		if _, err := s.trial.Show(f.Levels, 1); err != nil {
			t.Fatal(err)
		}
		for v, ratio := range s.player.Holds() {
			if level := f.Levels[v]; level > 0 && level < 1 && ratio < s.asked {
				t.Errorf("frame %d: pixel %d has hold ratio %.2f, asked %.2f", k, v, ratio, s.asked)
			}
		}
	}
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
	if err != nil || r.Start == nil || len(at) != len(r.Start.Lifts) || r.Plan.Drops != len(at) || len(at) == 0 || len(at) == 6 || r.Start.Drops != 6 {
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
