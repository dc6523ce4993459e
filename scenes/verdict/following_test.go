package verdict

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/drops"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// walking lights one of 4 × 3 pixels after the other, along the upper row and back.
func walking(seconds float64) scenes.Scene {
	s := scenes.New("walking", 3, 4, 7, seconds)
	for i, k := range []int{4, 5, 6, 7, 6, 5, 4} {
		s.Frames[i].Levels[k] = 1
	}
	return s
}

// A walk that is too fast for its drop breaks limits.shown; the speed that is told is kept
// by a display that is built anew and plays so slowly, and half as much again is too fast.
func TestSlowerSceneShows(t *testing.T) {
	changes := []string{"limits.shown=90 %", "limits.touch=300 degC", "limits.board=390 degC", "supply.power=500 W", "drive.max_duty=100 %", "iron.model=auto", "limits.false_on=100"}
	d, s := small(t, changes...), walking(0.5)
	v := judged(t, d, s)
	if !slices.Equal(limits(v), []Limit{Shown}) {
		t.Fatalf("broken are %v, want limits.shown alone", limits(v))
	}
	p := v.Problems[0]
	if p.Value >= p.Bound || p.Frame < 1 || p.Count == 0 || p.Of != 6 || v.Seen.Start() != 1 {
		t.Errorf("the problem is %+v, the start %g", p, v.Seen.Start())
	}
	i := slices.IndexFunc(p.Remedies, func(r Remedy) bool { return slices.Contains(r.Keys(), "scene.speed") })
	if i < 0 {
		t.Fatalf("no slower scene among %+v", p.Remedies)
	}
	slow := taken(t, d, p.Remedies[i].Set)
	if after := judged(t, slow, s.Faster(slow.Scene.Speed)); len(after.Problems) > 0 {
		t.Errorf("at %g of its speed: %v", slow.Scene.Speed, limits(after))
	}
	if share, _ := v.Seen.Share(); share != p.Value {
		t.Errorf("seen %g, the problem tells %g", share, p.Value)
	}
	if before := judged(t, d, s.Faster(1.5*slow.Scene.Speed)); !slices.Contains(limits(before), Shown) {
		t.Errorf("at 1.5 × %g of its speed it shows, too", slow.Scene.Speed)
	}
}

// The same walk in very many frames is judged whole, but not played again and again to
// find what would show it.
func TestManyFramesAreNotFollowed(t *testing.T) {
	d := small(t, "limits.shown=90 %", "limits.touch=300 degC", "limits.board=390 degC", "supply.power=500 W", "drive.max_duty=100 %", "iron.model=auto", "limits.false_on=100")
	s := walking(0.5)
	const parts = MostFollowed/7 + 1
	many := scenes.Scene{Name: "many", Rows: s.Rows, Cols: s.Cols}
	for _, f := range s.Frames {
		f.Duration /= parts
		for range parts {
			many.Frames = append(many.Frames, f)
		}
	}
	v := judged(t, d, many)
	i := slices.IndexFunc(v.Problems, func(p Problem) bool { return p.Limit == Shown })
	if i < 0 || len(v.Problems[i].Remedies) > 0 || len(v.Seen.Sights) != len(many.Frames) {
		t.Errorf("of %d frames: %d seen, problems %+v", len(many.Frames), len(v.Seen.Sights), v.Problems)
	}
}

// Nor is a scene of fluid that crowds on itself, each play of which takes long.
func TestCrowdIsNotFollowed(t *testing.T) {
	d, s := small(t, "limits.shown=90 %"), walking(0.5)
	p := playerOf(t, d)
	x, err := play(t.Context(), p, s, s, nil, func(after func([]player.Entry) error) (*player.Ledger, error) { return p.Try(t.Context(), s, after) })
	if err != nil || x.effort == 0 || x.verdict().Crowded {
		t.Fatalf("effort %d of a usual scene: %v", x.effort, err)
	}
	x.effort = mostEffort + 1
	if sets, err := x.following(t.Context(), 1, nil); sets != nil || err != nil || x.follow != nil || !x.verdict().Crowded {
		t.Errorf("%v, %v", sets, err)
	}
}

// Pictures to be seen that are not those played are what is judged.
func TestWantedPictures(t *testing.T) {
	d := small(t, "limits.shown=90 %")
	s := scenes.New("one", 3, 4, 2, 1)
	other := scenes.New("other", 3, 4, 2, 1)
	for f := range s.Frames {
		s.Frames[f].Levels[5], other.Frames[f].Levels[5+f] = 1, 1
	}
	for _, c := range []struct {
		wanted *scenes.Scene
		broken bool
	}{{nil, false}, {&other, true}} {
		v, err := Judge(t.Context(), playerOf(t, d), s, Watch{Wanted: c.wanted})
		if err != nil {
			t.Fatal(err)
		}
		if slices.Contains(limits(v), Shown) != c.broken {
			t.Errorf("wanted %v: broken are %v", c.wanted != nil, limits(v))
		}
	}
}

// Where another judges, what the drop model does not see broken no trial of it mends, and what it
// alone sees broken stands in no remedy's way.
func TestJudgedByAnother(t *testing.T) {
	changes := []string{"limits.shown=90 %", "limits.touch=300 degC", "limits.board=390 degC", "supply.power=1 W", "drive.max_duty=100 %", "iron.model=auto", "limits.false_on=100"}
	for _, c := range []struct {
		seconds float64
		shown   int // of each pixel wanted, by the other
		want    []Limit
	}{{60, 0, []Limit{Power, Shown}}, {0.5, 1, []Limit{Power}}} {
		d, s := small(t, changes...), walking(c.seconds)
		drops := judged(t, d, s)
		other := *drops.Seen
		other.Model, other.Sights = shown.Tank, slices.Clone(other.Sights)
		other.Asked, other.Failing = 0, nil // of the drop model alone
		for i := range other.Sights {
			other.Sights[i].Shown = c.shown * other.Sights[i].Wanted
		}
		v, err := Judge(t.Context(), playerOf(t, d), s, Watch{Judge: &other})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(limits(v), c.want) || slices.Contains(limits(drops), Shown) == slices.Contains(c.want, Shown) {
			t.Fatalf("%g s: broken are %v, by the drop model %v", c.seconds, limits(v), limits(drops))
		}
		if len(v.Problems[0].Remedies) == 0 {
			t.Errorf("%g s: nothing mends the supply", c.seconds)
		}
		for _, r := range v.Problems[0].Remedies {
			if !slices.Equal(r.Left, c.want[1:]) {
				t.Errorf("%g s: %v leaves %v, want %v", c.seconds, r.Set, r.Left, c.want[1:])
			}
		}
		if unseen := len(c.want) > 1; unseen != (v.Cure == nil) || unseen && (!v.Problems[1].Unseen || len(v.Problems[1].Remedies) > 0) {
			t.Errorf("%g s: cure %v, problems %+v", c.seconds, v.Cure, v.Problems)
		}
	}
}

// What is asked of nothing is not broken, and stray fluid is judged apart.
func TestSeenLimits(t *testing.T) {
	s := scenes.New("gone", 3, 4, 2, 0.2)
	s.Frames[0].Levels[5], s.Frames[1].Levels[6] = 1, 1
	for _, c := range []struct {
		changes []string
		want    []Limit
	}{
		{nil, nil}, {[]string{"limits.shown=1 %"}, []Limit{Shown}}, {[]string{"limits.stray=100 %"}, nil}, {[]string{"limits.stray=10 %"}, []Limit{Stray}},
	} {
		if got := limits(judged(t, small(t, append(c.changes, "limits.touch=300 degC")...), s)); !slices.Equal(got, c.want) {
			t.Errorf("%v: broken are %v, want %v", c.changes, got, c.want)
		}
	}
}

// Coils that leave no room for tracks break drive.place; what mends it is kept by a display
// that is built anew.
func TestConnectionsFindAWay(t *testing.T) {
	s := marching()
	d := small(t, "drive.place=edge", "coil.outer=11.8 mm", "grid.cols=4", "grid.rows=3", "limits.touch=300 degC", "limits.hold=0.01", "limits.false_on=100", "supply.power=500 W")
	v := judged(t, d, s)
	if !slices.Equal(limits(v), []Limit{Wiring}) || v.Problems[0].Value != 20 || v.Problems[0].Bound != 24 || v.Wiring.Fits() {
		t.Fatalf("broken are %+v", v.Problems)
	}
	if len(v.Problems[0].Remedies) < 1 { // fewer layers let them out by the count, but are not drawn
		t.Errorf("remedies are %+v", v.Problems[0].Remedies)
	}
	for _, r := range v.Problems[0].Remedies {
		after := judged(t, taken(t, d, r.Set), s)
		if len(after.Problems) > 0 || float64(after.Wiring.Out) != r.Value || after.Undrawn != "" {
			t.Errorf("%v leaves %v, %d ways, was said to leave %g", r.Set, limits(after), after.Wiring.Out, r.Value)
		}
	}
	// By the count all come out, but there is no room for the wires' holes.
	tight := judged(t, small(t, "drive.place=edge", "order.wire_drill=3 mm", "limits.touch=300 degC"), s)
	if !slices.Contains(limits(tight), Wiring) || !tight.Wiring.Fits() || tight.Undrawn == "" {
		t.Errorf("a board that is not drawn: broken are %v; %q", limits(tight), tight.Undrawn)
	}
	for _, place := range []string{"any", "back"} {
		if got := slices.Contains(limits(judged(t, small(t, "drive.place="+place, "coil.outer=11.8 mm"), s)), Wiring); got != (place == "back") {
			t.Errorf("drive.place %s: broken %v", place, got)
		}
	}
}

// What an order does not draw is no display that passes: a scan's lines, and the joints of
// coils in series. What is said to mend it does.
func TestLinesThatAreNotDrawn(t *testing.T) {
	// A low side's diode at each coil takes volts from it, and what holds with a full bridge holds
	// less then: as a remedy it is told where it holds enough.
	scan := []string{"drive.mode=scan", "drive.bridge=low-side", "limits.hold=0.01", "board.layers=8", "coil.layers=4", "iron.core_radius=0 mm", "coil.outer=10 mm", "coil.inner=3.5 mm", "coil.turns=8", "order.width=90 mm", "order.height=90 mm"}
	for name, c := range map[string]struct {
		changes []string
		why     string
		mends   string // the key that alone leaves no way undrawn and nothing worse, "" for none
	}{
		"a scan":         {scan, "", ""},
		"a weak bridge":  {append(slices.Clone(scan), "drive.bridge=h-bridge", "limits.hold=1.2"), "a full bridge sends it both ways", ""},
		"no margin":      {append(slices.Clone(scan), "order.width=50 mm"), "order.width of", ""},
		"a full bridge":  {append(slices.Clone(scan), "drive.bridge=h-bridge"), "a full bridge sends it both ways", "drive.bridge"},
		"strings":        {[]string{"drive.in_series=2"}, "the joints of coils in series", "drive.place"},
		"strings, apart": {[]string{"drive.in_series=2", "drive.place=second-board"}, "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			s := scenes.Scene{Name: "all", Rows: 4, Cols: 4, Frames: []scenes.Frame{{Levels: slices.Repeat([]float64{1}, 16), Duration: 1}}}
			d := small(t, append([]string{"drive.place=edge", "grid.cols=4", "grid.rows=4"}, c.changes...)...)
			v := judged(t, d, s)
			broken := slices.Contains(limits(v), Wiring)
			if broken != (c.why != "") || broken && (!v.Wiring.Fits() || !strings.Contains(v.Undrawn, c.why)) {
				t.Fatalf("ways broken: %t, %q, want %q", broken, v.Undrawn, c.why)
			}
			b, err := artwork.Draw(t.Context(), d, v.Wiring)
			if err != nil || b.NoWays != v.Undrawn {
				t.Errorf("an order draws %q, the verdict %q; %v", b.NoWays, v.Undrawn, err)
			}
			told := ""
			for _, p := range v.Problems {
				for _, r := range p.Remedies {
					key := r.Set[0].Key
					if p.Limit == Wiring && strings.HasPrefix(key, "drive.") && len(r.Set) == 1 && judged(t, taken(t, d, r.Set), s).Undrawn == "" {
						told = key
					}
				}
			}
			if told != c.mends {
				t.Errorf("told to mend it is %q, want %q: %v", told, c.mends, v.Problems)
			}
		})
	}
}

// What shows is told once more, where it is asked for, by the same drops with steps a tenth
// shorter from the same warmth: as the drop model follows the scene by itself.
func TestFollowedAgain(t *testing.T) {
	d, s := small(t, "limits.touch=300 degC", "limits.board=390 degC", "supply.power=500 W", "drive.max_duty=100 %", "iron.model=auto", "limits.false_on=100"), walking(0.5)
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	v, err := Judge(t.Context(), p, s, Watch{Bare: true, Twice: true})
	if err != nil {
		t.Fatal(err)
	}
	p.Reset()
	if _, err := p.Warm(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		step float64
		seen *shown.Record
	}{{drops.DefaultStep, v.Seen}, {0.9 * drops.DefaultStep, v.Again}} {
		fluid, err := player.NewDroplets(g, c.step)
		if err != nil {
			t.Fatal(err)
		}
		p.Reset()
		if _, err := p.Warm(t.Context(), s); err != nil {
			t.Fatal(err)
		}
		r, err := shown.Follow(t.Context(), p, s, s, shown.Drops, fluid, nil)
		if err != nil {
			t.Fatal(err)
		}
		share, stray := c.seen.Share()
		if again, astray := r.Share(); math.Abs(share-again) > 1e-9 || math.Abs(stray-astray) > 1e-9 {
			t.Errorf("steps of %g s: %g shown and %g astray, by itself %g and %g", c.step, share, stray, again, astray)
		}
	}
	if a, b := v.Seen, v.Again; len(a.Sights) != len(b.Sights) || slices.EqualFunc(a.Sights, b.Sights, func(x, y shown.Sight) bool { return x.Stray == y.Stray }) {
		t.Errorf("the second record is the first: %+v", a.Sights)
	}
	slow := walking(4)
	slow.Frames = slow.Frames[:4] // there and not back: all of it shows the first time alone
	if p, err = p.With(func(d *design.Design) { d.Limits.Shown = 0.9 }); err != nil {
		t.Fatal(err)
	}
	if v, err = Judge(t.Context(), p, slow, Watch{Bare: true, Twice: true}); err != nil {
		t.Fatal(err)
	}
	share, _ := v.Seen.Share()
	again, _ := v.Again.Share()
	if v.Seen.Time != 2 || v.Again.Time != 2 || share > 0.5 || math.Abs(share-again) > 0.1 {
		t.Errorf("time %d shows %g, by other steps time %d %g", v.Seen.Time, share, v.Again.Time, again)
	}
	if v := judged(t, d, s); v.Again != nil {
		t.Error("followed twice unasked")
	}
}
