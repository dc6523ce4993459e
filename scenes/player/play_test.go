package player

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes"
)

// small is the demo on 4 × 3 pixels with changes, "key=value" each.
func small(t testing.TB, changes ...string) design.Design {
	t.Helper()
	return changed(t, append([]string{"grid.cols=4", "grid.rows=3"}, changes...)...)
}

func changed(t testing.TB, changes ...string) design.Design {
	t.Helper()
	return trial.Sign(t, changes...)
}

// pictures is a scene on 4 × 3 pixels, one frame per picture: # lit, anything else
// dark.
func pictures(seconds float64, rows ...[3]string) scenes.Scene {
	s := scenes.Scene{Name: "pictures", Rows: 3, Cols: 4}
	for _, picture := range rows {
		f := scenes.Frame{Duration: seconds, Levels: make([]float64, 12)}
		for i, r := range strings.Join(picture[:], "") {
			if r == '#' {
				f.Levels[i] = 1
			}
		}
		s.Frames = append(s.Frames, f)
	}
	return s
}

var marching = [][3]string{
	{"#...", "##..", "...."},
	{".#..", ".##.", "...."},
	{"..#.", "..##", "...#"},
	{"####", "....", ".##."},
}

// Show and Step compute the same but for the rails' worst instants; Step keeps it, Show
// does not.
func TestShowIsStep(t *testing.T) {
	d := small(t)
	show, step := newPlayer(t, d), newPlayer(t, d)
	s := pictures(0.5, marching...)
	for i, f := range s.Frames {
		a, err := show.Show(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		b, err := step.Step(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		a.Failing, a.FalseOn = append([]int(nil), a.Failing...), append([]int(nil), a.FalseOn...)
		if b.SupplyPeakPower == 0 || b.SupplyPeakCurrent == 0 || b.SupplyRMSCurrent == 0 {
			t.Errorf("frame %d: Step tells no worst instant: %+v", i, b)
		}
		b.SupplyPeakPower, b.SupplyPeakCurrent, b.SupplyRMSCurrent = 0, 0, 0
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("frame %d: Show gives\n%+v, Step\n%+v", i, a, b)
		}
		if !reflect.DeepEqual(show.Holds(), step.Holds()) || !reflect.DeepEqual(show.Coils(), step.Coils()) {
			t.Fatalf("frame %d: holds or temperatures of Show and Step differ", i)
		}
	}
	if n, m := len(show.Ledger().Entries), len(step.Ledger().Entries); n != 0 || m != len(s.Frames) {
		t.Errorf("Show wrote %d entries, Step %d, want 0 and %d", n, m, len(s.Frames))
	}
}

func TestShowDoesNotAllocate(t *testing.T) {
	for _, mode := range []string{"direct", "stagger", "scan", "kick"} {
		p := newPlayer(t, small(t, "drive.mode="+mode))
		s := pictures(0.5, marching...)
		k := 0
		show := func() {
			if _, err := p.Show(t.Context(), s.Frames[k%len(s.Frames)]); err != nil {
				t.Fatal(err)
			}
			k++
		}
		for range 2 * len(s.Frames) {
			show()
		}
		if n := testing.AllocsPerRun(20, show); n != 0 {
			t.Errorf("mode %s: a frame allocates %g times", mode, n)
		}
	}
}

// The same scene on the same design gives the same ledger, bit for bit, on a new
// player and on one that was reset.
func TestPlayIsDeterministic(t *testing.T) {
	d, s := small(t), pictures(0.5, marching...)
	p := newPlayer(t, d)
	first, err := p.Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	p.Reset()
	again, err := p.Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	other, err := newPlayer(t, d).Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(first, again) || !reflect.DeepEqual(first, other) {
		t.Error("the same scene gave different ledgers")
	}
	if len(first.Entries) != len(marching) || first.Summary().LitPixels != 3+3+4+6 {
		t.Errorf("%d entries with %d lit pixels, want 4 with 16", len(first.Entries), first.Summary().LitPixels)
	}
}

func TestPlayStopsAndRefuses(t *testing.T) {
	p := newPlayer(t, small(t))
	stop := errors.New("stop")
	seen := 0
	_, err := p.Play(t.Context(), pictures(0.5, marching...), func([]Entry) error {
		if seen++; seen == 2 {
			return stop
		}
		return nil
	})
	if !errors.Is(err, stop) || seen != 2 {
		t.Errorf("stopped with %v after %d frames, want after 2", err, seen)
	}
	for _, c := range []struct {
		s    scenes.Scene
		want string
	}{
		{scenes.Scene{Name: "wide", Rows: 3, Cols: 5}, "5 × 3 pixels, the grid has 4 × 3"},
		{scenes.Scene{Name: "none", Rows: 3, Cols: 4}, "no frames"},
		{scenes.Scene{Name: "nan", Rows: 3, Cols: 4, Frames: []scenes.Frame{{Levels: append(make([]float64, 11), math.NaN()), Duration: 1}}}, "NaN"},
		{scenes.Scene{Name: "still", Rows: 3, Cols: 4, Frames: []scenes.Frame{{Levels: make([]float64, 12)}}}, "duration 0"},
	} {
		for name, run := range map[string]func() error{
			"Play": func() error { _, err := p.Play(t.Context(), c.s, nil); return err },
			"Warm": func() error { _, err := p.Warm(t.Context(), c.s); return err },
		} {
			if err := run(); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s of scene %s: %v, want %q in it", name, c.s.Name, err, c.want)
			}
		}
	}
	reversed := scenes.Frame{Levels: []float64{-1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}, Duration: 1}
	if _, err := newPlayer(t, small(t, "drive.bridge=low-side")).Step(t.Context(), reversed); err == nil {
		t.Error("a low-side bridge reversed a current")
	}
}

// Summary by hand over three made-up entries.
func TestSummary(t *testing.T) {
	l := Ledger{Entries: []Entry{
		{Duration: 1, SupplyPower: 10, SupplyPeakPower: 40, SupplyCurrent: 1, SupplyPeakCurrent: 4, Hottest: 300, HottestPixel: 5, Touch: 299, Behind: [2]float64{302, 297}, LeastHold: 3, LeastHoldPixel: 2, GreatestFalsePixel: -1, CrosstalkMargin: 0.5, Lit: 4},
		{Duration: 3, SupplyPower: 20, SupplyPeakPower: 30, SupplyCurrent: 2, SupplyPeakCurrent: 3, Hottest: 310, HottestPixel: 7, Touch: 301, Behind: [2]float64{301, 303}, LeastHold: 1.5, LeastHoldPixel: 8, GreatestFalseOn: 0.7, GreatestFalsePixel: 1, CrosstalkMargin: -0.2, Lit: 5, Failing: []int{8, 9}, FalseOn: []int{1}},
		{Duration: 1, SupplyPower: 0, LeastHold: math.Inf(1), LeastHoldPixel: -1, GreatestFalsePixel: -1, Hottest: 305, HottestPixel: 7, Touch: 300, CrosstalkMargin: 0.5},
	}}
	got := l.Summary()
	want := Summary{
		Duration:       5,
		AveragePower:   14,                             // (10·1 + 20·3 + 0)/5
		RMSPower:       math.Sqrt((100 + 3*400) / 5.0), // over time
		AverageCurrent: 1.4,                            // (1·1 + 2·3)/5
		PeakFramePower: 20, PeakFrame: 1, PeakPower: 40, PeakPowerFrame: 0, PeakCurrent: 4,
		Hottest: 310, HottestPixel: 7, HottestFrame: 1, Touch: 301, Behind: [2]float64{302, 303},
		LeastHold: 1.5, LeastHoldPixel: 8, LeastHoldFrame: 1,
		FailingFrames: 1, FailingPixels: 2, FalseOnFrames: 1, FalseOnPixels: 1,
		GreatestFalseOn: 0.7, FalseOnPixel: 1, FalseOnFrame: 1, LitPixels: 9, MostLit: 5, MostLitFrame: 1, CrosstalkMargin: -0.2,
	}
	if got != want {
		t.Errorf("got\n%+v, want\n%+v", got, want)
	}
	if order := l.Hungriest(2); !reflect.DeepEqual(order, []int{1, 0}) {
		t.Errorf("the frames that draw most are %v, want [1 0]", order)
	}
	if order := l.Hungriest(9); len(order) != 3 {
		t.Errorf("asked for 9 of 3 frames, got %d", len(order))
	}
	empty := (&Ledger{}).Summary()
	if !math.IsInf(empty.LeastHold, 1) || empty.LeastHoldPixel != -1 || empty.HottestPixel != -1 || empty.FalseOnPixel != -1 || empty.AveragePower != 0 {
		t.Errorf("summary of nothing is %+v", empty)
	}
}

// What the ledger counts as failing and false-on is what the hold ratios say.
func TestLedgerJudgesByTheLimits(t *testing.T) {
	p := newPlayer(t, small(t, "limits.hold=1.6", "limits.false_on=0.001"))
	_, err := p.Play(t.Context(), pictures(0.5, marching...), func(run []Entry) error {
		e := run[0]
		var failing, false_ []int
		least, most := math.Inf(1), 0.0
		for i, h := range p.Holds() {
			lit := p.States()[i] == 2 // grid.Lit
			switch {
			case lit && h < 1.6:
				failing = append(failing, i)
			case !lit && h > 0.001:
				false_ = append(false_, i)
			}
			if lit {
				least = min(least, h)
			} else {
				most = max(most, h)
			}
		}
		if !reflect.DeepEqual(failing, e.Failing) || !reflect.DeepEqual(false_, e.FalseOn) || least != e.LeastHold || most != e.GreatestFalseOn || e.CrosstalkMargin != 0.001-most {
			t.Errorf("frame %d: entry %+v, the ratios say failing %v, false on %v, least %g, most %g", e.Frame, e, failing, false_, least, most)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
