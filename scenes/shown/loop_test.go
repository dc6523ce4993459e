package shown

import (
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// quick is a player of a grid, and its drops by the drop model.
func quick(t *testing.T, g *grid.Grid) (*player.Player, *player.Droplets) {
	t.Helper()
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	f, err := player.NewDroplets(g, 0)
	if err != nil {
		t.Fatal(err)
	}
	return p, f
}

// followed is a scene of just switched pixels, followed once by the drop model.
func followed(t *testing.T, g *grid.Grid, s scenes.Scene) (*player.Player, *Recorder) {
	t.Helper()
	p, f := quick(t, g)
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
		if share, _ := seen.Share(); (seen.Time > 0) == c.back || share == 1 != c.back || len(seen.Judged()) == 0 {
			t.Errorf("%v: judged by the second time %t, %g shown of %d frames; want back again %t", c.way, seen.Time > 0, share, len(seen.Judged()), c.back)
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
		if (seen.Time > 0) == c.back {
			share, _ := seen.Share()
			t.Errorf("%v: judged by the second time %t, %g shown; want back again %t", c.way, seen.Time > 0, share, c.back)
		}
	}
}

// scripted is fluid that stands, the nth time a scene is played, on the pixels of a list.
type scripted struct {
	times  [][]int
	length float64 // s, of the scene
	at     float64
}

func (s *scripted) FillFor(scenes.Scene) (float64, error) { return 0, nil }

func (s *scripted) Step(dt float64, _ *grid.Plane) error {
	s.at += dt
	return nil
}

func (s *scripted) Cover(place, cell []float64) {
	n := min(int((s.at-1e-6)/s.length), len(s.times)-1)
	for v := range place {
		place[v] = 0
		if slices.Contains(s.times[n], v) {
			place[v] = 1
		}
	}
	copy(cell, place)
}

// A loop is played until it goes on as the time before did, and judged by the first time that shows too
// little, though the second does not; after so many times without either it says so.
func TestLoopsArePlayedOn(t *testing.T) {
	g := gridOf(t, trial.Lit(), design.Change{Key: "grid.cols", Value: "4"}, design.Change{Key: "grid.rows", Value: "2"}, design.Change{Key: "limits.stray", Value: "100 %"})
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	all := func(more ...int) []int { return append([]int{0, 1, 2, 3}, more...) }
	for _, c := range []struct {
		name         string
		times        [][]int
		time, played int
		closes       bool
	}{
		{"closes at once", [][]int{all()}, 0, 2, true},
		{"another drop from the second time on", [][]int{all(), all(5)}, 0, 3, true},
		{"the third shows nothing", [][]int{all(), all(5), {}}, 3, 0, false},
		{"another drop each time", [][]int{all(), all(4), all(5), all(6), all(7)}, 0, Plays, false},
	} {
		s := scenes.New("pair", 2, 4, 2, 1)
		s.Frames[0].Levels[0], s.Frames[1].Levels[3] = 1, 1
		r, err := follow(t.Context(), p, s, s, Drops, &scripted{times: c.times, length: s.Duration()}, func(*Recorder) bool { return true })
		if err != nil {
			t.Fatal(err)
		}
		seen, err := r.Looped(t.Context(), p, s)
		if err != nil || seen.Time != c.time || seen.Played != c.played || seen.Closes != c.closes {
			t.Errorf("%s: judged is time %d, played %d times, closes %t (%v); want %+v", c.name, seen.Time, seen.Played, seen.Closes, err, c)
		}
	}
}
