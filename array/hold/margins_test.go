package hold

import (
	"context"
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
)

// stage plays patterns on the whole plane.
type stage struct{ *together }

// play is the hold ratio of a pixel in a pattern, its own drop alone.
func (s stage) play(t testing.TB, levels []float64, pixel int) float64 {
	t.Helper()
	for k, v := range levels {
		s.currents.Set(k, s.grid.At(v))
		s.states[k] = s.grid.StateOf(v)
	}
	s.grid.FieldInto(s.plane, s.currents)
	s.hold.average(s.plane, box{0, s.grid.Raster.Rows, 0, s.grid.Raster.Cols})
	ratio, _ := s.hold.own(pixel/s.grid.Design.Grid.Cols, pixel%s.grid.Design.Grid.Cols, s.states)
	return ratio
}

// The search against every pattern of a small grid; what it reports is what its
// pattern does when played.
func TestMarginsAgainstAllPatterns(t *testing.T) {
	for name, changes := range map[string][]string{
		"plain":           nil,
		"level":           {"heat.orientation=face-up", "fluid.contact_line=0.5 mN/m"},
		"magnets":         append(trial.Magnets, "drive.bridge=low-side"),
		"magnets, bridge": trial.Magnets,
		"ripple in step":  {"drive.max_duty=30 %"},
		"ripple, magnets": append(trial.Magnets, "drive.max_duty=30 %"),
		"staggered":       {"drive.max_duty=30 %", "drive.mode=stagger"},
		"ripple, scanned": {"drive.max_duty=30 %", "drive.mode=scan", "fluid.relaxation=20 ms"},
	} {
		g := trial.Build(t, grid.New, 4, append(changes, "grid.cols=3", "grid.rows=2")...)
		list, err := Margins(t.Context(), g, Search{Seed: 1}, [][2]int{{0, 1}, {1, 0}})
		if err != nil {
			t.Fatal(err)
		}
		st := stage{newTogether(g)}
		w := newDisturbance(g, Search{})
		for _, m := range list {
			at := m.Row*3 + m.Col
			w.aim(m.Row, m.Col)
			for _, own := range []float64{0, g.FullLevel()} {
				best := math.Inf(-1)
				if own != 0 {
					best = math.Inf(1)
				}
				bearer := w.bearer(own)
				pattern := make([]float64, 6)
				var walk func(k int)
				walk = func(k int) {
					switch {
					case k == 6:
						if bearer >= 0 && g.StateOf(pattern[bearer]) == grid.Lit {
							return
						}
						if r := st.play(t, pattern, at); own == 0 {
							best = max(best, r)
						} else {
							best = min(best, r)
						}
					case k == at:
						pattern[k] = own
						walk(k + 1)
					default:
						for _, l := range w.allow {
							pattern[k] = l
							walk(k + 1)
						}
					}
				}
				walk(0)
				got, levels := m.FalseOn, m.OnLevels
				if own != 0 {
					got, levels = m.FalseOff, m.OffLevels
				}
				if math.Abs(got-best) > 1e-9*(1+best) {
					t.Errorf("%s, pixel %d, own level %g: search finds %g, all patterns %g", name, at, own, got, best)
				}
				if played := st.play(t, levels, at); math.Abs(played-got) > 1e-9*(1+got) || levels[at] != own {
					t.Errorf("%s, pixel %d: its pattern %v gives %g when played, reported %g", name, at, levels, played, got)
				}
			}
			on, off := m.OnBound, m.OffBound
			if name == "ripple, scanned" { // whose turns the fluid hardly follows: nothing is proven
				on, off = m.FalseOn, m.FalseOff
			}
			if m.OnMargin != 0.5-on || m.OffMargin != off-2 || m.Tried < 10 || m.LinearOn > m.FalseOn || m.LinearOff < m.FalseOff {
				t.Errorf("%s: margin %+v", name, m)
			}
		}
	}
}

// Where drivers reverse, all pixels far off together make a dark one hold that has dark or
// reversed ones about it: the search finds no less than such patterns, and all are bounded.
func TestFarPixelsTogether(t *testing.T) {
	open := design.Demo()
	open.Drive.MostLit = open.Pixels()
	g, err := grid.New(t.Context(), open, 4)
	if err != nil {
		t.Fatal(err)
	}
	d := g.Design.Grid
	st := stage{newTogether(g)}
	for _, at := range [][2]int{{5, 8}, {9, 8}} {
		list, err := Margins(t.Context(), g, Search{}, [][2]int{at})
		if err != nil {
			t.Fatal(err)
		}
		m, most := list[0], 0.0
		for _, inside := range []float64{0, -1} {
			for hole := 1.2; hole < 4; hole += 0.2 {
				levels := make([]float64, d.Rows*d.Cols)
				for k := range levels {
					levels[k] = 1
					if math.Hypot(float64(k/d.Cols-at[0]), float64(k%d.Cols-at[1])) < hole {
						levels[k] = inside
					}
				}
				levels[at[0]*d.Cols+at[1]] = 0
				most = max(most, st.play(t, levels, at[0]*d.Cols+at[1]))
			}
		}
		t.Logf("pixel %v: %.3g of such patterns, %.3g found, bound %.3g", at, most, m.FalseOn, m.OnBound)
		if most == 0 || m.FalseOn < most || m.OnBound < m.FalseOn || !m.OnProven() {
			t.Errorf("pixel %v: pattern of %g; %g found, bound %g", at, most, m.FalseOn, m.OnBound)
		}
	}
}

// The same seed finds the same; more starts never find less; mirror images agree.
func TestMarginsAreSteady(t *testing.T) {
	g := trial.Build(t, grid.New, 6, append(trial.Magnets, "grid.cols=7", "grid.rows=5", "drive.bridge=low-side")...)
	places := [][2]int{{2, 1}, {2, 5}, {0, 3}}
	a, err := Margins(t.Context(), g, Search{Seed: 4}, places)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Margins(t.Context(), g, Search{Seed: 4}, places)
	more, _ := Margins(t.Context(), g, Search{Seed: 4, Starts: 8, Reach: 6}, places)
	for k := range a {
		if a[k].FalseOn != b[k].FalseOn || a[k].FalseOff != b[k].FalseOff {
			t.Errorf("place %v: %g and %g with one seed", places[k], a[k].FalseOn, b[k].FalseOn)
		}
		if more[k].FalseOn < a[k].FalseOn*(1-1e-6) {
			t.Errorf("place %v: %g with more starts, %g with fewer", places[k], more[k].FalseOn, a[k].FalseOn)
		}
	}
	if math.Abs(a[0].FalseOff/a[1].FalseOff-1) > 0.01 {
		t.Errorf("mirror images hold %g and %g", a[0].FalseOff, a[1].FalseOff)
	}
	if n := len(TypicalPlaces(trial.Build(t, grid.New, 1, "grid.cols=1", "grid.rows=1"))); n != 1 {
		t.Errorf("one pixel has %d typical places", n)
	}
	one, err := Margins(t.Context(), trial.Build(t, grid.New, 4, "grid.cols=1", "grid.rows=1"), Search{}, [][2]int{{0, 0}})
	if err != nil || one[0].FalseOn != 0 || !(one[0].FalseOff > 0) {
		t.Errorf("one pixel alone: %+v, %v", one, err)
	}
}

// greatestFalseOn is the greatest hold ratio of a dark pixel at places, all searched.
func greatestFalseOn(ctx context.Context, g *grid.Grid, s Search, places [][2]int) (float64, [2]int, error) {
	h := *g
	h.Design.Limits.FalseOn = math.Inf(1)
	return falseOn(ctx, &h, s, places, map[[2]int][]float64{}, false)
}

// The largest drive: with a magnet whose field a reversed coil takes away only in part,
// and dark pixels told 0, neighbours push a dark pixel over the limit from some duty on.
func TestLargestDrive(t *testing.T) {
	g := trial.Build(t, grid.New, 4, append(trial.Magnets, "grid.cols=3", "grid.rows=3", "drive.bridge=h-bridge")...)
	places := TypicalPlaces(g)
	still := *g
	still.Pixel.FullCurrent = 1e-9
	rest, _, err := greatestFalseOn(t.Context(), &still, Search{}, places)
	if err != nil {
		t.Fatal(err)
	}
	full, _, err := greatestFalseOn(t.Context(), g, Search{}, places)
	if err != nil {
		t.Fatal(err)
	}
	if !(full > rest) {
		t.Fatalf("drive does not matter here: %g at rest, %g at full", rest, full)
	}
	g.Design.Limits.FalseOn = (rest + full) / 2
	l, err := LargestDrive(t.Context(), g, Search{}, places)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.3g at rest, %.3g at full; limit %.3g reached at a duty of %.4f", rest, full, g.Design.Limits.FalseOn, l.Duty)
	if !l.Limited || !(l.Duty > 0 && l.Duty < 1) || l.Ratio > g.Design.Limits.FalseOn || l.Over <= g.Design.Limits.FalseOn || l.Over > l.Ratio*1.01 {
		t.Errorf("%+v at limit %g", l, g.Design.Limits.FalseOn)
	}
	g.Design.Limits.FalseOn = full * 1.01
	if l, err = LargestDrive(t.Context(), g, Search{}, places); err != nil || l.Limited || l.Duty != 1 {
		t.Errorf("with a generous limit %+v, %v", l, err)
	}
	g.Design.Limits.FalseOn = rest / 2
	if l, err = LargestDrive(t.Context(), g, Search{}, places); err != nil || !l.Limited || l.Duty != 0 {
		t.Errorf("with a limit the magnet alone breaks %+v, %v", l, err)
	}
}

func TestSmallestPitch(t *testing.T) {
	d := trial.Design(t, append(trial.Magnets, "grid.cols=3", "grid.rows=3", "drive.bridge=low-side")...)
	g, err := grid.New(t.Context(), d, 6)
	if err != nil {
		t.Fatal(err)
	}
	ratio := func(pitch float64) float64 {
		h, err := atPitch(t.Context(), g, pitch)
		if err != nil {
			t.Fatal(err)
		}
		v, _, err := greatestFalseOn(t.Context(), h, Search{}, TypicalPlaces(h))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	near, far := ratio(pitchFloor(d)), ratio(2*pitchFloor(d))
	if near == far {
		t.Fatalf("the pitch does not matter here: %g", near)
	}
	d.Limits.FalseOn = (near + far) / 2
	g.Design.Limits = d.Limits
	l, err := SmallestPitch(t.Context(), g, Search{})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("dark ratio %.3g at the least pitch of %.3g mm, %.3g at twice that; limit %.3g at %.4g mm", near, l.Floor*1e3, far, d.Limits.FalseOn, l.Pitch*1e3)
	if l.Ratio > d.Limits.FalseOn || ratio(l.Pitch) != l.Ratio || l.Pitch < l.Floor {
		t.Errorf("%+v at limit %g", l, d.Limits.FalseOn)
	}
	if near > d.Limits.FalseOn && (l.Pitch == l.Floor || l.Under <= d.Limits.FalseOn) {
		t.Errorf("%+v although the least pitch gives %g", l, near)
	}
	g.Design.Limits.FalseOn = 1e9
	if l, err = SmallestPitch(t.Context(), g, Search{}); err != nil || l.Pitch != l.Floor || math.Abs(l.Floor-(d.Coil.Outer+d.Coil.Gap)) > 1e-12 {
		t.Errorf("with no limit %+v, %v", l, err)
	}
	g.Design.Limits.FalseOn = 1e-9
	if l, err = SmallestPitch(t.Context(), g, Search{}); err != nil || !math.IsInf(l.Pitch, 1) {
		t.Errorf("with a limit the magnet alone breaks %+v, %v", l, err)
	}
}

// Groups: every group played again obeys the limits, pairs that must be apart are, and
// one group fewer was tried.
func TestGroups(t *testing.T) {
	g := trial.Build(t, grid.New, 6, "grid.cols=6", "grid.rows=5", "coil.outer=9.8 mm", "fluid.drop_diameter=9 mm")
	// A limit that a pixel alone meets and a lit neighbourhood does not.
	g.Design.Limits.Hold = 0
	open, err := FindGroups(t.Context(), g, 3, 8)
	if err != nil {
		t.Fatal(err)
	}
	if !open.Found || open.Count != 1 {
		t.Errorf("without a limit %d groups", open.Count)
	}
	g.Design.Limits.Hold = (open.Alone + open.Hold[0]) / 2
	out, err := FindGroups(t.Context(), g, 3, 12)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("alone %.3g, all on %.3g; at a limit of %.3g %d groups of %d × %d shifted by %d, holds %.3g", open.Alone, open.Hold[0], g.Design.Limits.Hold, out.Count, out.Across, out.Down, out.Shift, out.Hold)
	if !out.Found || out.Count < 2 || len(out.Hold) != out.Count {
		t.Fatalf("groups %+v", out)
	}
	for group := range out.Count {
		levels := make([]float64, 30)
		for k, of := range out.Of {
			if of == group {
				levels[k] = 1
			}
		}
		currents, states, ratios := g.NewCurrents(), make([]grid.State, 30), make([]float64, 30)
		for k, v := range levels {
			currents.Set(k, g.At(v))
			states[k] = g.StateOf(v)
		}
		New(g).Ratios(ratios, g.Field(currents), states)
		least := math.Inf(1)
		for k, r := range ratios {
			if states[k] == grid.Lit {
				least = min(least, r)
			}
		}
		if least < g.Design.Limits.Hold || math.Abs(least-out.Hold[group]) > 1e-12 {
			t.Errorf("group %d holds %g when played, reported %g, limit %g", group, least, out.Hold[group], g.Design.Limits.Hold)
		}
	}
}

// The pattern of groups is a lattice: pixels of one group differ by its vectors, and
// keepsApart says so.
func TestGroupPattern(t *testing.T) {
	for _, c := range [][3]int{{1, 1, 0}, {2, 2, 0}, {5, 1, 2}, {3, 2, 1}, {1, 4, 0}} {
		across, down, shift := c[0], c[1], c[2]
		count := map[int]int{}
		for row := range 4 * down * across {
			for col := range 4 * across {
				group := groupOf(row, col, across, down, shift)
				count[group]++
				if group != groupOf(row, col+across, across, down, shift) || group != groupOf(row+down, col+shift, across, down, shift) {
					t.Fatalf("%v: pixel (%d, %d) and its repeat differ", c, row, col)
				}
			}
		}
		if len(count) != across*down {
			t.Errorf("%v: %d groups", c, len(count))
		}
		for right := range 5 {
			for up := range 5 {
				if right+up == 0 {
					continue
				}
				same := false
				for row := 20; row < 30; row++ {
					for col := 20; col < 30; col++ {
						for _, s := range []int{right, -right} {
							same = same || groupOf(row, col, across, down, shift) == groupOf(row-up, col+s, across, down, shift)
						}
					}
				}
				if got := keepsApart([]Pair{{Right: right, Up: up, Apart: true}}, across, down, shift); got == same {
					t.Errorf("%v, offset (%d, %d): kept apart %v, found together %v", c, right, up, got, same)
				}
			}
		}
	}
}

func BenchmarkMargin(b *testing.B) {
	g := trial.Build(b, grid.New, 8, append(trial.Magnets, "grid.cols=16", "grid.rows=10", "drive.bridge=low-side")...)
	for b.Loop() {
		if _, err := Margins(b.Context(), g, Search{}, [][2]int{{5, 8}}); err != nil {
			b.Fatal(err)
		}
	}
}

// The smallest grids and rasters, each way a display can face.
func TestSmallGridsAndRasters(t *testing.T) {
	for _, size := range [][2]string{{"1", "1"}, {"1", "3"}, {"4", "1"}, {"2", "2"}} {
		for samples := 1; samples <= 5; samples++ {
			for _, orientation := range []string{"vertical", "face-down"} {
				g := trial.Build(t, grid.New, samples, "grid.cols="+size[0], "grid.rows="+size[1], "heat.orientation="+orientation, "fluid.contact_line=1 mN/m")
				list, err := Margins(t.Context(), g, Search{}, TypicalPlaces(g))
				if err != nil {
					t.Fatal(err)
				}
				for _, m := range list {
					if math.IsNaN(m.FalseOn+m.FalseOff) || m.FalseOn < 0 || m.FalseOff < 0 {
						t.Errorf("%v, %d samples: %+v", size, samples, m)
					}
				}
				if _, err := FindGroups(t.Context(), g, 3, 4); err != nil {
					t.Error(err)
				}
				if _, err := handover.All(t.Context(), g); err != nil {
					t.Error(err)
				}
				if w := g.WorstAnywhere(); len(w.Levels) != g.Design.Pixels() || math.IsNaN(w.Share) {
					t.Errorf("%v: worst %+v", size, w)
				}
				if n := len(AllPlaces(g)); n < 1 || n > g.Design.Pixels() {
					t.Errorf("%v: %d places", size, n)
				}
			}
		}
	}
}

// What is proven is never beyond what the search finds, and where magnets make patterns
// too much the proof stops short of them.
func TestProvenLimits(t *testing.T) {
	g := trial.Build(t, grid.New, 4, append(trial.Magnets, "grid.cols=3", "grid.rows=3", "drive.bridge=h-bridge", "limits.false_on=1.2")...)
	places := TypicalPlaces(g)
	l, err := LargestDrive(t.Context(), g, Search{}, places)
	if err != nil {
		t.Fatal(err)
	}
	p, err := SmallestPitch(t.Context(), g, Search{})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("duty %g, proven %g; pitch %g, proven %g", l.Duty, l.Proven, p.Pitch, p.Proven)
	if !l.Limited || l.Proven > l.Duty || p.Proven < p.Pitch {
		t.Errorf("duty %+v, pitch %+v", l, p)
	}
	if l.Proven > 0 {
		h := atDuty(g, l.Proven)
		w := newDisturbance(h, Search{})
		for _, at := range places {
			w.aim(at[0], at[1])
			if r := w.every(t, 0); r > g.Design.Limits.FalseOn {
				t.Errorf("place %v: proven up to a duty of %g, but a pattern holds %g", at, l.Proven, r)
			}
		}
	}
	plain, err := LargestDrive(t.Context(), trial.Build(t, grid.New, 4), Search{}, places)
	if err != nil || plain.Limited || plain.Proven == 0 {
		t.Errorf("without magnets %+v, %v", plain, err)
	}
}

// The least pitch is the widest thing on the board: coils of 9 mm with a gap of 5 mil,
// drops of 7 mm, discs of 4.9 mm radius (9.8 mm across), magnets of 9.5 mm.
func TestPitchFloorByHand(t *testing.T) {
	for _, c := range []struct {
		want    float64
		changes []string
	}{
		{9.127e-3, nil},
		{9.8e-3, []string{"iron.model=fem", "iron.radius=4.9 mm"}},
		{9.5e-3, []string{"magnet.kind=pixel", "magnet.diameter=9.5 mm"}},
		{9.4e-3, []string{"fluid.drop_diameter=9.4 mm"}},
	} {
		if got := pitchFloor(trial.Design(t, c.changes...)); trial.Off(got, c.want) > 1e-9 {
			t.Errorf("%v: %.5g mm, by hand %.5g mm", c.changes, got*1e3, c.want*1e3)
		}
	}
}
