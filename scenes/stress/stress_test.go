package stress

import (
	"math"
	"math/rand/v2"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

func onGrid(t *testing.T, rows, cols int, bridge design.Bridge) *grid.Grid {
	t.Helper()
	d := trial.Lit()
	d.Grid.Rows, d.Grid.Cols, d.Drive.Bridge = rows, cols, bridge
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// No more pixels are on than the firmware lights, and those that are are the nearest.
func TestCrosstalkKeepsMostLit(t *testing.T) {
	g := onGrid(t, 4, 5, design.BridgeFull)
	all, err := Crosstalk(g, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	d := g.Design
	d.Drive.MostLit = 4
	few := g.With(d)
	s, err := Crosstalk(few, 0.5)
	if err != nil || len(s.Frames) != len(all.Frames) {
		t.Fatalf("%d frames, want %d (%v)", len(s.Frames), len(all.Frames), err)
	}
	w := g.WorstAnywhere()
	for i, f := range s.Frames {
		lit, on, off := 0, 0.0, math.Inf(1) // farthest that is on, nearest that went dark
		for k, level := range f.Levels {
			away := math.Hypot(float64(k/5-w.Row), float64(k%5-w.Col))
			switch {
			case level != 0:
				lit++
				on = max(on, away)
			case all.Frames[i].Levels[k] != 0:
				off = min(off, away)
			}
		}
		if lit != 4 || on > off {
			t.Errorf("frame %d: %d pixels on, up to %g pitches off, dark from %g", i, lit, on, off)
		}
	}
}

// Coils in series light together in every frame, and no more of them than the firmware lights.
func TestCrosstalkOfStrings(t *testing.T) {
	for _, bridge := range []design.Bridge{design.BridgeFull, design.BridgeLowSide} {
		for _, most := range []int{24, 7} {
			g := onGrid(t, 4, 6, bridge)
			d := g.Design
			d.Drive.InSeries, d.Drive.MostLit = 3, most
			g = g.With(d)
			s, err := Crosstalk(g, 0.5)
			if err != nil || len(s.Frames) != 3 {
				t.Fatalf("%d frames, want 3 (%v)", len(s.Frames), err)
			}
			w := g.WorstAnywhere()
			for i, f := range s.Frames {
				lit := 0
				for k, v := range f.Levels {
					if first, _ := d.String(k); v != f.Levels[first] {
						t.Errorf("frame %d: pixel %d has another level than its string", i, k)
					}
					if v != 0 {
						lit++
					}
				}
				if own := f.Levels[w.Row*6+w.Col]; lit == 0 || lit > most || (own != 0) != (i > 0) {
					t.Errorf("frame %d: %d pixels lit of %d, the disturbed one at %g", i, lit, most, own)
				}
			}
		}
	}
}

// No pattern of the others puts more field onto the pixel than the scene's first
// frame: compared with random ones by the sum of the pixels' own fields.
func TestCrosstalkIsWorst(t *testing.T) {
	for _, bridge := range []design.Bridge{design.BridgeFull, design.BridgeLowSide} {
		g := onGrid(t, 4, 5, bridge)
		s, err := Crosstalk(g, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Frames) != 3 {
			t.Fatalf("%s: %d frames", bridge, len(s.Frames))
		}
		w := g.WorstAnywhere()
		victim := w.Row*5 + w.Col
		foreign := func(levels []float64) float64 {
			var b float64
			for k, v := range levels {
				if k != victim {
					b += v * g.Kernel.At(float64(victim%5-k%5)*g.Design.Grid.Pitch, float64(k/5-victim/5)*g.Design.Grid.Pitch).Z
				}
			}
			return math.Abs(b)
		}
		worst := foreign(s.Frames[0].Levels)
		if math.Abs(worst-math.Abs(w.Bz)) > 1e-9*worst {
			t.Errorf("%s: the frame's field is %g T/A, the pattern's %g", bridge, worst, w.Bz)
		}
		rng := rand.New(rand.NewPCG(1, 2))
		for range 2000 {
			levels := make([]float64, 20)
			for k := range levels {
				levels[k] = rng.Float64()
				if bridge == design.BridgeFull {
					levels[k] = 2*levels[k] - 1
				}
			}
			if b := foreign(levels); b > worst*(1+1e-12) {
				t.Fatalf("%s: a random pattern gives %g T/A, the worst %g", bridge, b, worst)
			}
		}
		for i, own := range []float64{0, 1, 1} {
			if got := s.Frames[i].Levels[victim]; got != own {
				t.Errorf("%s: frame %d drives the pixel with %g, want %g", bridge, i, got, own)
			}
		}
		for _, f := range s.Frames {
			for _, v := range f.Levels {
				if bridge == design.BridgeLowSide && v < 0 {
					t.Fatal("a level that the low-side switch cannot drive")
				}
			}
		}
	}
}

func TestCrosstalkOfOnePixel(t *testing.T) {
	s, err := Crosstalk(onGrid(t, 1, 1, design.BridgeFull), 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range s.Frames {
		if f.Levels[0] != 1 {
			t.Errorf("frame %v", f)
		}
	}
	if _, err := Crosstalk(onGrid(t, 1, 2, design.BridgeFull), 0); err == nil {
		t.Error("frames of no length were accepted")
	}
}
