package shown

import (
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// followed is a scene of just switched pixels, followed once by the drop model.
func followed(t *testing.T, g *grid.Grid, s scenes.Scene) (*player.Player, *Recorder) {
	t.Helper()
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	f, err := player.NewDroplets(g, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := follow(t.Context(), p, s, s, Drops, f, func(*Recorder) bool { return true })
	if err != nil {
		t.Fatal(err)
	}
	return p, r
}

// A pixel that walks along a row and begins anew at its beginning has no drop there the second
// time; one that walks there and back has.
func TestLoopedScenes(t *testing.T) {
	g := gridOf(t, trial.Lit(), append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}}, displays[3].changes...)...)
	for _, c := range []struct {
		way  []int
		back bool
	}{{[]int{0, 1, 2, 3}, false}, {[]int{0, 1, 2, 3, 2, 1}, true}, {[]int{0, 0}, true}} {
		s := scenes.New("walk", 2, 4, len(c.way), 4)
		for i, at := range c.way {
			s.Frames[i].Levels[4+at] = 1
		}
		p, r := followed(t, g, s)
		first := r.Record()
		if share, _ := first.Share(); share < 1 {
			t.Fatalf("%v: the first time shows %g: nothing is tried", c.way, share)
		}
		twin, err := p.Twin()
		if err != nil {
			t.Fatal(err)
		}
		seen, err := r.Looped(t.Context(), twin, s)
		if err != nil {
			t.Fatal(err)
		}
		if share, _ := seen.Share(); seen.Looped == c.back || share == 1 != c.back || len(seen.Judged()) == 0 {
			t.Errorf("%v: judged by the second time %t, %g shown of %d frames; want back again %t", c.way, seen.Looped, share, len(seen.Judged()), c.back)
		}
		if c.back {
			continue
		}
		if len(seen.Sights) != len(c.way) || len(seen.Judged()) != len(c.way) || seen.Start() != 0 {
			t.Errorf("%v: %d frames seen, %d judged, %g of the first picture; want all and none", c.way, len(seen.Sights), len(seen.Judged()), seen.Start())
		}
		for l := range p.Coils() {
			if p.Coils()[l] == g.Design.Heat.Ambient {
				t.Fatalf("coil %d has not warmed: nothing is tried of the twin", l)
			}
		}
	}
}

// A first picture that is dark, or the same as ever, closes no loop by itself: what lies at dark pixels
// counts too.
func TestLoopsThatBeginDark(t *testing.T) {
	changes := append([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "heat.orientation", Value: "face-up"}, {Key: "fluid.start", Value: "1,1"}}, displays[3].changes...)
	g := gridOf(t, trial.Lit(), changes...)
	for _, c := range []struct {
		way  []int // after the dark frame
		back bool
	}{{[]int{0, 1, 2, 3}, false}, {[]int{0, 1, 2, 1, 0}, true}} {
		s := scenes.New("walk", 2, 4, len(c.way)+1, 4)
		for i, at := range c.way {
			s.Frames[i+1].Levels[at] = 1
		}
		p, r := followed(t, g, s)
		if share, _ := r.Record().Share(); share < 1 {
			t.Fatalf("%v: the first time shows %g: nothing is tried", c.way, share)
		}
		seen, err := r.Looped(t.Context(), p, s)
		if err != nil {
			t.Fatal(err)
		}
		if seen.Looped == c.back {
			share, _ := seen.Share()
			t.Errorf("%v: judged by the second time %t, %g shown; want back again %t", c.way, seen.Looped, share, c.back)
		}
	}
}
