package studies

import (
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
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

// newPlayer is of coils alone, as figures by hand are; TestTracksAreCounted has the rest.
func newPlayer(t *testing.T, d design.Design) *player.Player {
	t.Helper()
	return ledPlayer(t, d, func(int) float64 { return 1 })
}

// ledPlayer is of pixels whose leads and tracks raise their coils' resistances by a factor.
func ledPlayer(t *testing.T, d design.Design, led func(pixel int) float64) *player.Player {
	t.Helper()
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	drawn, err := g.Drawn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for i := range drawn.Led {
		drawn.Led[i] = led(i)
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func restOf(t *testing.T, p *player.Player) *cold {
	t.Helper()
	c, err := newCold(p.Grid())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s is %.12g, want %.12g within %g of it", what, got, want, relative)
	}
}
