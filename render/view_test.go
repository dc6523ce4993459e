package render

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Every overlay draws the played frame: pictures of a lit and of a dark frame differ
// inside the tank, and the palette holds the colours that are drawn.
func TestViewsShowWhatIsPlayed(t *testing.T) {
	d := trial.Lit()
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
			s := scenes.Scene{Name: "s", Rows: 2, Cols: 3, Frames: []scenes.Frame{{Levels: levels, Duration: 20}}}
			p, b, e := filled(t, g, s)
			img := v.Draw(p, b, e, 20)
			r := g.Raster
			if is := map[string]float64{"hold": p.Holds()[1], "current": p.Pixels()[1].Average}; overlay == "hold" || overlay == "current" {
				if v.values[1] != is[overlay] {
					t.Errorf("%s: pixel 1 is drawn as %g, is %g", overlay, v.values[1], is[overlay])
				}
			}
			if err != nil {
				t.Fatal(err)
			}
			// No pixel's value is drawn where there is none, a margin of one beside and above.
			if c := img.RGBAAt(v.Tank().Dx()/2, 2); (c == SlateColor) != (overlay != "fluid" && overlay != "field") {
				t.Errorf("%s: beyond the grid the picture is %v", overlay, c)
			}
			// The place of pixel 1: middle column, upper row.
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

// A drop of four cells' radius is round at any zoom: along every ray its drawn edge is within a
// twentieth of a cell of one circle, smaller than the drop by what Rounded says.
func TestDropIsDrawnRound(t *testing.T) {
	const cells, r, fine = 16, 4.0, 20
	for _, off := range []float64{0, 0.37} {
		share := make([]float64, cells*cells)
		for k := range share {
			for p := range fine * fine {
				x := float64(k%cells) + (float64(p%fine)+0.5)/fine - cells/2 - off
				y := float64(k/cells) + (float64(p/fine)+0.5)/fine - cells/2 - off/2
				if math.Hypot(x, y) < r {
					share[k] += 1.0 / (fine * fine)
				}
			}
		}
		for _, zoom := range []int{10, 60} {
			img := image.NewRGBA(image.Rect(0, 0, cells*zoom, cells*zoom))
			(Tank{Rows: cells, Cols: cells, Width: 1}).Draw(img, img.Rect, share)
			least, most := math.Inf(1), 0.0
			for ray := range 90 {
				sin, cos := math.Sincos(2 * math.Pi * float64(ray) / 90)
				edge := 0.0
				for at := 2.0; at < 6; at += 0.2 / float64(zoom) {
					x, y := (cells/2+off+at*cos)*float64(zoom), (cells/2+off/2+at*sin)*float64(zoom)
					if c := img.RGBAAt(int(x), int(y)); int(c.R) < (int(PaneColor.R)+int(FluidColor.R))/2 {
						edge = at
					}
				}
				least, most = min(least, edge), max(most, edge)
			}
			want, pixel := r-0.4/r, 1/float64(zoom)
			if least < want-0.05-pixel || most > want+0.05+pixel {
				t.Errorf("off by %g, %d times: radius %.3f to %.3f, want %.3f", off, zoom, least, most, want)
			}
		}
	}
}

// The colours of a map span what is played, the legend has them and says their ends, and the
// fluid's edge is drawn over the map.
func TestMapsAreFittedAndExplained(t *testing.T) {
	g := smallDemo(t)
	s := pattern(t, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0)
	for _, overlay := range []string{"field", "temperature"} {
		p, b, e := filled(t, g, s)
		v, err := NewView(g, overlay, 480)
		if err != nil {
			t.Fatal(err)
		}
		v.Fit(p)
		want := 0.0
		for _, b := range p.Plane().Abs {
			want = max(want, b*1e3)
		}
		if overlay == "temperature" {
			want = slices.Max(p.Coils()) - field.ZeroCelsius
		}
		if v.high != want || overlay == "field" && v.low != 0 || !(v.low < v.high) {
			t.Errorf("%s: from %g to %g, the greatest is %g", overlay, v.low, v.high, want)
		}
		img := v.Draw(p, b, e, 0.1)
		colours := map[color.RGBA]bool{}
		for x := v.legend.Min.X; x < v.legend.Max.X; x++ {
			colours[img.RGBAAt(x, (v.legend.Min.Y+v.legend.Max.Y)/2)] = true
		}
		if n := len(colours); n < 40 {
			t.Errorf("%s: the legend has %d colours", overlay, n)
		}
		// What is darker and colder does not narrow them.
		if _, err := p.Show(t.Context(), scenes.Frame{Levels: make([]float64, 12), Duration: 20}); err != nil {
			t.Fatal(err)
		}
		if v.Fit(p); v.high != want {
			t.Errorf("%s: up to %g after a dark frame, %g before", overlay, v.high, want)
		}
		// Along the row of the drop, from its middle to the right: the edge is once all but white.
		y, edges := v.tank.Dy()/2, 0
		at := v.tank.Dx()/2 - v.tank.Dx()/12 // column 2 of 4, with a margin of one
		for x := at; x < at+v.tank.Dx()/12; x++ {
			if c := img.RGBAAt(x, y); c.R > 225 && c.G > 225 && c.B > 225 {
				edges++
			}
		}
		if edges < 1 || edges > 4 {
			t.Errorf("%s: %d elements of the fluid's edge beside the drop", overlay, edges)
		}
	}
}

// filled is a display that shows a scene's first frame, and its tank filled for the scene.
func filled(t *testing.T, g *grid.Grid, s scenes.Scene) (*player.Player, *player.Tank, player.Entry) {
	t.Helper()
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	b, err := player.NewTank(g, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.FillFor(s); err != nil {
		t.Fatal(err)
	}
	e, err := p.Show(t.Context(), s.Frames[0])
	if err != nil {
		t.Fatal(err)
	}
	return p, b, e
}
