package handover

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
)

// One board written as direct, stagger, kick that holds with its kick's duty, and scan of
// one row gives one answer to all that asks what a level means, whether the fluid follows
// the ripple or not; but that staggered pixels' ripples do not add up.
func TestOneBoardInEveryMode(t *testing.T) {
	var first []float64
	for k, mode := range []string{"direct", "stagger", "kick", "scan", "direct", "stagger", "kick", "scan"} {
		following := "15 us"
		if k >= 4 {
			following = "1 h"
		}
		if k == 4 {
			first = nil
		}
		g := trial.Build(t, grid.New, 8, "grid.rows=1", "grid.cols=4", "drive.mode="+mode, "drive.max_duty=30 %", "drive.hold_duty=30 %", "fluid.relaxation="+following)
		lone := hold.LoneHold(g)
		m, err := hold.Margins(t.Context(), g, hold.Search{Seed: 1}, [][2]int{{0, 1}})
		if err != nil {
			t.Fatal(err)
		}
		p, err := One(t.Context(), g, 1, 2, Switch)
		if err != nil {
			t.Fatal(err)
		}
		got := []float64{g.Pixel.FullCurrent, hold.PullOf(g).Whole.Value, lone, m[0].FalseOn, m[0].FalseOff, p.Ratio, p.Barrier}
		if first == nil {
			first = got
		}
		for k, v := range got {
			// Neighbours' ripples oppose a lit pixel's where they keep step with it.
			if apart := following != "1 h" && mode == "stagger" && k == 4; apart && !(v > 1.01*first[k]) {
				t.Errorf("staggered a pixel holds %g beside its neighbours, in step %g", v, first[k])
			} else if !apart && math.Abs(v-first[k]) > 1e-9*math.Abs(first[k])+1e-15 {
				t.Errorf("%s, %s: figure %d is %g, direct %g", mode, following, k, v, first[k])
			}
		}
	}
}

// Kicks are told against what is held: the same hardware kicked by hand in direct mode at
// a fifth of the duty is five times as strong, and in mode kick too.
func TestKickAgainstHold(t *testing.T) {
	direct := trial.Build(t, grid.New, 4, "drive.max_duty=20 %", "drive.frequency=1 kHz")
	kick := trial.Build(t, grid.New, 4, "drive.mode=kick", "drive.max_duty=100 %", "drive.hold_duty=20 %", "drive.kick_time=100 ms", "drive.frequency=1 kHz")
	a, forEver := KickLevel(direct)
	b, seconds := KickLevel(kick)
	if trial.Off(a, 5) > 0.02 || trial.Off(b, 5) > 0.02 || !math.IsInf(forEver, 1) || seconds != 0.1 {
		t.Errorf("kicks of %g for %g s and %g for %g s the held current, want 5", a, forEver, b, seconds)
	}
	if trial.Off(direct.Pixel.FullCurrent, kick.Pixel.FullCurrent) > 1e-9 {
		t.Errorf("held with %g A and %g A", direct.Pixel.FullCurrent, kick.Pixel.FullCurrent)
	}
	scan := trial.Build(t, grid.New, 4, "drive.mode=scan")
	// Level 1 of planned moves is the kick.
	if level, seconds := KickLevel(direct.With(trial.With(t, direct.Design, "scene.hold_level=0.3"))); level != 1 || !math.IsInf(seconds, 1) {
		t.Errorf("planned moves are kicked with %g of full level for %g s", level, seconds)
	}
	if level, _ := KickLevel(scan); level != 1 {
		t.Errorf("a scanned row is kicked %g times", level)
	}
}

// Of eight rows each has an eighth of the time: a lone pixel's pressure, and so its hold
// against its weight, is an eighth of that of the same current without a break.
func TestScannedHoldIsTheMeanOverTurns(t *testing.T) {
	size := []string{"grid.rows=8", "grid.cols=4", "drive.frequency=2 kHz", "drive.scan_time=80 ms"}
	direct := trial.Build(t, grid.New, 8, append(size, "drive.mode=direct")...)
	scan := trial.Build(t, grid.New, 8, append(size, "drive.mode=scan")...)
	a := hold.LoneHold(direct)
	b := hold.LoneHold(scan)
	if trial.Off(a/b, 8) > 0.01 {
		t.Errorf("held %g times direct, %g times scanned: a ratio of %g, want 8", a, b, a/b)
	}
	// The drop's force midway, by the hand-over's landscape, is the same eighth.
	force := func(g *grid.Grid) float64 {
		m := newMover(g)
		k := g.Design.Pixel(4, 1)
		c := g.Design.PixelCenter(4, 1)
		half := g.Design.Grid.Pitch / 2
		l := m.landscape(m.view(patchAround(c.X, c.Y, half+3*m.step, half+3*m.step, m.step), [2]float64{}), m.current(k, g.At(1)))
		_, _, fy := l.at(c.X, c.Y-2e-3)
		return fy + m.weight
	}
	if a, b := force(direct), force(scan); trial.Off(a/b, 8) > 0.01 {
		t.Errorf("forces of %g N and %g N: a ratio of %g, want 8", a, b, a/b)
	}
	// The margins' search counts a neighbour's turn apart from the pixel's own.
	m, err := hold.Margins(t.Context(), scan, hold.Search{Seed: 1}, [][2]int{{4, 1}})
	if err != nil {
		t.Fatal(err)
	}
	plane, states := grid.NewPlane(scan.Raster), make([]grid.State, scan.Design.Pixels())
	currents := scan.NewCurrents()
	for i, v := range m[0].OffLevels {
		currents.Set(i, scan.At(v))
		states[i] = scan.StateOf(v)
	}
	scan.FieldInto(plane, currents)
	if ratio, _ := hold.New(scan).RatioAt(4, 1, plane, states); trial.Off(ratio, m[0].FalseOff) > 1e-6 {
		t.Errorf("the pattern found holds %g, the search says %g", ratio, m[0].FalseOff)
	}
}

// A level of a kick is a share of its duty and of the hold's, in the mean and in the ripple: a drive of
// those duties at full level.
func TestKickAtALevel(t *testing.T) {
	for _, bridge := range []string{"low-side", "h-bridge"} {
		set := []string{"drive.mode=kick", "drive.bridge=" + bridge, "drive.frequency=100 kHz", "drive.kick_time=10 ms"}
		g := trial.Build(t, grid.New, 4, append(set, "drive.max_duty=40 %", "drive.hold_duty=20 %")...)
		half := trial.Build(t, grid.New, 4, append(set, "drive.max_duty=20 %", "drive.hold_duty=10 %")...)
		got, seconds := kick(g, 0.5)
		want, _ := kick(half, 1)
		if trial.Off(got.Mean, want.Mean) > 1e-9 || trial.Off(got.Along, want.Along) > 1e-9 || seconds != 10e-3 {
			t.Errorf("%s: %+v for %g s at half level, %+v at half the duties", bridge, got, seconds, want)
		}
		if bridge == "h-bridge" {
			if back, _ := kick(g, -0.5); back.Mean != -got.Mean || back.Along != got.Along {
				t.Errorf("reversed: %+v", back)
			}
		}
	}
}
