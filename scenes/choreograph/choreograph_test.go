package choreograph

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
)

// moving is a display that can move drops, on 6 × 5 pixels, with changes "key=value".
func moving(t *testing.T, changes ...string) *grid.Grid {
	t.Helper()
	d, err := design.ReadFile("../../testdata/carry/moves.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range append([]string{"grid.cols=6", "grid.rows=5", "drive.most_lit=30"}, changes...) {
		c, err := design.ParseChange(text)
		if err != nil {
			t.Fatal(err)
		}
		if d, err = d.With(c); err != nil {
			t.Fatal(err)
		}
	}
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// with is a grid with another drive or supply.
func with(t *testing.T, g *grid.Grid, change func(d *design.Design)) *grid.Grid {
	t.Helper()
	d := g.Design
	change(&d)
	out := g.With(d)
	return out
}

// timed are times that need no solving.
func timed() Timing {
	t := Timing{Duty: 0.35, Settle: 0.1, sign: 1}
	t.HoldLevel.Value, t.Guard.Value = 0.11, 0.35
	for side, v := range []float64{0.38, 0.31, 0.31, 0.26} {
		t.Kick[side].Value = v
	}
	return t
}

// random is a scene of pictures with so many pixels lit, each for so long.
func random(seed uint64, g *grid.Grid, pictures, lit int, seconds float64) scenes.Scene {
	r := rand.New(rand.NewPCG(seed, 1))
	d := g.Design.Grid
	s := scenes.New("random", d.Rows, d.Cols, pictures, seconds)
	for _, f := range s.Frames {
		for _, v := range r.Perm(len(f.Levels))[:lit] {
			f.Levels[v] = 1
		}
	}
	return s
}

func carriedBy(t *testing.T, g *grid.Grid, s scenes.Scene, o Options) *Plan {
	t.Helper()
	p, err := Scene(t.Context(), g, s, timed(), o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// In every frame each drop has one pixel that pulls it, no kicked pixel has a neighbour
// that another drop moves from or to, every drop beside one has its guard, and the caps on
// kicks and power are kept; the scene ends as it began.
func TestEveryFrameKeepsTheRules(t *testing.T) {
	g := moving(t, "supply.power=35 W")
	d := Planned(g.Design, timed().Duty)
	planned := g.With(d)
	pl, err := player.New(planned)
	if err != nil {
		t.Fatal(err)
	}
	trial := player.NewTrial(pl)
	bound := 0.0
	for seed := range uint64(6) {
		s := random(seed, g, 4, 4+3*int(seed), 8-float64(seed))
		o := Defaults()
		o.Kicks = 1 + int(seed)
		p := carriedBy(t, g, s, o)
		bound = max(bound, p.Peak/p.Cap)
		if p.Moves == 0 || p.Kick == 0 {
			t.Fatalf("seed %d: nothing moves: %+v", seed, p)
		}
		if again := carriedBy(t, g, s, o); !reflect.DeepEqual(p, again) {
			t.Fatal("two plans for one scene")
		}
		if err := p.Scene.Validate(); err != nil {
			t.Fatal(err)
		}
		var before []float64
		for i, f := range p.Scene.Frames {
			lit, kicks := 0, 0
			for v, level := range f.Levels {
				if planned.StateOf(level) == grid.Lit {
					lit++
				}
				if level != 1 {
					continue
				}
				kicks++
				sources := 0
				for _, n := range beside4(v, s.Rows, s.Cols) {
					switch {
					case before != nil && before[n] > 0 && f.Levels[n] == 0:
						sources++ // the drop that goes to v
					case f.Levels[n] == 1:
						t.Fatalf("seed %d, frame %d: two kicked neighbours", seed, i)
					case f.Levels[n] > 0 && f.Levels[n] < timed().Guard.Value:
						t.Fatalf("seed %d, frame %d: pixel %d beside a kick has no guard", seed, i, n)
					}
				}
				if fresh := before != nil && before[v] == 0; fresh && sources != 1 {
					t.Fatalf("seed %d, frame %d: %d drops begin to go to pixel %d", seed, i, sources, v)
				}
			}
			if lit != p.Drops {
				t.Fatalf("seed %d, frame %d: %d pixels pull on %d drops", seed, i, lit, p.Drops)
			}
			if kicks > o.Kicks {
				t.Fatalf("seed %d, frame %d: %d kicks, %d are allowed", seed, i, kicks, o.Kicks)
			}
			e, err := trial.Show(f.Levels, 1)
			if err != nil {
				t.Fatal(err)
			}
			if e.SupplyPower*supply.AtTerminals(d.Supply.Tolerance) > d.UsablePower() {
				t.Fatalf("seed %d, frame %d: draws %g W of %g W", seed, i, e.SupplyPower, d.UsablePower())
			}
			if len(e.Failing) > 0 {
				t.Fatalf("seed %d, frame %d: pixels %v do not hold", seed, i, e.Failing)
			}
			before = f.Levels
		}
		first, last := p.Scene.Frames[0].Levels, p.Scene.Frames[len(p.Scene.Frames)-1].Levels
		if !reflect.DeepEqual(first, last) {
			t.Errorf("seed %d: ends elsewhere than it begins", seed)
		}
		if p.Scene.Duration() < s.Duration()-instant {
			t.Errorf("seed %d: the plan lasts %g s, the scene %g s", seed, p.Scene.Duration(), s.Duration())
		}
	}
	if bound < 0.9 || bound > 1 {
		t.Errorf("the fullest plan draws %g of what the supply gives, want 0.9…1: the cap binds", bound)
	}
}

// beside4 are the neighbours of a pixel.
func beside4(v, rows, cols int) (list []int) {
	for _, s := range sidesOf {
		if r, c := v/cols+s.row, v%cols+s.col; r >= 0 && r < rows && c >= 0 && c < cols {
			list = append(list, r*cols+c)
		}
	}
	return list
}

// A slow scene is shown whole at its frames' ends; a faster one less; pictures that are
// over too soon are dropped and the later ones shown.
func TestSlowScenesAreShownWhole(t *testing.T) {
	g := moving(t)
	last := 2.0
	for _, seconds := range []float64{20, 2, 0.2} {
		p := carriedBy(t, g, random(9, g, 6, 8, seconds), Defaults())
		t.Logf("%g s a picture: shown %.3f, %d of %d never whole, %d moves", seconds, p.Shown, p.Overtaken, p.Pictures, p.Moves)
		switch {
		case seconds == 20 && (p.Shown != 1 || p.Stray != 0 || p.Overtaken != 0):
			t.Errorf("%g s a picture: shown %g, stray %g, %d overtaken", seconds, p.Shown, p.Stray, p.Overtaken)
		case seconds == 0.2 && (p.Shown > 0.8 || p.Overtaken == 0):
			t.Errorf("%g s a picture: shown %g, %d overtaken: faster than any hop", seconds, p.Shown, p.Overtaken)
		}
		if p.Shown > last {
			t.Errorf("%g s a picture shows more than a slower scene", seconds)
		}
		last = p.Shown
	}
}

// Where a picture is wanted for less time than the way to it takes, half of the moves
// come before it: looking ahead halves what is missing.
func TestMovesAreHalfDoneWhenThePictureIsWanted(t *testing.T) {
	g := moving(t)
	s := scenes.New("bar", 5, 6, 320, 0.05) // a column of drops goes three to the right at 8 s
	for i, f := range s.Frames {
		for row := range 5 {
			f.Levels[6*row+1+3*(i/160)] = 1
		}
	}
	p := carriedBy(t, g, s, Defaults())
	begin, end := math.Inf(1), 0.0
	for _, stop := range p.Stops {
		if stop.Time < 4 || stop.Time > 12 {
			continue // the loop's seam
		}
		if stop.Moving {
			begin = min(begin, stop.Time)
		} else {
			end = max(end, stop.Time)
		}
	}
	if early, late := 8-begin, end-8; math.Abs(early-late) > 0.5 || early < 0.3 {
		t.Errorf("moves begin %g s before the picture and end %g s after it", early, late)
	}
}

// What cannot be is told: what, and what would be possible.
func TestBadInput(t *testing.T) {
	g := moving(t)
	s := random(1, g, 2, 8, 5)
	all := make([]int, 30)
	for v := range all {
		all[v] = v
	}
	for _, c := range []struct {
		change func(d *design.Design)
		o      Options
		words  []string
	}{
		{nil, Options{Kicks: 8, Broken: all}, []string{"every pixel is broken", "nearest possible"}},
		{nil, Options{Kicks: 8, Broken: []int{30}}, []string{"broken pixel 30 of 30"}},
		{nil, Options{Kicks: 0}, []string{"0 kicks", "1 or more"}},
		{nil, Options{Kicks: 8, Drops: 31}, []string{"31 drops on 30 pixels"}},
		{nil, Options{Kicks: 8, Drops: 30, Broken: []int{3}}, []string{"30 drops on 29 pixels that work"}},
		{func(d *design.Design) { d.Drive.MostLit = 7 }, Options{Kicks: 8, Drops: 9}, []string{"9 drops", "drive.most_lit", "7"}},
		{func(d *design.Design) { d.Fluid.Start = "1,1 2,2" }, Options{Kicks: 8, Drops: 3}, []string{"3 drops, but fluid.start puts 2"}},
		{func(d *design.Design) { d.Fluid.Start = "1,1 2,2" }, Options{Kicks: 8, Broken: []int{7}}, []string{"broken pixel, row 2, column 2"}},
		{func(d *design.Design) { d.Supply.Power = 5 }, Defaults(), []string{"a kick takes", "supply.power would have to be"}},
	} {
		grid := g
		if c.change != nil {
			grid = with(t, g, c.change)
		}
		_, err := Scene(t.Context(), grid, s, timed(), c.o)
		if err == nil {
			t.Errorf("%+v is taken", c)
			continue
		}
		for _, w := range c.words {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%v says nothing of %q", err, w)
			}
		}
	}
	if _, err := Scene(t.Context(), g, scenes.New("dark", 5, 6, 2, 1), timed(), Defaults()); err == nil || !strings.Contains(err.Error(), "nothing can be carried") {
		t.Errorf("a dark scene: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := Scene(ctx, g, s, timed(), Defaults()); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if _, err := Solve(t.Context(), with(t, g, func(d *design.Design) { d.Drive.Mode = design.DriveScan }), ForLiquid(), UsualHop, 0); err == nil || !strings.Contains(err.Error(), "scan") {
		t.Errorf("mode scan: %v", err)
	}
	from := with(t, g, func(d *design.Design) { d.Fluid.Start = "1,1 5,6" })
	if p, err := Scene(t.Context(), from, s, timed(), Defaults()); err != nil || p.Drops != 2 || p.Scene.Frames[0].Levels[0] == 0 || p.Scene.Frames[0].Levels[29] == 0 {
		t.Errorf("drops begin where fluid.start says: %v", err)
	}
	var none *NoHopError
	weak := moving(t, "supply.voltage=1 V", "fluid.density_difference=300 kg/m3")
	if _, err := Solve(t.Context(), weak, ForLiquid(), UsualHop, 1); !errors.As(err, &none) || none.Side != "up" || strings.Contains(err.Error(), "it A") {
		t.Errorf("a coil too weak to lift a drop: %v", err)
	}
	weak = moving(t, "scene.carry=true", "supply.voltage=5 V", "scene.hold_level=0.2")
	_, err := Solve(t.Context(), weak, ForLiquid(), UsualHop, 0.05)
	if !errors.As(err, &none) || none.Enough < 0.06 {
		t.Fatalf("a kick too weak to lift a drop: %v", err)
	}
	for duty, taken := range map[float64]bool{none.Enough: true, none.Enough - 0.01: false} {
		_, err := Solve(t.Context(), with(t, weak, func(d *design.Design) { d.Drive.MaxDuty = duty }), ForLiquid(), UsualHop, duty)
		if taken != (err == nil) {
			t.Errorf("a kick of %.3g, where %.3g is said to be enough: %v", duty, none.Enough, err)
		}
	}
}

// With too few drops as many wanted pixels are shown as there are drops; broken pixels
// are gone round.
func TestNearestPossible(t *testing.T) {
	g := moving(t)
	s := random(4, g, 3, 10, 20)
	o := Defaults()
	o.Drops = 6
	if p := carriedBy(t, g, s, o); math.Abs(p.Shown-0.6) > 1e-9 || p.Stray != 0 || p.Short != 3 || p.Most != 10 {
		t.Errorf("6 drops for 10 pixels show %g of them, %g stray; %d pictures of %d drops fall short", p.Shown, p.Stray, p.Short, p.Most)
	}
	o = Defaults()
	o.Broken = []int{7, 14, 21}
	s.Frames[1].Levels[14] = 1
	p := carriedBy(t, g, s, o)
	if p.Broken == 0 {
		t.Error("a wanted pixel is broken, and nothing says so")
	}
	for i, f := range p.Scene.Frames {
		for _, v := range o.Broken {
			if f.Levels[v] != 0 {
				t.Fatalf("frame %d drives the broken pixel %d", i, v)
			}
		}
	}
}

// The kick is as weak as the wanted time allows, and the tank confirms the plan: drops
// arrive whole, those beside a kick keep theirs, none is lost. With LODEGRID_CI set the
// whole rise of the tide is looked at, at the film's cells.
func TestTankConfirmsTheMoves(t *testing.T) {
	long, cells, period := 8.0, 8, 16.0
	if os.Getenv("LODEGRID_CI") != "" {
		long, cells, period = 20, 12, 40
	}
	g := moving(t, "drive.max_duty=6 %")
	timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, 0)
	if err != nil {
		t.Fatal(err)
	}
	slowest := timing.slowest() / ForLiquid().Kick
	if slowest > UsualHop || slowest < 0.85*UsualHop {
		t.Errorf("the slowest hop takes %g s, asked are %g s", slowest, UsualHop)
	}
	if h := timing.HoldLevel.Value; math.Abs(h*timing.Duty-0.06) > 1e-12 || timing.Guard.Value < h || timing.Guard.Value > 0.6 {
		t.Errorf("timing %+v", timing)
	}
	p, err := generate.Defaults("tide", 5, 6)
	if err != nil {
		t.Fatal(err)
	}
	p.Band, p.WaveHeight, p.Period, p.Duration, p.FrameTime = 2, 0, period, period, 0.5
	light, err := generate.Scene(t.Context(), "tide", p)
	if err != nil {
		t.Fatal(err)
	}
	s, err := scenes.Mapping{Kind: scenes.Threshold, Threshold: 0.5, Gamma: 1, Level: 1}.Scene(t.Context(), light)
	if err != nil {
		t.Fatal(err)
	}
	pl, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Carry(t.Context(), pl, s, Aim{Options: Defaults(), Hop: UsualHop, Duty: timing.Duty, Proof: long, Cells: cells, Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Proof
	t.Logf("%d moves; the tank confirms %d of %d places over %.1f s, the emptiest %.2f full, shows %.3f of the wanted pixels; lost %v", r.Plan.Moves, f.Full, f.Places, f.Seconds, f.Least, f.Shown, f.Lost)
	if f.Places < 30 || f.Share() < 0.97 || f.Shown < 0.8 {
		t.Errorf("the tank confirms %d of %d places, shows %g", f.Full, f.Places, f.Shown)
	}
	pl.Reset()
	switched, err := Light(t.Context(), pl, s, long, cells)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("with pixels just switched: %.3f", switched)
	if switched > f.Shown-0.1 {
		t.Errorf("just switched the tank shows %g, carried %g", switched, f.Shown)
	}
	speed, shown, err := Fastest(t.Context(), pl, s, r.Plan.Timing, Defaults(), Follows)
	if err != nil {
		t.Fatal(err)
	}
	if !(speed > 0 && shown >= Follows) {
		t.Errorf("fastest speed %g shows %g", speed, shown)
	}
	if p, err := Scene(t.Context(), g, s.Faster(1.5*speed), r.Plan.Timing, Defaults()); err != nil || p.Shown >= Follows {
		t.Errorf("half as fast again shows %g: %v", p.Shown, err)
	}
}

// At the fastest speed that is told, to two digits, a scene shows what was asked: a plan a little slower
// than the first one that does may show less.
func TestFastestShowsEnough(t *testing.T) {
	g := moving(t, "supply.power=35 W")
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(4) {
		for _, share := range []float64{0.6, 0.7, 0.8, 0.9} {
			speed, shown, err := Fastest(t.Context(), p, random(seed, g, 12, 8, 4), timed(), Defaults(), share)
			if err != nil || speed == 0 || shown < share {
				t.Errorf("scene %d: %g shows at %g, asked %g, %v", seed, shown, speed, share, err)
			}
		}
	}
}

// A scene is slowed as far as one may last, a week, and no error comes of that: neither where
// nothing shows enough, nor where the slowest does.
func TestSlowedUpToTheLongestScene(t *testing.T) {
	g := moving(t, "supply.power=35 W")
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	s := random(1, g, 3, 2, 600)
	times := Slowest(s)
	if times != 335 { // of 336 half hours
		t.Errorf("tried %g times slower", times)
	}
	if speed, _, err := Fastest(t.Context(), p, s, timed(), Defaults(), 2); err != nil || speed != 0 {
		t.Errorf("more than all of it shows at %g: %v", speed, err)
	}
	slow := timed()
	for side := range slow.Kick {
		slow.Kick[side].Value = 6.6e4 // s, a third of the longest picture
	}
	enough, err := Scene(t.Context(), g, s.Faster(1/times), slow, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	speed, shown, err := Fastest(t.Context(), p, s, slow, Defaults(), enough.Shown)
	if err != nil || speed < 0.999/times || speed > 1.2/times || shown < enough.Shown-1e-3 {
		t.Errorf("%g shows at %g and %g at the slowest: %v", shown, speed, enough.Shown, err)
	}
}

// A lost drop asks for more of what it was lost for want of.
func TestLossesWidenTheTiming(t *testing.T) {
	was := timed()
	wide, helps := was.Wider([]Loss{{Arriving: true, Side: 0}, {Guarded: true}, {}})
	if !helps || !(wide.Kick[0].Value > was.Kick[0].Value) || wide.Kick[3].Value != was.Kick[3].Value || !(wide.Guard.Value > was.Guard.Value) || !(wide.Settle > was.Settle) {
		t.Errorf("%+v becomes %+v", was, wide)
	}
	if same, helps := was.Wider([]Loss{{}}); helps || !reflect.DeepEqual(same, was) {
		t.Error("a drop that stood still asks for slower moves")
	}
}

// What is asked for of a plan is checked before anything is solved for: here no kick is.
func TestOptionsAreCheckedFirst(t *testing.T) {
	g := moving(t, "drive.mode=scan")
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	for want, o := range map[string]Options{"-3 drops": {Drops: -3, Kicks: 1}, "0 kicks": {}, "broken pixel 999": {Kicks: 1, Broken: []int{999}}, "scan": Defaults()} {
		if _, err := Carry(t.Context(), p, scenes.New("dark", 5, 6, 1, 1), Aim{Options: o}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", o, err, want)
		}
	}
}
