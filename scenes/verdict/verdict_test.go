package verdict

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// small is the demo on 4 × 3 pixels without steel, with changes, "key=value" each; of what
// is seen, of ways for the wiring and of the liquids' temperature and room, nothing is asked unless the
// changes do.
func small(t *testing.T, changes ...string) design.Design {
	t.Helper()
	var list []design.Change
	for _, text := range append([]string{"grid.cols=4", "grid.rows=3", "iron.model=none", "limits.shown=0 %", "limits.stray=100 %", "drive.place=any", "fluid.density_drift=0 kg/m³/K", "tank.room=50 %"}, changes...) {
		c, err := design.ParseChange(text)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, c)
	}
	d, err := trial.Lit().With(list...)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func playerOf(t testing.TB, d design.Design) *player.Player {
	t.Helper()
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// marching is a scene on 4 × 3 pixels.
func marching() scenes.Scene {
	s := scenes.Scene{Name: "marching", Rows: 3, Cols: 4}
	for _, picture := range []string{"#...##......", ".#...##.....", "..#...##...#", "####.....##."} {
		f := scenes.Frame{Duration: 0.5, Levels: make([]float64, 12)}
		for i, r := range picture {
			if r == '#' {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	return s
}

func judged(t *testing.T, d design.Design, s scenes.Scene) *Verdict {
	t.Helper()
	v, err := Judge(t.Context(), playerOf(t, d), s, Watch{})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func limits(v *Verdict) (list []Limit) {
	for _, p := range v.Problems {
		list = append(list, p.Limit)
	}
	return list
}

// taken is a design with settings, built anew: it shares nothing with the trials.
func taken(t *testing.T, d design.Design, set []design.Change) design.Design {
	t.Helper()
	out, err := d.With(set...)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What a remedy promises is what a display built with it does: its limit is kept, its
// figure is the one told, and no limit is broken that was not.
func TestRemediesAreKeptPromises(t *testing.T) {
	s := marching()
	remedies, cures := 0, 0
	for _, changes := range [][]string{
		{"supply.voltage=30 V", "limits.hold=3"},
		{"supply.voltage=30 V", "limits.hold=0.5", "drive.max_duty=30 %"},
		{"supply.power=4 W", "limits.touch=300 degC", "drive.max_duty=60 %", "limits.hold=0.1"},
		{"drive.max_duty=3 %", "supply.power=100 W", "limits.hold=2"},
		{"drive.max_duty=3 %", "supply.power=1 W", "limits.hold=2"},
		{"drive.most_lit=2", "supply.power=20 W"},
		{"drive.most_lit=2", "supply.power=4 W", "limits.touch=300 degC", "drive.max_duty=60 %", "limits.hold=0.1"},
		{"drive.most_lit=2", "supply.power=20 W", "limits.touch=300 degC", "drive.max_duty=60 %", "limits.hold=0.1"},
		{"drive.mode=kick", "drive.kick_time=20 ms", "supply.voltage=40 V", "limits.hold=0.1"},
		{"drive.mode=scan", "drive.kick_voltage=30 V", "limits.hold=0.1", "drive.max_duty=90 %"},
		{"limits.false_on=0.01", "limits.hold=0.01", "supply.voltage=24 V", "limits.touch=300 degC"},
	} {
		d := small(t, changes...)
		v := judged(t, d, s)
		was := limits(v)
		for _, p := range v.Problems {
			for _, r := range p.Remedies {
				remedies++
				after := judged(t, taken(t, d, r.Set), s)
				now := limits(after)
				if slices.Contains(now, p.Limit) {
					t.Errorf("%v: %s is still broken with %v", changes, p.Limit, r.Set)
				}
				for _, l := range now {
					if !slices.Contains(was, l) {
						t.Errorf("%v: %v breaks %s", changes, r.Set, l)
					}
				}
				if !slices.Equal(now, r.Left) {
					t.Errorf("%v: %v is said to leave %v, leaves %v", changes, r.Set, r.Left, now)
				}
			}
		}
		if v.Cure != nil {
			if left := limits(judged(t, taken(t, d, v.Cure), s)); len(left) > 0 {
				t.Errorf("%v: the cure %v leaves %v", changes, v.Cure, left)
			}
			for i, c := range v.Cure {
				cures++
				if rest := slices.Delete(slices.Clone(v.Cure), i, i+1); len(limits(judged(t, taken(t, d, rest), s))) == 0 {
					t.Errorf("%v: the cure %v does as well without %v", changes, v.Cure, c)
				}
			}
		}
	}
	if remedies < 8 || cures < 4 {
		t.Errorf("only %d remedies were found in all, %d settings that mend all", remedies, cures)
	}
}

// What mends one problem and leaves none is the cure of all, though another has no remedy of its own.
func TestOneRemedyMendsAll(t *testing.T) {
	d, s := small(t, "supply.voltage=30 V", "limits.hold=0.1", "drive.max_duty=10 %", "supply.power=0 W", "limits.touch=40 degC", "limits.board=45 degC"), marching()
	v := judged(t, d, s)
	with := slices.IndexFunc(v.Problems, func(p Problem) bool { return len(p.Remedies) > 0 && len(p.Remedies[0].Left) == 0 })
	if with < 0 || len(v.Problems) < 2 || v.Cure == nil {
		t.Fatalf("broken are %v, the cure is %v: no test", limits(v), v.Cure)
	}
	own, err := play(t.Context(), playerOf(t, d), s, s, nil, func(after func([]player.Entry) error) (*player.Ledger, error) {
		return playerOf(t, d).Try(t.Context(), s, after)
	})
	if err != nil {
		t.Fatal(err)
	}
	for i := range v.Problems {
		if i != with {
			v.Problems[i].Remedies = nil
		}
	}
	v.Cure = nil
	if err := v.cure(t.Context(), own, map[string]*played{}); err != nil {
		t.Fatal(err)
	}
	if want := v.Problems[with].Remedies[0].Set; !slices.Equal(v.Cure, want) {
		t.Errorf("the cure is %v, want %v", v.Cure, want)
	}
}

// Where the drops need more than heat allows, neither more nor less duty is offered.
func TestNoContradictingAdvice(t *testing.T) {
	d := small(t, "supply.voltage=30 V", "drive.max_duty=20 %", "limits.hold=60", "drive.frequency=1 MHz")
	v := judged(t, d, marching())
	if !slices.Contains(limits(v), Holding) || v.HeatDuty >= d.Drive.MaxDuty || v.HoldDuty <= d.Drive.MaxDuty {
		t.Fatalf("broken %v, heat allows %g, the drops need %g: not the case to test", limits(v), v.HeatDuty, v.HoldDuty)
	}
	for _, p := range v.Problems {
		for _, r := range p.Remedies {
			if slices.Contains(r.Keys(), "drive.max_duty") && p.Limit != Power {
				t.Errorf("%s: offers %v", p.Limit, r.Set)
			}
		}
	}
	if v.Cure != nil {
		t.Errorf("a cure %v for what cannot be cured", v.Cure)
	}
}

// A cool display whose trial at full duty runs away is judged like any other.
func TestTrialThatRunsAway(t *testing.T) {
	d, err := design.ReadFile("../../testdata/designs/valid/cool.toml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := generate.Defaults("checker", d.Grid.Rows, d.Grid.Cols)
	if err != nil {
		t.Fatal(err)
	}
	scene, err := generate.Scene(t.Context(), "checker", s)
	if err != nil {
		t.Fatal(err)
	}
	v := judged(t, d, scene)
	if v.Unrest != nil || math.Abs(v.Summary.Hottest-273.15-35.7) > 0.2 {
		t.Errorf("the hottest coil has %.2f °C (%v), want about 35.7 °C, in the warmest air", v.Summary.Hottest-273.15, v.Unrest)
	}
}

// A scene without a steady state is a problem, not an error, and the board's.
func TestRunawayIsAProblem(t *testing.T) {
	v := judged(t, small(t, "supply.voltage=400 V", "drive.max_duty=100 %"), marching())
	if v.Unrest == nil || v.Runaway() == nil || v.Ledger != nil || v.Supply != nil {
		t.Fatalf("400 V on a 12 V coil settles: %+v", v)
	}
	if len(v.Problems) != 1 || v.Problems[0].Limit != Board || !math.IsInf(v.Problems[0].Value, 1) {
		t.Errorf("problems %+v", v.Problems)
	}
	if v.Cautions[0].Kind != NeverCools {
		t.Errorf("the first caution is %q", v.Cautions[0].Kind)
	}
}

func TestJudgeStops(t *testing.T) {
	p := playerOf(t, small(t, "supply.voltage=30 V"))
	ctx, stop := context.WithCancel(t.Context())
	n := 0
	_, err := Judge(ctx, p, marching(), Watch{Trial: func() {
		if n++; n == 2 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a stopped judgement gives %v", err)
	}
	wrong := marching()
	wrong.Cols, wrong.Rows = 3, 4
	if _, err := Judge(t.Context(), p, wrong, Watch{}); err == nil || !strings.Contains(err.Error(), "4 × 3") {
		t.Errorf("a scene for another grid: %v", err)
	}
}

// Every limit is broken from just over its bound on, and kept at it.
func TestProblemsAtTheirBounds(t *testing.T) {
	d := small(t, "magnet.kind=pixel", "supply.power=18 W", "drive.most_lit=6")
	p := playerOf(t, d)
	fine := player.Summary{
		Hottest: min(d.Limits.Board, d.Magnet.MaxTemp), Touch: d.Limits.Touch, LeastHold: d.Limits.Hold, LeastHoldPixel: 4, MostLit: 6, FalseOnPixel: -1,
	}
	for _, c := range []struct {
		name   string
		change func(z *player.Summary)
		load   float64
		want   []Limit
	}{
		{"at all bounds", func(*player.Summary) {}, 1, nil},
		{"touch", func(z *player.Summary) { z.Touch += 1e-9 }, 1, []Limit{Touch}},
		{"magnets", func(z *player.Summary) { z.Hottest = d.Magnet.MaxTemp + 1e-9 }, 1, []Limit{Magnets}},
		{"board", func(z *player.Summary) { z.Hottest = d.Limits.Board + 1e-9 }, 1, []Limit{Board, Magnets}},
		{"supply", func(*player.Summary) {}, 1 + 1e-9, []Limit{Power}},
		{"lit", func(z *player.Summary) { z.MostLit = 7 }, 1, []Limit{MostLit}},
		{"hold", func(z *player.Summary) { z.FailingPixels = 1 }, 1, []Limit{Holding}},
		{"false on", func(z *player.Summary) { z.FalseOnPixels = 1 }, 1, []Limit{Releases}},
	} {
		z := fine
		c.change(&z)
		x := &played{player: p, summary: z, supply: &supply.Proposal{Load: supply.Figure{Value: c.load}}}
		got := limits(&Verdict{Problems: x.problems()})
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: broken are %v, want %v", c.name, got, c.want)
		}
	}
	x := &played{player: p, summary: fine, supply: &supply.Proposal{Load: supply.Figure{Value: 1.2}}}
	// 1.2 × 18 W × 80 % = 17.28 W of 14.4 W.
	if q := x.problems()[0]; math.Abs(q.Value-17.28) > 1e-9 || math.Abs(q.Bound-14.4) > 1e-9 {
		t.Errorf("the supply's problem is %+v, want 17.28 W of 14.4 W", q)
	}
}

// Duties are rounded to three digits, to the safe side.
func TestDutyIsRoundedSafely(t *testing.T) {
	d := small(t)
	kick := small(t, "drive.mode=kick", "drive.max_duty=13 %", "drive.hold_duty=26 %")
	for _, c := range []struct {
		d     design.Design
		v     float64
		round func(float64) float64
		want  string
	}{
		{d, 0.115789, math.Floor, "11.5 %"}, {d, 0.102101, math.Ceil, "10.3 %"}, {d, 0.00456789, math.Floor, "0.456 %"},
		{d, 1, math.Floor, "100 %"}, {d, 0.9999, math.Ceil, "100 %"}, {d, 0.0005, math.Floor, ""}, {d, math.Inf(1), math.Ceil, ""},
		{kick, 0.065, math.Floor, "6.5 % 13 %"},
	} {
		var got []string
		for _, s := range duty(c.d, c.v, c.round) {
			got = append(got, s.Value)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%g becomes %q, want %q", c.v, s, c.want)
		}
	}
}

// Cautions are earned: burns from 43 °C on, the board within 20 K of its limit, magnets
// when there are any, drivers whose place is left open; the field and the disclaimer always.
func TestCautionsAreEarned(t *testing.T) {
	plain, biased := playerOf(t, small(t)), playerOf(t, small(t, "magnet.kind=pixel"))
	metal := playerOf(t, small(t, "board.laminate=aluminium", "board.layers=1", "board.layers_on_offer=[1]", "coil.layers=1"))
	limit := plain.Grid().Design.Limits.Board
	for _, c := range []struct {
		name string
		z    player.Summary
		p    *player.Player
		want []Kind
	}{
		{"cool", player.Summary{Touch: 273.15 + 42, Hottest: 320}, plain, []Kind{Implants, FarDrivers, Uncertified}},
		{"warm", player.Summary{Touch: 273.15 + 44, Hottest: 320}, plain, []Kind{HotSurface, Implants, FarDrivers, Uncertified}},
		{"board", player.Summary{Touch: 273.15 + 44, Hottest: limit - 19}, plain, []Kind{HotSurface, BoardNear, Implants, FarDrivers, Uncertified}},
		{"over", player.Summary{Touch: 273.15 + 44, Hottest: limit + 1}, plain, []Kind{HotSurface, BoardBurns, Implants, FarDrivers, Uncertified}},
		{"magnets", player.Summary{Hottest: 320}, biased, []Kind{Implants, Pinching, FarDrivers, Uncertified}},
		{"metal", player.Summary{Hottest: 320}, metal, []Kind{Implants, MetalBoard, FarDrivers, Uncertified}},
	} {
		var got []Kind
		for _, x := range cautions(&played{player: c.p, summary: c.z}) {
			got = append(got, x.Kind)
		}
		if got := cautions(&played{player: c.p, summary: c.z, seen: &shown.Record{}}); !slices.ContainsFunc(got, func(c Caution) bool { return c.Kind == Still }) {
			t.Errorf("%s: a picture that never changes earns no caution", c.name)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: cautions %v, want %v", c.name, got, c.want)
		}
	}
}

// A driver whose channel bears less than the coil takes is a problem, mended by a stronger
// one and by nothing in the picture.
func TestDriverCurrent(t *testing.T) {
	v := judged(t, small(t, "drive.driver_current=0.2 A"), marching())
	i := slices.IndexFunc(v.Problems, func(p Problem) bool { return p.Limit == Driver })
	if i < 0 {
		t.Fatalf("no problem with the driver: %+v", v.Problems)
	}
	p := v.Problems[i]
	if p.Bound != 0.2 || p.Value < 0.2 || p.Value > 1.1 || len(p.Remedies) == 0 || p.Remedies[0].Set[0].Key != string(Driver) {
		t.Errorf("%+v", p)
	}
	for _, text := range []string{"drive.driver_current=0 A", "drive.driver_current=2 A"} {
		for _, p := range judged(t, small(t, text), marching()).Problems {
			if p.Limit == Driver {
				t.Errorf("%s: %+v", text, p)
			}
		}
	}
}

// A front pane so thin that its bow lets the drops go is told with a thicker one and with
// spacers, each of which mends it; a thinner one by the least step does not.
func TestBowIsMended(t *testing.T) {
	changes := []string{"grid.rows=8", "drive.max_duty=40 %", "limits.hold=4", "limits.touch=200 degC", "limits.board=300 degC", "limits.false_on=100", "supply.power=100 W", "tank.front=0.5 mm", "tank.front_material=acrylic", "heat.ambient=20 degC"}
	d := small(t, changes...)
	s := scenes.Scene{Name: "standing", Rows: 8, Cols: 4, Frames: []scenes.Frame{{Duration: 1, Levels: make([]float64, 32)}}}
	s.Frames[0].Levels[1] = 1
	v := judged(t, d, s)
	if got := limits(v); !slices.Equal(got, []Limit{Bow}) || !(v.Summary.LeastHold > 4) {
		t.Fatalf("broken are %v at a hold of %.3g", got, v.Summary.LeastHold)
	}
	p := v.Problems[0]
	if len(p.Remedies) != 2 || p.Remedies[0].Keys()[0] != "tank.front" || p.Remedies[1].Keys()[0] != "tank.spacers" {
		t.Fatalf("remedies %+v", p.Remedies)
	}
	for _, r := range p.Remedies {
		if !(r.Value >= 4) {
			t.Errorf("%+v does not mend it", r)
		}
		mended, err := d.With(r.Set...)
		if err != nil {
			t.Fatal(err)
		}
		if again := judged(t, mended, s); len(again.Problems) != 0 {
			t.Errorf("with %+v broken are %v", r.Set, limits(again))
		}
		if r.Keys()[0] == "tank.front" {
			mended.Tank.Front -= 0.5e-3
		} else {
			mended.Tank.Spacers += mended.Grid.Pitch
		}
		if again := judged(t, mended, s); len(again.Problems) != 1 {
			t.Errorf("a step less than %+v would do", r.Set)
		}
	}
}

// Planes that the heat counts but nobody can draw are a broken limit, which no other setting
// that keeps the board mends.
func TestPlanesThatCannotBeDrawn(t *testing.T) {
	for pour, broken := range map[string]bool{"pour 5 %": true, "pour 40 %": false} {
		d := small(t, "supply.voltage=30 V", "limits.hold=3").WithPlanes(pour, "none", "none", "none", "none", "none", "none", "none")
		v := judged(t, d, marching())
		if slices.Contains(limits(v), Planes) != broken || (v.Misfit != nil) != broken {
			t.Errorf("%s: broken are %v, %v", pour, limits(v), v.Misfit)
		}
		remedies := 0
		for _, p := range v.Problems {
			for _, r := range p.Remedies {
				if remedies++; slices.Contains(r.Left, Planes) != broken {
					t.Errorf("%s: %v leaves %v", pour, r.Set, r.Left)
				}
			}
		}
		if remedies == 0 || broken && v.Cure != nil {
			t.Errorf("%s: %d remedies, cure %v", pour, remedies, v.Cure)
		}
	}
}
