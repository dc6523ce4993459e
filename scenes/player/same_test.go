package player

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// Frames of the same levels keep field and rails while no coil's resistance moves by a
// ten-thousandth, and are heated through together: played in short frames a scene tells
// what it tells in long ones, and what every frame worked out anew tells.
func TestShortFrames(t *testing.T) {
	p, long := tideOn(t, "4", design.Change{Key: "scene.duration", Value: "4 s"})
	short := scenes.Scene{Name: long.Name, Rows: long.Rows, Cols: long.Cols}
	for _, f := range long.Frames {
		for range 100 {
			short.Frames = append(short.Frames, scenes.Frame{Levels: f.Levels, Duration: f.Duration / 100})
		}
	}
	board, touch, err := p.LoopPeaks(t.Context(), long)
	if err != nil {
		t.Fatal(err)
	}
	b, s, err := p.LoopPeaks(t.Context(), short)
	if err != nil || math.Abs(b-board) > 0.02 || math.Abs(s-touch) > 0.02 {
		t.Errorf("peaks %g and %g K in short frames, %g and %g in long ones: %v", b, s, board, touch, err)
	}
	kept := 0
	each := func(forget bool) []Entry {
		p.Reset()
		var list []Entry
		for _, f := range short.Frames[:400] {
			if forget {
				p.seen.valid = false
			}
			p.measure()
			if p.stands(f.Levels, rails) {
				kept++
			}
			e, err := p.Step(t.Context(), f)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, e)
		}
		return list
	}
	anew, kin := each(true), each(false)
	if kept < 200 {
		t.Errorf("of 400 frames only %d kept what was seen", kept)
	}
	for i, e := range anew {
		k := kin[i]
		for what, x := range map[string][2]float64{"peak": {k.SupplyPeakPower, e.SupplyPeakPower}, "hold": {k.LeastHold, e.LeastHold}, "power": {k.SupplyPower, e.SupplyPower}, "hottest": {k.Hottest, e.Hottest}} {
			if x[0] != x[1] && math.Abs(x[0]-x[1]) > 1e-3*math.Abs(x[1]) {
				t.Errorf("frame %d: %s %g, worked out anew %g", i, what, x[0], x[1])
			}
		}
	}
}

// The mean heat of a scene is the same whether each picture is one frame or many alike.
func TestMeanOfFramesAlike(t *testing.T) {
	for _, mode := range []string{"direct", "stagger", "scan"} {
		p := newPlayer(t, small(t, "drive.mode="+mode))
		whole := pictures(0.3, marching...)
		parts := whole
		parts.Frames = nil
		for _, f := range whole.Frames {
			f.Duration /= 3
			parts.Frames = append(parts.Frames, f, f, f)
		}
		var got [2][]float64
		for k, s := range []scenes.Scene{whole, parts} {
			p.Reset()
			if _, err := p.Mean(t.Context(), s); err != nil {
				t.Fatal(err)
			}
			got[k] = slices.Clone(p.Coils())
		}
		for i, a := range got[0] {
			if b := got[1][i]; math.Abs(a-b) > 1e-3 {
				t.Errorf("%s: coil %d is at %g K with whole frames, %g K with parts of them", mode, i, a, b)
			}
		}
	}
}

// An error of one of many short frames names the frame it is in.
func TestErrorNamesTheFrame(t *testing.T) {
	p := newPlayer(t, small(t, "drive.bridge=low-side"))
	s := pictures(0.01, marching[0], marching[0], marching[0], marching[1])
	s.Frames[3].Levels[0] = -1
	for name, err := range map[string]error{"mean": func() error { _, err := p.Mean(t.Context(), s); return err }(), "heat": p.heatThrough(t.Context(), s.Frames, nil)} {
		if err == nil || !strings.Contains(err.Error(), "frame 4") {
			t.Errorf("%s: error %v, want it to say frame 4", name, err)
		}
	}
}

// Frames alike that are played in one step leave the ledger that they leave one by one, in
// every mode, kicks in the middle of them too.
func TestPlayOfFramesAlike(t *testing.T) {
	for _, mode := range []string{"direct", "stagger", "scan", "kick"} {
		within := 3e-3
		if mode == "scan" {
			within = 0.01 // a frame begins with the first row's turn, however short it is
		}
		p := newPlayer(t, small(t, "drive.mode="+mode))
		s := pictures(0.3, marching...)
		var short []scenes.Frame
		for _, f := range s.Frames {
			f.Duration /= 60
			short = append(short, slices.Repeat([]scenes.Frame{f}, 60)...)
		}
		s.Frames = short
		together, err := p.Play(t.Context(), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		p.Reset()
		steps := 0
		for _, f := range s.Frames {
			if _, err := p.Step(t.Context(), f); err != nil {
				t.Fatal(err)
			}
			steps++
		}
		single := p.ledger
		if len(together.Entries) != steps {
			t.Fatalf("%s: %d entries of %d frames", mode, len(together.Entries), steps)
		}
		for i, b := range single.Entries {
			a := together.Entries[i]
			if a.Frame != b.Frame || math.Abs(a.Start-b.Start) > 1e-9 || a.Duration != b.Duration || a.Lit != b.Lit {
				t.Fatalf("%s: entry %d is frame %d at %g s for %g s, one by one frame %d at %g s for %g s", mode, i, a.Frame, a.Start, a.Duration, b.Frame, b.Start, b.Duration)
			}
			for what, x := range map[string][2]float64{
				"power": {a.SupplyPower, b.SupplyPower}, "peak": {a.SupplyPeakPower, b.SupplyPeakPower}, "heat": {a.CoilHeat, b.CoilHeat},
				"hold": {a.LeastHold, b.LeastHold}, "dark": {a.GreatestFalseOn, b.GreatestFalseOn}, "kick": {a.KickCurrent, b.KickCurrent},
			} {
				if x[0] != x[1] && math.Abs(x[0]-x[1]) > within*math.Abs(x[1]) {
					t.Errorf("%s, frame %d: %s %g, one by one %g", mode, i, what, x[0], x[1])
				}
			}
			if math.Abs(a.Hottest-b.Hottest) > 0.2 || math.Abs(a.Touch-b.Touch) > 0.2 {
				t.Errorf("%s, frame %d: %g and %g K, one by one %g and %g K", mode, i, a.Hottest, a.Touch, b.Hottest, b.Touch)
			}
		}
		for i, peak := range single.PixelPeak {
			if got := together.PixelPeak[i]; math.Abs(got-peak) > 0.02 || math.Abs(together.PixelEnergy[i]-single.PixelEnergy[i]) > within*single.PixelEnergy[i] || math.Abs(together.PixelMean[i]-single.PixelMean[i]) > 0.1 {
				t.Errorf("%s: coil %d: peak %g K, %g J, mean %g K, one by one %g K, %g J, %g K", mode, i, got, together.PixelEnergy[i], together.PixelMean[i], peak, single.PixelEnergy[i], single.PixelMean[i])
			}
		}
	}
}

// A player made With a change shares nothing that is written to: whatever is done with it between
// two frames of the first, the first shows the same, to the bit.
func TestWithIsIndependent(t *testing.T) {
	p := newPlayer(t, small(t))
	q, err := p.With(func(d *design.Design) { d.Drive.MaxDuty, d.Heat.Ambient = d.Drive.MaxDuty/2, d.Heat.Ambient+10 })
	if err != nil {
		t.Fatal(err)
	}
	g := p.grid.Design.Grid
	s := scenes.New("two halves", g.Rows, g.Cols, 4, 0.2)
	for k, f := range s.Frames {
		for i := range f.Levels {
			f.Levels[i] = float64((i + k) % 2)
		}
	}
	shown := func(x *Player, between func()) (text []byte) {
		x.Reset()
		for _, f := range s.Frames {
			e, err := x.Show(t.Context(), f)
			if err != nil {
				t.Fatal(err)
			}
			text = fmt.Appendf(text, "%x %x %x\n", e, x.Holds(), x.Plane().Pi)
			between()
		}
		return text
	}
	alone := shown(p, func() {})
	beside := shown(p, func() {
		if _, err := q.Play(t.Context(), s, nil); err != nil {
			t.Fatal(err)
		}
		if _, err := q.Warm(t.Context(), s); err != nil {
			t.Fatal(err)
		}
		q.Reset()
	})
	if !bytes.Equal(alone, beside) {
		t.Error("what another plays between its frames changes what a player shows")
	}
	if bytes.Equal(alone, shown(q, func() {})) {
		t.Error("half the duty shows the same")
	}
}
