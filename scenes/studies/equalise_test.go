package studies

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"lodegrid/array/equalise"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
)

// Equalising takes the miss of a lit block away, at a brightness at which it can, and a
// thousandth more cannot.
func TestEqualise(t *testing.T) {
	g, err := grid.New(t.Context(), small(t, "iron.model=none"), 4)
	if err != nil {
		t.Fatal(err)
	}
	s := pictures(1, [3]string{"....", "####", "####"}, [3]string{"#...", "....", "...#"})
	e, err := Equalise(t.Context(), g, s)
	if err != nil {
		t.Fatal(err)
	}
	if !(e.Brightness > 0.5 && e.Brightness < 1) || !(e.After < e.Before/5) || e.WorstAfter > equalisedMiss*math.Abs(equalise.OwnField(g, 1)) || !e.Converged || len(e.Frames) != 2 || e.Frames[1].Frame != 1 {
		t.Errorf("%+v", e)
	}
	// The heat is that of the levels, I² R with the ripple of the drive.
	before, err := g.HeldHeat(scale(s.Frames[0].Levels, e.Brightness))
	if err != nil || math.Abs(e.Frames[0].PowerBefore-before) > 1e-9*before || math.Abs(e.PowerBefore-(before+e.Frames[1].PowerBefore)/2) > 1e-9*before {
		t.Errorf("heat before %g W, mean %g W; the levels' own %g W, %v", e.Frames[0].PowerBefore, e.PowerBefore, before, err)
	}
	long := pictures(1)
	for range 60 {
		long.Frames = append(long.Frames, s.Frames[1])
	}
	if e, err := Equalise(t.Context(), g, long); err != nil || len(e.Frames) != equalisedFrames || e.Frames[1].Frame != 2 || e.Frames[23].Frame != 57 {
		t.Errorf("of 60 frames: %v, %d looked at", err, len(e.Frames))
	}
	s.Cols = 5
	if _, err := Equalise(t.Context(), g, s); err == nil || !strings.Contains(err.Error(), "5 × 3 pixels for a grid of 4 × 3") {
		t.Errorf("a scene of another size: %v", err)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	if _, err := Equalise(stopped, g, long); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

func scale(v []float64, by float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x * by
	}
	return out
}

func TestBrightest(t *testing.T) {
	broken := errors.New("broken")
	for _, c := range []struct {
		limit, want float64
	}{{2, 1}, {0.3217, 0.3217}, {0, 1e-3}} {
		got, err := brightest(t.Context(), func(b float64) (bool, error) { return b <= c.limit, nil })
		if err != nil || got > math.Max(c.limit, 1e-3) || c.want-got > 1e-3 {
			t.Errorf("limit %g: %g, %v", c.limit, got, err)
		}
	}
	if _, err := brightest(t.Context(), func(b float64) (bool, error) { return false, broken }); !errors.Is(err, broken) {
		t.Errorf("an error is lost: %v", err)
	}
}

// The margins of the study are those of the grid, the least of them told.
func TestSearchMargins(t *testing.T) {
	g, err := grid.New(t.Context(), small(t, "iron.model=none"), 4)
	if err != nil {
		t.Fatal(err)
	}
	m, err := SearchMargins(t.Context(), g, hold.Search{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	places, err := hold.Margins(t.Context(), g, hold.Search{Seed: 3}, hold.TypicalPlaces(g))
	if err != nil || len(places) != len(m.Places) {
		t.Fatalf("%d places, %d by the grid, %v", len(m.Places), len(places), err)
	}
	tried := 0
	for k, p := range places {
		tried += p.Tried
		if p.OnMargin != m.Places[k].OnMargin || p.OnMargin < m.Places[m.On].OnMargin || p.OffMargin < m.Places[m.Off].OffMargin {
			t.Errorf("place %d: margins %g and %g, the study's least %g and %g", k, p.OnMargin, p.OffMargin, m.Places[m.On].OnMargin, m.Places[m.Off].OffMargin)
		}
	}
	for _, h := range m.Groups.Hold {
		if h < m.GroupHold {
			t.Errorf("a group holds %g, the least told is %g", h, m.GroupHold)
		}
	}
	if tried != m.Tried || m.Pitch.Most <= m.Pitch.Floor || m.Groups.Tried == 0 {
		t.Errorf("%d patterns, %d told; pitch %+v, groups %+v", tried, m.Tried, m.Pitch, m.Groups)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	if _, err := SearchMargins(stopped, g, hold.Search{}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// One pixel held: its rise over the air per watt, its resistance by the linear law of
// copper (0.00393/K of IEC 60028), L/R and field at what it settles at.
func TestSettle(t *testing.T) {
	p := newPlayer(t, small(t, "iron.model=none", "drive.frequency=2 MHz"))
	g := p.Grid()
	s, err := Settle(t.Context(), p, p.Single(1))
	if err != nil {
		t.Fatal(err)
	}
	warm := 1 + 0.00393*(s.Coil-293.15)
	near(t, "resistance over that at 20 °C", s.Warmer, warm, 1e-9)
	near(t, "resistance", s.Resistance, g.Pixel.Coil.Resistance(293.15)*warm, 1e-9)
	near(t, "current", s.Current, 0.16*12/(s.Resistance+0.6), 1e-3)
	near(t, "heat", s.Copper, s.Current*s.Current*s.Resistance, 0.01)
	near(t, "rise", s.Rise, (s.Coil-g.Design.Heat.Ambient)/s.Copper, 1e-9)
	near(t, "time constant", s.TimeConstant.Value, g.Pixel.Coil.Inductance()/(s.Resistance+0.6), 1e-9)
	near(t, "field", s.Field, g.Pixel.Axis(g.Design.Fluid.Height)[0].Coil/g.Pixel.FullCurrent*s.Current, 1e-6)
	if s.Runaway != nil || !(s.Coil > g.Design.Heat.Ambient+5) || !(s.Power > s.Copper) {
		t.Errorf("%+v", s)
	}
	hot := newPlayer(t, small(t, "iron.model=none", "supply.voltage=60 V", "drive.max_duty=100 %"))
	if s, err := Settle(t.Context(), hot, hot.Uniform(1)); err != nil || s.Runaway == nil {
		t.Errorf("60 V on every pixel: %+v, %v", s, err)
	}
	kick := newPlayer(t, small(t, "iron.model=none", "drive.mode=kick", "drive.hold_duty=0 %"))
	if s, err := Settle(t.Context(), kick, kick.Single(1)); err != nil || s.Copper != 0 || s.Rise != 0 {
		t.Errorf("a kick without hold: %+v, %v", s, err)
	}
}

// The pull of a mode goes with the square of the current: that of a scan of three rows,
// each on for a third of the time, is a third of the direct one's.
func TestModePull(t *testing.T) {
	g, err := grid.New(t.Context(), small(t, "iron.model=none", "drive.frequency=200 kHz", "drive.scan_time=30 ms"), 4)
	if err != nil {
		t.Fatal(err)
	}
	s := pictures(0.3, [3]string{"#...", "....", "...#"})
	modes, err := CompareModes(t.Context(), g, s.Frames[0])
	if err != nil {
		t.Fatal(err)
	}
	near(t, "direct", modes[0].Pull, 1, 1e-12)
	near(t, "scan", modes[2].Pull, 1./3, 0.02)
}
