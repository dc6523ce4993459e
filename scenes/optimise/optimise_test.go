package optimise

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
)

// demo is the demo on 5 × 4 pixels; building it once keeps the tests quick.
var demo = sync.OnceValues(func() (*grid.Grid, error) { return build() })

func gridOf(t testing.TB) *grid.Grid {
	t.Helper()
	g, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func build(changes ...string) (*grid.Grid, error) {
	var list []design.Change
	for _, text := range append([]string{"grid.cols=5", "grid.rows=4"}, changes...) {
		c, err := design.ParseChange(text)
		if err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	d, err := trial.Lit().With(list...)
	if err != nil {
		return nil, err
	}
	return grid.New(context.Background(), d, 0)
}

func playerOf(t testing.TB, g *grid.Grid) *player.Player {
	t.Helper()
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// rising is a bar that grows by a row at a time and falls back, every row coming on
// at once.
func rising(seconds float64) scenes.Scene {
	s := scenes.Scene{Name: "rising", Rows: 4, Cols: 5}
	for _, lit := range []int{1, 2, 3, 4, 3, 2} {
		f := scenes.Frame{Levels: make([]float64, 20), Duration: seconds}
		for i := range f.Levels {
			if i/5 >= 4-lit {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	return s
}

// random is a scene of pixels that come on and go off at random.
func random(seed uint64, frames int) scenes.Scene {
	rng := rand.New(rand.NewPCG(seed, 1))
	s := scenes.Scene{Name: "random", Rows: 4, Cols: 5}
	levels := make([]float64, 20)
	for range frames {
		for i := range levels {
			if rng.Float64() < 0.25 {
				levels[i] = []float64{0, 0, 0.9, 1}[rng.IntN(4)]
			}
		}
		s.Frames = append(s.Frames, scenes.Frame{Levels: slices.Clone(levels), Duration: 0.2 + 0.8*rng.Float64()})
	}
	return s
}

// violations plays both scenes looped and counts the moments at which a pixel of the
// new one loses its drop, or keeps one while dark, and did not in the old one.
func violations(t *testing.T, g *grid.Grid, old, new scenes.Scene) int {
	t.Helper()
	p := playerOf(t, g)
	ledgers := [2]*player.Ledger{}
	for k, s := range []scenes.Scene{old, new} {
		l, err := play(t.Context(), p, s)
		if err != nil {
			t.Fatal(err)
		}
		ledgers[k] = l
	}
	if d := old.Duration() - new.Duration(); math.Abs(d) > 1e-9 {
		t.Errorf("the new scene is %g s shorter", d)
	}
	count := 0
	for _, e := range ledgers[1].Entries {
		was := ledgers[0].Entries[old.At(e.Start+e.Duration/2)]
		for _, i := range e.Failing {
			if !slices.Contains(was.Failing, i) {
				count++
			}
		}
		for _, i := range e.FalseOn {
			if !slices.Contains(was.FalseOn, i) {
				count++
			}
		}
	}
	return count
}

// shows checks that the new scene shows what the old one does: dark pixels keep their
// levels, lit ones are lit, but for waits of at most delay.
func shows(t *testing.T, g *grid.Grid, old, new scenes.Scene, delay float64) {
	t.Helper()
	at := 0.0
	for n, f := range new.Frames {
		k := old.At(at + f.Duration/2)
		for i, v := range f.Levels {
			want := old.Frames[k].Levels[i]
			if g.StateOf(want) != grid.Lit {
				if v != want {
					t.Fatalf("frame %d: pixel %d at %g, was %g", n, i, v, want)
				}
				continue
			}
			if g.StateOf(v) == grid.Lit {
				continue
			}
			// It waits: it must have been dark delay ago.
			early := at + f.Duration - delay - 1e-9
			if early >= 0 && g.StateOf(old.Frames[old.At(early)].Levels[i]) == grid.Lit {
				// Lit then; so it must have gone dark in between.
				dark := false
				for tt := early; tt < at; tt += 0.01 {
					dark = dark || g.StateOf(old.Frames[old.At(tt)].Levels[i]) != grid.Lit
				}
				if !dark {
					t.Fatalf("frame %d: pixel %d is still off %g s after it should be on", n, i, delay)
				}
			}
		}
		at += f.Duration
	}
}

func TestSavesPowerAndKeepsThePicture(t *testing.T) {
	g := gridOf(t)
	for _, s := range []scenes.Scene{rising(1), random(3, 10)} {
		o := Defaults()
		r, err := Scene(context.Background(), playerOf(t, g), s, o)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Changed || !(r.After.PeakFramePower < r.Before.PeakFramePower) || !(r.After.AveragePower < r.Before.AveragePower) {
			t.Errorf("%s: %g W at most and %g W on average, before %g and %g", s.Name, r.After.PeakFramePower, r.After.AveragePower, r.Before.PeakFramePower, r.Before.AveragePower)
		}
		if r.After.Hottest >= r.Before.Hottest {
			t.Errorf("%s: the hottest coil was %g K and is %g K", s.Name, r.Before.Hottest, r.After.Hottest)
		}
		if n := violations(t, g, s, r.Scene); n > 0 {
			t.Errorf("%s: %d times a drop is lost or kept that was not", s.Name, n)
		}
		if r.Rested == 0 {
			t.Errorf("%s: nothing rests", s.Name)
		}
		shows(t, g, s, r.Scene, o.Delay)
		t.Logf("%s: most %.2f → %.2f W, average %.2f → %.2f W, %d of %d dimmed, %d wait up to %.2f s, %d kept",
			s.Name, r.Before.PeakFramePower, r.After.PeakFramePower, r.Before.AveragePower, r.After.AveragePower, r.Rested, r.Lit, r.Waiting, r.LongestWait, r.Kept)
	}
}

// What the result says of itself is what playing the scenes gives.
func TestSummariesArePlayed(t *testing.T) {
	g := gridOf(t)
	r, err := Scene(context.Background(), playerOf(t, g), random(5, 8), Defaults())
	if err != nil {
		t.Fatal(err)
	}
	l, err := play(t.Context(), playerOf(t, g), r.Scene)
	if err != nil {
		t.Fatal(err)
	}
	z := l.Summary()
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"average", z.AveragePower, r.After.AveragePower}, {"peak", z.PeakFramePower, r.After.PeakFramePower}, {"hottest", z.Hottest, r.After.Hottest}} {
		if math.Abs(c.got-c.want) > 1e-3*c.want {
			t.Errorf("%s: played %g, told %g", c.name, c.got, c.want)
		}
	}
}

func TestCap(t *testing.T) {
	g := gridOf(t)
	s := rising(1)
	p := playerOf(t, g)
	free, err := Scene(context.Background(), p, s, Options{Kick: 0.5, Margin: 1.05})
	if err != nil {
		t.Fatal(err)
	}
	// A cap halfway between what the scene draws and the least is kept with less dimming.
	o := Options{Kick: 0.5, Margin: 1.05, Cap: (free.Before.PeakFramePower + free.After.PeakFramePower) / 2}
	r, err := Scene(context.Background(), p, s, o)
	if err != nil {
		t.Fatal(err)
	}
	if r.Over != 0 || r.After.PeakFramePower > o.Cap {
		t.Errorf("cap %g W: %d frames over it, the most %g W", o.Cap, r.Over, r.After.PeakFramePower)
	}
	if r.Rested == 0 || r.Rested >= free.Rested {
		t.Errorf("%d dimmed for the cap, %d without one", r.Rested, free.Rested)
	}
	if n := violations(t, g, s, r.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
	// One that cannot be kept is told.
	o.Cap = free.After.PeakFramePower / 4
	if r, err = Scene(context.Background(), p, s, o); err != nil {
		t.Fatal(err)
	}
	if r.Over == 0 {
		t.Errorf("a cap of %g W is said to be kept; the frame that draws most draws %g W", o.Cap, r.After.PeakFramePower)
	}
	// One that the scene keeps anyway changes nothing.
	o.Cap = 2 * free.Before.PeakFramePower
	if r, err = Scene(context.Background(), p, s, o); err != nil {
		t.Fatal(err)
	}
	if r.Changed || !reflect.DeepEqual(r.Scene, s) {
		t.Error("the scene was changed without need")
	}
}

// Waiting spreads what comes on at once, and lowers the peak further.
func TestDelaySpreads(t *testing.T) {
	g := gridOf(t)
	// Two halves of the grid come on together while the rest goes on holding.
	s := scenes.Scene{Name: "halves", Rows: 4, Cols: 5}
	for k := range 16 {
		f := scenes.Frame{Levels: make([]float64, 20), Duration: 0.5}
		for i := range f.Levels {
			if i%5 == 0 || k%8 >= 2 && i%5 == 2 || k%8 >= 2 && i%5 == 4 {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	p := playerOf(t, g)
	o := Options{Kick: 0.5, Margin: 1.05}
	now, err := Scene(context.Background(), p, s, o)
	if err != nil {
		t.Fatal(err)
	}
	o.Delay = 1
	later, err := Scene(context.Background(), p, s, o)
	if err != nil {
		t.Fatal(err)
	}
	if now.Waiting != 0 || later.Waiting == 0 || later.LongestWait > o.Delay {
		t.Errorf("%d wait without leave to, %d with, for up to %g s", now.Waiting, later.Waiting, later.LongestWait)
	}
	if later.After.PeakFramePower >= now.After.PeakFramePower {
		t.Errorf("waiting took the peak from %g W to %g W", now.After.PeakFramePower, later.After.PeakFramePower)
	}
	shows(t, g, s, later.Scene, o.Delay)
	if n := violations(t, g, s, later.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
}

// A drop that is handed over is handed over at once: the pixel that takes it never
// waits and has its full level.
func TestHandOverIsKept(t *testing.T) {
	g := gridOf(t)
	params, err := generate.Defaults("hand-over", 4, 5)
	if err != nil {
		t.Fatal(err)
	}
	s, err := generate.Scene(context.Background(), "hand-over", params)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Scene(context.Background(), playerOf(t, g), s, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	if r.Waiting != 0 {
		t.Errorf("%d pixels wait for a drop that is on its way", r.Waiting)
	}
}

// A kick gives a pixel that comes on more than its level, for its time.
func TestKick(t *testing.T) {
	g := gridOf(t)
	s := rising(2)
	for _, f := range s.Frames {
		for i := range f.Levels {
			f.Levels[i] *= 0.95
		}
	}
	o := Options{Kick: 0.5, KickLevel: 1, Margin: 1.05}
	r, err := Scene(context.Background(), playerOf(t, g), s, o)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Changed || r.Kicked != 15 { // three rows of five come on in each loop
		t.Fatalf("changed %v, %d kicked, want 15", r.Changed, r.Kicked)
	}
	if r.Rested == 0 {
		t.Error("nothing rests after its kick")
	}
	on := map[int]float64{}
	for n, f := range r.Scene.Frames {
		for i, v := range f.Levels {
			switch {
			case v == 0:
				on[i] = 0
			case i < 15 && on[i] < o.Kick-1e-9 && v != 1:
				t.Errorf("frame %d: pixel %d has level %g, %g s after it came on", n, i, v, on[i])
			case on[i] >= o.Kick && v > 0.95:
				t.Errorf("frame %d: pixel %d still has level %g, %g s after it came on", n, i, v, on[i])
			}
			if v != 0 {
				on[i] += f.Duration
			}
		}
	}
	if n := violations(t, g, s, r.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
}

// Pixels that all swap at once are all kicked at once, so that the peak stays; they
// rest after it all the same, and the coils stay cooler.
func TestSwapsSaveOnAverage(t *testing.T) {
	g := gridOf(t)
	s := scenes.Scene{Name: "swap", Rows: 4, Cols: 5}
	for k := range 4 {
		f := scenes.Frame{Levels: make([]float64, 20), Duration: 2}
		for i := range f.Levels {
			if (i/5+i%5+k)%2 == 0 {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	r, err := Scene(context.Background(), playerOf(t, g), s, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	if !r.Changed || r.After.AveragePower > 0.9*r.Before.AveragePower || r.After.PeakFramePower > (1+coolRise(r.Before, r.After))*r.Before.PeakFramePower {
		t.Errorf("%g W on average, %g W at most; before %g and %g", r.After.AveragePower, r.After.PeakFramePower, r.Before.AveragePower, r.Before.PeakFramePower)
	}
	if r.Waiting != 0 {
		t.Errorf("%d pixels wait while their drops are handed over", r.Waiting)
	}
	if n := violations(t, g, s, r.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
}

// With the firmware's step, rounding to it changes nothing and takes no hold away.
func TestStep(t *testing.T) {
	g := gridOf(t)
	s := rising(1)
	o := Options{Kick: 0.5, Margin: 1, Step: 1.0 / 127}
	r, err := Scene(context.Background(), playerOf(t, g), s, o)
	if err != nil {
		t.Fatal(err)
	}
	if r.Rested == 0 {
		t.Fatal("nothing rests")
	}
	for n, f := range r.Scene.Frames {
		for i, v := range f.Levels {
			if d := v*127 - math.Round(v*127); math.Abs(d) > 1e-9 {
				t.Fatalf("frame %d, pixel %d: level %g is %g of a step off", n, i, v, d)
			}
		}
	}
	if n := violations(t, g, s, r.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
}

func TestDeterministic(t *testing.T) {
	g := gridOf(t)
	var made [2]Result
	for k := range made {
		r, err := Scene(context.Background(), playerOf(t, g), random(11, 8), Defaults())
		if err != nil {
			t.Fatal(err)
		}
		made[k] = r
	}
	if !reflect.DeepEqual(made[0], made[1]) {
		t.Error("the same scene came out in two ways")
	}
}

// Where a drop already fails, the pixel is left alone and nothing gets worse.
func TestFailingPixelsAreLeft(t *testing.T) {
	g, err := build("drive.max_duty=9 %")
	if err != nil {
		t.Fatal(err)
	}
	s := rising(1)
	r, err := Scene(context.Background(), playerOf(t, g), s, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	if r.Before.FailingPixels == 0 {
		t.Fatal("the test wants a design that fails")
	}
	if n := violations(t, g, s, r.Scene); n > 0 {
		t.Errorf("%d violations", n)
	}
	if r.After.FailingPixels > r.Before.FailingPixels {
		t.Errorf("%d pixels fail, %d did before", r.After.FailingPixels, r.Before.FailingPixels)
	}
}

func TestRefusals(t *testing.T) {
	g := gridOf(t)
	p := playerOf(t, g)
	for want, o := range map[string]Options{
		"margin of the hold of 0.5": {Margin: 0.5}, "delay of -1 s": {Margin: 1, Delay: -1}, "power of NaN W": {Margin: 1, Cap: math.NaN()},
		"level of a kick of 2": {Margin: 1, KickLevel: 2}, "time for a kick of +Inf s": {Margin: 1, Kick: math.Inf(1)},
	} {
		if _, err := Scene(context.Background(), p, rising(1), o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	other := scenes.Scene{Name: "other", Rows: 1, Cols: 1, Frames: []scenes.Frame{{Levels: []float64{1}, Duration: 1}}}
	if _, err := Scene(context.Background(), p, other, Defaults()); err == nil || !strings.Contains(err.Error(), "1 × 1") {
		t.Errorf("a scene of another size: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Scene(ctx, p, rising(1), Defaults()); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestTiming(t *testing.T) {
	g := gridOf(t)
	s := rising(4)
	tm := newTiming(g, s, 1, 0.5)
	if d := tm.scene.Duration(); math.Abs(d-24) > 1e-12 {
		t.Errorf("cut scene lasts %g s", d)
	}
	if n := len(tm.scene.Frames); n != 6+3 { // rows come on in three of the six frames
		t.Errorf("%d frames", n)
	}
	if !reflect.DeepEqual(merged(tm.scene), s) {
		t.Error("cutting and joining does not give the scene back")
	}
	// A pixel lit for less than twice the delay waits for half of that at most.
	short := scenes.Scene{Name: "s", Rows: 4, Cols: 5}
	for k := range 10 {
		f := scenes.Frame{Levels: make([]float64, 20), Duration: 0.1}
		if k >= 2 && k < 6 {
			f.Levels[7] = 1
		}
		short.Frames = append(short.Frames, f)
	}
	tm = newTiming(g, short, 1, 0.5)
	for k, want := range []bool{false, false, true, true, false, false} {
		if k >= 2 && tm.mayWait(k, 7) != want {
			t.Errorf("frame %d: may wait %v, want %v", k, !want, want)
		}
	}
}

func BenchmarkScene(b *testing.B) {
	g := gridOf(b)
	p := playerOf(b, g)
	s := rising(1)
	for b.Loop() {
		if _, err := Scene(context.Background(), p, s, Defaults()); err != nil {
			b.Fatal(err)
		}
	}
}

// The coils of a string keep one level, dimmed, waiting or neither.
func TestStringsKeepOneLevel(t *testing.T) {
	g, err := build("grid.cols=6", "drive.in_series=3", "supply.voltage=48 V", "drive.kick_voltage=48 V")
	if err != nil {
		t.Fatal(err)
	}
	s := scenes.Scene{Name: "strings", Rows: 4, Cols: 6}
	for k := range 16 { // two strings come on together while others go on holding
		f := scenes.Frame{Levels: make([]float64, 24), Duration: 0.5}
		for i := range f.Levels {
			if i%6 < 3 || k%8 >= 2 && i/6%2 == 0 {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	peak := 0.0
	for _, o := range []Options{{}, {Delay: 2}, {Cap: 0.75}} {
		o.Kick, o.Margin = 0.5, 1.05
		if o.Cap > 0 {
			o.Cap *= peak
		}
		r, err := Scene(t.Context(), playerOf(t, g), s, o)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Changed || r.Rested == 0 {
			t.Errorf("%+v: changed %v, %d dimmed", o, r.Changed, r.Rested)
		}
		peak = r.Before.PeakFramePower
		for k, f := range r.Scene.Frames {
			for i, v := range f.Levels {
				if v != f.Levels[i-i%3] {
					t.Fatalf("%+v: frame %d has %v and %v in a string", o, k+1, f.Levels[i-i%3], v)
				}
			}
		}
		if (r.Waiting > 0) != (o.Delay > 0) || r.Waiting%3 != 0 {
			t.Errorf("%+v: %d wait", o, r.Waiting)
		}
		if n := violations(t, g, s, r.Scene); n > 0 || o.Cap > 0 && r.Over > 0 {
			t.Errorf("%+v: %d violations, %d frames over the cap", o, n, r.Over)
		}
	}
}
