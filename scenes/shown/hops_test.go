package shown

import (
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/scenes"
)

// walk is a scene of pixels at a level, each lit alone after the other.
func walk(g *grid.Grid, level float64, way ...int) scenes.Scene {
	s := scenes.New("walk", g.Design.Grid.Rows, g.Design.Grid.Cols, len(way), 4)
	for i, at := range way {
		s.Frames[i].Levels[at] = level
	}
	return s
}

// hopsOf are the hops of a walk over the pixels of a grid, frame by frame, each pixel lit alone, at a level.
func hopsOf(t *testing.T, g *grid.Grid, level float64, way ...int) *Record {
	t.Helper()
	s := walk(g, level, way...)
	for i := range s.Frames {
		s.Frames[i].Duration = 1000 // none comes too late
	}
	r := &Record{Sights: []Sight{{Wanted: 1, Shown: 1}}}
	if err := r.Hops(t.Context(), g, s); err != nil {
		t.Fatal(err)
	}
	return r
}

// A drop too heavy to be lifted sideways or up follows downwards alone: each such hop that the scene
// asks for, its loop's included, breaks what was enough.
func TestHopsThatFail(t *testing.T) {
	size := []design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}}
	of := func(density string, more ...design.Change) *grid.Grid {
		return gridOf(t, trial.Lit(), append(append(append([]design.Change{}, size...), more...), design.Change{Key: "fluid.density_difference", Value: density})...)
	}
	light, heavy := of("0.5 kg/m3", displays[3].changes...), of("60 kg/m3", displays[3].changes...)
	ring := []int{0, 1, 5, 4} // right, down, left, up again
	if r := hopsOf(t, light, 1, ring...); r.Asked != 4 || len(r.Failing) != 0 || !r.Keeps(0.9, 1) {
		t.Errorf("a light drop: %d hops asked, failing %+v", r.Asked, r.Failing)
	}
	r := hopsOf(t, heavy, 1, ring...)
	if r.Asked != 4 || len(r.Failing) != 3 || r.Keeps(0.9, 1) || !r.Keeps(0, 1) {
		t.Fatalf("a heavy drop: %d hops asked, failing %+v, want 3 of 4", r.Asked, r.Failing)
	}
	for i, want := range []Hop{{0, 4, 0, handover.Lost}, {1, 0, 1, handover.Lost}, {3, 5, 4, handover.Lost}} {
		if got := r.Failing[i]; got != want {
			t.Errorf("failing %+v, want %+v", got, want)
		}
	}
	if r := hopsOf(t, heavy, 1, 0, 3); r.Asked != 0 || !r.Keeps(0.9, 1) {
		t.Errorf("no neighbours: %d hops asked, failing %+v", r.Asked, r.Failing)
	}
	// Half the current pulls a quarter: what four times the weight does to a drop at full level.
	one, four := of("1 kg/m3", displays[3].changes...), of("4 kg/m3", displays[3].changes...)
	if r := hopsOf(t, one, 1, ring...); len(r.Failing) != 0 {
		t.Errorf("at full level failing %+v", r.Failing)
	}
	dim, weighed := hopsOf(t, one, 0.5, ring...), hopsOf(t, four, 1, ring...)
	if len(dim.Failing) != 1 || !slices.Equal(dim.Failing, weighed.Failing) {
		t.Errorf("at half level failing %+v, of four times the weight %+v", dim.Failing, weighed.Failing)
	}
}

// A drop that hangs low beneath a pixel which was dimmed before it goes dark is not fetched.
func TestHopsFromDimmedPixels(t *testing.T) {
	g := gridOf(t, trial.Lit(), append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "fluid.density_difference", Value: "16 kg/m3"}}, displays[3].changes...)...)
	for level, failing := range map[float64]int{1: 0, 0.5: 2} {
		s := walk(g, 1, 0, 0, 1, 1)
		s.Frames[1].Levels[0], s.Frames[3].Levels[1] = level, level
		r := &Record{}
		if err := r.Hops(t.Context(), g, s); err != nil || r.Asked != 2 || len(r.Failing) != failing {
			t.Errorf("dimmed to %g: %d hops asked, failing %+v, %v; want 2 and %d", level, r.Asked, r.Failing, err, failing)
		}
	}
	// Between two pixels that light one after the other all may be dark: the drop falls so long. In a quarter
	// of an hour it is anywhere, and what lights a pixel that keeps its own, weakly, asks for no hop.
	for dark, want := range map[float64][2]int{0.1: {2, 0}, 1.5: {2, 2}, 900: {0, 0}} {
		s := walk(g, 1, 0, 0, 1, 1)
		s.Frames[1].Levels[0], s.Frames[3].Levels[1] = 0, 0
		s.Frames[1].Duration, s.Frames[3].Duration = dark, dark
		r := &Record{}
		if err := r.Hops(t.Context(), g, s); err != nil || [2]int{r.Asked, len(r.Failing)} != want {
			t.Errorf("dark for %g s: %d hops asked, failing %+v, %v; want %v", dark, r.Asked, r.Failing, err, want)
		}
	}
	// A moment of less than full level does not lift it again, which alone would not let it hang too low.
	light := gridOf(t, trial.Lit(), append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "fluid.density_difference", Value: "8 kg/m3"}}, displays[3].changes...)...)
	for dark, failing := range map[float64]int{0.01: 0, 4: 2} {
		late := walk(light, 1, 0, 0, 0, 1, 1, 1)
		for i, level := range []float64{1, 0, 0.4, 1, 0, 0.4} {
			late.Frames[i].Levels[i/3] = level
			late.Frames[i].Duration = 1000
			switch level {
			case 0:
				late.Frames[i].Duration = dark
			case 0.4:
				late.Frames[i].Duration = 0.1
			}
		}
		if r := (&Record{}); r.Hops(t.Context(), light, late) != nil || r.Asked != 2 || len(r.Failing) != failing {
			t.Errorf("dark for %g s, then weakly lit: %d hops asked, failing %+v; want %d", dark, r.Asked, r.Failing, failing)
		}
	}
	own := walk(g, 1, 0, 0, 0)
	own.Frames[1].Levels[0] = 0.3
	if r := (&Record{}); r.Hops(t.Context(), g, own) != nil || r.Asked != 0 {
		t.Errorf("a pixel that keeps its own asks for %d hops", r.Asked)
	}
}

// A hop must be made while its pixel is lit, which may be more than a frame; one that is as far as a
// corner takes longer.
func TestHopsInTime(t *testing.T) {
	g := gridOf(t, trial.Lit(), append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "fluid.density_difference", Value: "0.5 kg/m3"}}, displays[3].changes...)...)
	ways := handover.NewWays(g, handover.Kick)
	for _, to := range []int{5, 6} { // beside pixel 1, and at its corner
		p, err := ways.Pass(t.Context(), 1, to, handover.Left{Level: 1}, 1)
		if err != nil || !p.Taken && p.End != handover.Undecided { // of which it is known for how long it was on its way
			t.Fatalf("pixel %d: %+v, %v: nothing is tried", to, p, err)
		}
		for scale, late := range map[float64]bool{0.99: true, 1.01: false} {
			for _, parts := range []float64{1, 2} {
				s := scenes.New("hop", 2, 4, 1+int(parts), scale*p.Time/parts)
				s.Frames[0].Levels[1], s.Frames[0].Duration = 1, 1000
				for _, f := range s.Frames[1:] {
					f.Levels[to] = 1
				}
				r := &Record{}
				if err := r.Hops(t.Context(), g, s); err != nil {
					t.Fatal(err)
				}
				found := slices.Contains(r.Failing, Hop{1, 1, to, Late})
				if r.Asked != 2 || found != late {
					t.Errorf("pixel %d, %g of its time in %g frames: %d asked, failing %+v", to, scale, parts, r.Asked, r.Failing)
				}
			}
		}
	}
}

// A drop that the drop model lifts, and a stiff one pulled less is not, keeps no limit.
func TestKeptAsksForHops(t *testing.T) {
	for density, want := range map[string]bool{"0.5 kg/m3": true, "12 kg/m3": false} {
		g := gridOf(t, trial.Lit(), append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "fluid.density_difference", Value: density}}, displays[3].changes...)...)
		s := walk(g, 1, 0, 1, 5, 4)
		p, r := followed(t, g, s)
		if share, _ := r.Record().Share(); share < 1 {
			t.Fatalf("%s: the drop model shows %g: nothing is tried", density, share)
		}
		if kept, err := Kept(t.Context(), p, s, s, 0); err != nil || kept != want {
			t.Errorf("%s: kept %t, %v, want %t", density, kept, err, want)
		}
	}
}
