package choreograph

import (
	"errors"
	"math"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// demoCorner is the built-in display cut down to three by three pixels, and its moves' times.
func demoCorner(t *testing.T) (*grid.Grid, Timing) {
	t.Helper()
	d := design.Demo()
	d.Grid.Rows, d.Grid.Cols, d.Drive.MostLit = 3, 3, 9
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, d.Drive.MaxDuty)
	if err != nil {
		t.Fatal(err)
	}
	return g, timing
}

// The built-in display parts a hung drop of two, and of a little less and more, to the sides,
// and takes from one beside another of which little is left; at the same levels a drop that is not two
// stays whole, and so do two side by side.
func TestPartsWhatIsTwo(t *testing.T) {
	g, timing := demoCorner(t)
	if err := errors.Join(timing.InTank(t.Context(), g), timing.parting(t.Context(), g)); err != nil {
		t.Fatal(err)
	}
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	for side, level := range timing.Part {
		if aside := side == left || side == right; aside != (level.Value > 0) || level.Value > timing.Guard.Value || aside && level.Why == "" {
			t.Fatalf("%s: parts at %+v, guard %g", sidesOf[side].name, level, timing.Guard.Value)
		}
		if level.Value == 0 {
			continue
		}
		t.Log(sidesOf[side].name, level.Value, level.Why)
		to := tryPixels*tryPixels/2 + tryPixels*sidesOf[side].row + sidesOf[side].col
		for _, c := range []struct {
			drops, beside float64
			alike         bool
		}{{1, 0, false}, {1.9, 0, true}, {2.1, 0, true}, {1.6, 0.4, true}, {1.4, 0.6, false}, {1, 1, false}, {0.8, 1.2, false}, {0.6, 1.4, false}} {
			rest, err := timing.hung(t.Context(), p, c.drops)
			if err != nil {
				t.Fatal(err)
			}
			if c.beside > 0 {
				if err := rest.Add(to/tryPixels, to%tryPixels, c.beside); err != nil {
					t.Fatal(err)
				}
			}
			place, cell, err := timing.parted(t.Context(), p, rest, side, level.Value)
			if err != nil || c.alike && min(place[0], place[1]) < shown.Full || !c.alike && (math.Abs(cell[0]-c.drops) > 0.1 || math.Abs(cell[1]-c.beside) > 0.1) {
				t.Errorf("%s: %g and %g drops become %.2f, %.2f of the places full (%v)", sidesOf[side].name, c.drops, c.beside, cell, place, err)
			}
		}
	}
}

// What one parting of each drop does in the tank to rows of the built-in display that stand: a hole at
// the side of a drop of two fills, a drop of which next to nothing is left gets some of its neighbour's, and
// drops that are whole, or little less, stay so. A hole above or below does not fill, and the kick of the
// drop of two itself takes in one at its side: a place is lost.
func TestPartingMendsARow(t *testing.T) {
	if testing.Short() {
		t.Skip("moves fluid for minutes")
	}
	g, timing := demoParted(t, 3, 4)
	kicked := g.With(Planned(g.Design, timing.Duty))
	p, err := player.New(kicked)
	if err != nil {
		t.Fatal(err)
	}
	const long = 40
	for _, c := range []struct {
		rows          []int
		drops         [8]float64
		stood, parted int // places half full, at least
	}{
		{[]int{1}, [8]float64{1, 2, 0, 1}, 3, 4},
		{[]int{1}, [8]float64{0, 2, 1, 1}, 3, 4},
		{[]int{1}, [8]float64{1.7, 0.3, 1, 1}, 3, 4},
		{[]int{1}, [8]float64{0.8, 1.2, 1, 0.9}, 4, 4},
		{[]int{0, 1}, [8]float64{1, 2, 0, 1, 1, 1, 1, 1}, 7, 8},
		{[]int{0, 1}, [8]float64{1, 1, 0, 1, 1, 1, 2, 1}, 7, 6},
		{[]int{0, 1}, [8]float64{1, 1, 2, 1, 1, 1, 0, 1}, 7, 6},
		{[]int{0, 1}, [8]float64{1, 1.1, 0.9, 1, 0.9, 1, 1.1, 1}, 8, 8},
	} {
		s := scenes.New("rows", 3, 4, 1, long)
		for k := range 4 * len(c.rows) {
			s.Frames[0].Levels[4*c.rows[k/4]+k%4] = 1
		}
		var full [2]int
		var cell [2][]float64
		for k, gather := range []float64{0, long} {
			o := Defaults()
			o.Gather = gather
			plan, err := Scene(t.Context(), g, s, timing, o)
			if err != nil {
				t.Fatal(err)
			}
			b, err := player.NewTank(kicked, partCells, 0)
			if err != nil {
				t.Fatal(err)
			}
			for v, drops := range c.drops[:4*len(c.rows)] {
				if drops > 0 {
					if err := b.Add(c.rows[v/4], v%4, drops); err != nil {
						t.Fatal(err)
					}
				}
			}
			p.Reset()
			for _, f := range plan.Scene.Frames {
				if _, err := p.Push(t.Context(), f); err != nil {
					t.Fatal(err)
				}
				if err := p.Move(0, f.Duration, b.Step); err != nil {
					t.Fatal(err)
				}
			}
			place := make([]float64, 12)
			cell[k] = make([]float64, 12)
			b.Cover(place, cell[k])
			for v, level := range s.Frames[0].Levels {
				if level > 0 && place[v] >= shown.Full {
					full[k]++
				}
			}
		}
		t.Logf("rows %v, %.1f: %d places half full that stood, %d parted; drops then %.2f, %.2f", c.rows, c.drops, full[0], full[1], cell[0], cell[1])
		if full[0] != c.stood || full[1] < c.parted {
			t.Errorf("rows %v, %.1f: %d places are half full, %d with partings; want %d, %d", c.rows, c.drops, full[0], full[1], c.stood, c.parted)
		}
	}
}

// Partings kick pixels that have a drop, apart from each other, within the caps, and change
// no move.
func TestPartingsKeepTheRules(t *testing.T) {
	g := moving(t, "supply.power=60 W")
	s := random(1, g, 3, 14, 20)
	timing := timed()
	for side := range timing.Part {
		timing.Part[side].Value = 0.3
	}
	o := Defaults()
	o.rough = true
	without, err := Scene(t.Context(), g, s, timing, o)
	if err != nil {
		t.Fatal(err)
	}
	o.Gather = 10
	with, err := Scene(t.Context(), g, s, timing, o)
	if err != nil {
		t.Fatal(err)
	}
	partings := slices.DeleteFunc(slices.Clone(with.Stops), func(s Stop) bool { return s.Parted == nil })
	if len(partings) == 0 || with.Moves != without.Moves || math.Abs(with.Scene.Duration()-without.Scene.Duration()) > 1e-9 {
		t.Fatalf("%d partings, %d moves of %d, %g s of %g", len(partings), with.Moves, without.Moves, with.Scene.Duration(), without.Scene.Duration())
	}
	last := map[int]float64{}
	for _, p := range partings {
		if len(p.Parted) > o.Kicks {
			t.Errorf("%d kicks at once", len(p.Parted))
		}
		for k, v := range p.Parted {
			if !p.At[v] {
				t.Errorf("pixel %d has no drop", v)
			}
			if was, ok := last[v]; ok && p.Time-was < min(cool, o.Gather/2) {
				t.Errorf("pixel %d again after %g s", v, p.Time-was)
			}
			last[v] = p.Time
			for _, w := range p.Parted[:k] {
				if math.Abs(float64(v/6-w/6))+math.Abs(float64(v%6-w%6)) < 3 {
					t.Errorf("%d and %d together", v, w)
				}
			}
		}
	}
}

// A picture that only stands is planned for as long as the time between two partings: every drop
// that has another beside it is parted once, one after the other and spread over that time, and
// the one that has none is not. A shift changes when, not what.
func TestAStillSceneIsParted(t *testing.T) {
	g := moving(t, "supply.power=60 W")
	s := scenes.New("still", g.Design.Grid.Rows, g.Design.Grid.Cols, 4, 5)
	for _, f := range s.Frames {
		for _, v := range []int{0, 1, 2, 6, 7, 8, 29} {
			f.Levels[v] = 1
		}
	}
	timing := timed()
	for side := range timing.Part {
		timing.Part[side].Value = 0.3
	}
	o := Defaults()
	o.rough = true
	parted := func(gather float64) (at []float64, pixels []int, length float64) {
		t.Helper()
		o.Gather = gather
		p, err := Scene(t.Context(), g, s, timing, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, stop := range p.Stops {
			for _, v := range stop.Parted {
				at, pixels = append(at, stop.Time), append(pixels, v)
			}
		}
		if p.Wanted.Duration() != p.Scene.Duration() {
			t.Errorf("%g s are wanted, %g s planned", p.Wanted.Duration(), p.Scene.Duration())
		}
		return at, pixels, p.Scene.Duration()
	}
	at, turns, length := parted(120)
	if length != 120 || !slices.Equal(turns, []int{0, 1, 2, 6, 7, 8}) || at[5]-at[0] < 50 {
		t.Fatalf("%g s: %v parted at %v", length, turns, at)
	}
	o.shift = 0.5
	if _, shifted, _ := parted(120); len(shifted) != len(turns) || slices.Equal(shifted, turns) {
		t.Errorf("shifted: %v", shifted)
	}
	// Four times while it lasts: each about that often, and never sooner than half of it.
	at, turns, length = parted(5)
	last := map[int]float64{}
	for k, v := range turns {
		if was, ok := last[v]; ok && at[k]-was < 2.5 {
			t.Errorf("pixel %d after %g s", v, at[k]-was)
		}
		last[v] = at[k]
	}
	if length != 20 || len(turns) < 3*6 || len(turns) > 4*6 {
		t.Errorf("every 5 s of %g s: %v at %v", length, turns, at)
	}
	if at, _, _ = parted(0); at != nil {
		t.Errorf("never: %v", at)
	}
}

// Two drops side by side, of which one goes a pixel to the right and, when luck says so, back
// into the other; a kick of its pixel parts them, one that parts nothing leaves them.
func TestLastCounts(t *testing.T) {
	timing := timed()
	timing.Part[right].Value = 0.3
	wanted := scenes.New("two", 1, 4, 3, 1)
	for k, lit := range [][2]int{{0, 2}, {0, 1}, {0, 1}} {
		wanted.Frames[k].Levels[lit[0]], wanted.Frames[k].Levels[lit[1]] = 1, 1
	}
	p := &Plan{Timing: timing, Wanted: wanted, Scene: scenes.Scene{Rows: 1, Cols: 4}, Stops: []Stop{
		{At: []bool{true, false, true, false}},
		{Time: 1.5, At: []bool{true, true, false, false}, Moves: []Arrival{{1, left}}},
		{Time: 3.5, At: []bool{true, false, true, false}, Moves: []Arrival{{2, right}}},
	}}
	life := func(days Days) (l Lasting) {
		t.Helper()
		l.Worst = Lives
		for k := range 2 {
			if err := p.last(t.Context(), days, 0.9, k, &l); err != nil {
				t.Fatal(err)
			}
		}
		l.Kept.over(2)
		for _, s := range []*Spread{&l.Shown, &l.Last, &l.Fused} {
			s.over(2 * Lives)
		}
		return l
	}
	if l := life(Days{Loops: 2}); l.Kept != (Spread{Lives, 0}) || l.Shown != (Spread{1, 0}) || l.Fused.Mean != 0 {
		t.Errorf("without losses: %+v", l)
	}
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
	lossy := Days{Loops: 1, Loss: 1}
	if l := life(lossy); l.Kept != (Spread{}) || !near(l.Shown.Mean, 4.0/6) || !near(l.Last.Mean, 4.0/6) || l.Fused != (Spread{1, 0}) {
		t.Errorf("with losses: %+v", l)
	}
	// By chance: of n lives a share p lose, so that the spread is that of a coin.
	if l := life(Days{Loops: 1, Loss: 0.5}); l.Kept.Mean < Lives/5 || l.Kept.Mean > 4*Lives/5 || l.Kept.Deviation == 0 || !near(l.Fused.Mean, 1-l.Kept.Mean/Lives) ||
		!near(l.Fused.Deviation, math.Sqrt(l.Fused.Mean*(1-l.Fused.Mean)*2*Lives/(2*Lives-1))) || !near(l.Shown.Mean, 1-l.Fused.Mean/3) || !near(l.Worst, l.Kept.Mean-l.Kept.Deviation/math.Sqrt2) {
		t.Errorf("with losses by chance: %+v", l)
	}
	whole := p.Stops
	p.Stops = slices.Insert(slices.Clone(whole), 2, Stop{Time: 2.5, At: whole[1].At, Parted: []int{1}})
	if l := life(lossy); !near(l.Shown.Mean, 5.0/6) || l.Fused.Mean != 1 {
		t.Errorf("parted: %+v", l)
	}
	p.Timing.Part[right].Value = 0
	if l := life(lossy); !near(l.Shown.Mean, 4.0/6) {
		t.Errorf("parted where none can: %+v", l)
	}
}

// The rarest parting with which a scene lasts: the ones before show too little in too many
// lives. Losses that nothing makes good leave none.
func TestGatheredOftenEnough(t *testing.T) {
	g := moving(t, "supply.power=60 W")
	s := scenes.New("to and fro", g.Design.Grid.Rows, g.Design.Grid.Cols, 10, 60)
	for row := 0; row < s.Rows; row += 2 { // a drop goes beside another and back
		for k, f := range s.Frames {
			f.Levels[row*s.Cols+k%2], f.Levels[row*s.Cols+2] = 1, 1
		}
	}
	timing := timed()
	timing.Part[right].Value, timing.Part[left].Value = 0.3, 0.3
	days := Days{Loops: 100, Loss: 0.02}
	list, err := Gathered(t.Context(), g, s, timing, Defaults(), days, 0.85)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 2 || list[0].Every != s.Duration() || list[0].Last.Mean >= list[len(list)-1].Last.Mean {
		t.Errorf("%+v", list)
	}
	for k, l := range list {
		if (l.Kept.Mean >= Enough) != (k == len(list)-1) || k > 0 && l.Every >= list[k-1].Every {
			t.Errorf("row %d of %d: %+v", k, len(list), l)
		}
	}
	none, err := Gathered(t.Context(), g, s, timed(), Defaults(), days, 0.85)
	if err != nil || none[len(none)-1].Every != periods[len(periods)-1] || none[len(none)-1].Kept.Mean >= Enough/2 {
		t.Errorf("without any parting: %+v, %v", none, err)
	}
}
