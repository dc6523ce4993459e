package render

import (
	"image/color"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Every overlay draws the played frame: pictures of a lit and of a dark frame differ
// inside the tank, and the palette holds the colours that are drawn.
func TestViewsShowWhatIsPlayed(t *testing.T) {
	d := design.Demo()
	d.Grid.Rows, d.Grid.Cols = 2, 3
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	lit, dark := make([]float64, 6), make([]float64, 6)
	lit[1] = 1
	for _, overlay := range Overlays() {
		v, err := NewView(g, overlay, 240)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(v.Palette()); n < 2 || n > 255 {
			t.Errorf("%s: a palette of %d colours", overlay, n)
		}
		var corner [2]color.RGBA
		for k, levels := range [][]float64{lit, dark} {
			p, err := player.New(g)
			if err != nil {
				t.Fatal(err)
			}
			b, err := player.NewTank(g, 0, 0)
			if err != nil {
				t.Fatal(err)
			}
			s := scenes.Scene{Name: "s", Rows: 2, Cols: 3, Frames: []scenes.Frame{{Levels: levels, Duration: 20}}}
			if _, err := b.FillFor(s); err != nil {
				t.Fatal(err)
			}
			e, err := p.Show(t.Context(), s.Frames[0])
			if err != nil {
				t.Fatal(err)
			}
			img, err := v.Draw(p, b, e, 20)
			if err != nil {
				t.Fatal(err)
			}
			// The place of pixel 1: middle column, upper row.
			r := g.Raster
			y := (float64(r.Margin) + 0.5) * float64(v.Tank().Dy()) / float64(2*r.Margin+2)
			corner[k] = img.RGBAAt(v.Tank().Dx()/2, int(y))
		}
		if corner[0] == corner[1] {
			t.Errorf("%s: a lit and a dark pixel are both %v", overlay, corner[0])
		}
	}
	if _, err := NewView(g, "sound", 240); err == nil || !strings.Contains(err.Error(), "hold") {
		t.Errorf("unknown overlay: %v", err)
	}
}
