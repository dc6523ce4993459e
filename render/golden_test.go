package render

import (
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Stored pictures are written anew by go test ./render -regen; look at them before
// they are kept.
var regen = flag.Bool("regen", false, "write the stored pictures anew")

const goldenFolder = "../testdata/render"

// checkGolden compares a picture with the stored one. Lettering and rounding may differ
// a little between machines: one in five hundred elements may be off by more than
// 24 of 255, and the mean by 0.5.
func checkGolden(t *testing.T, name string, img *image.RGBA) {
	t.Helper()
	path := filepath.Join(goldenFolder, name+"_golden.png")
	if *regen {
		if err := os.MkdirAll(goldenFolder, 0o755); err != nil {
			t.Fatal(err)
		}
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(f, img); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		return
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if want.Bounds() != img.Bounds() {
		t.Fatalf("%s: size %v, stored %v", name, img.Bounds(), want.Bounds())
	}
	far, sum := 0, 0.0
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			a, b := img.RGBAAt(x, y), color.RGBAModel.Convert(want.At(x, y)).(color.RGBA)
			d := max(apart(a.R, b.R), apart(a.G, b.G), apart(a.B, b.B), apart(a.A, b.A))
			sum += float64(d)
			if d > 24 {
				far++
			}
		}
	}
	n := img.Rect.Dx() * img.Rect.Dy()
	if far > n/500 || sum > 0.5*float64(n) {
		t.Errorf("%s: %d of %d elements are off by more than 24, on average by %.2f; see go test ./render -regen", name, far, n, sum/float64(n))
	}
}

func apart(a, b uint8) int {
	if a > b {
		return int(a - b)
	}
	return int(b - a)
}

// smallDemo is the demo on 4 × 3 pixels without steel, so that the pictures do not
// change with the finite elements' mesh.
func smallDemo(t *testing.T) *grid.Grid {
	t.Helper()
	return gridOf(t, design.Change{Key: "grid.cols", Value: "4"}, design.Change{Key: "grid.rows", Value: "3"},
		design.Change{Key: "iron.model", Value: "none"}, design.Change{Key: "supply.voltage", Value: "24 V"})
}

func pattern(t *testing.T, levels ...float64) scenes.Scene {
	t.Helper()
	return scenes.Scene{Name: "pattern", Rows: 3, Cols: 4, Frames: []scenes.Frame{{Levels: levels, Duration: 0.1}}}
}

func TestGoldenMaps(t *testing.T) {
	wave := Map{Title: "A wave", Unit: "mT", Rows: 12, Cols: 20, Width: 0.1, Colors: Strength,
		Marks: []Mark{{X: 0.025, Y: 0.01, Radius: 0.008, Color: color.RGBA{255, 90, 60, 255}}}}
	for i := range wave.Rows {
		for j := range wave.Cols {
			wave.Values = append(wave.Values, 3+2*math.Sin(float64(j)/3)*math.Cos(float64(i)/4))
		}
	}
	wave.Values[5] = math.NaN()
	img, err := wave.Draw(320)
	if err != nil {
		t.Fatal(err)
	}
	checkGolden(t, "map_wave", img)

	g := smallDemo(t)
	coils := make([]float64, 12)
	for i := range coils {
		coils[i] = 300 + 3*float64(i)
	}
	if img, err = TemperatureMap(g.Design, coils).Draw(300); err != nil {
		t.Fatal(err)
	}
	checkGolden(t, "map_temperature", img)

	m := WorstPatternMap(g)
	if img, err = m.Draw(320); err != nil {
		t.Fatal(err)
	}
	checkGolden(t, "map_worst_pattern", img)
}

func TestGoldenViews(t *testing.T) {
	g := smallDemo(t)
	s := pattern(t, 0, 1, 0, 0, 0, 1, 1, 0, 1, 0, 0, 1)
	for _, overlay := range []string{"fluid", "field"} {
		p, b, e := filled(t, g, s)
		v, err := NewView(g, overlay, 240)
		if err != nil {
			t.Fatal(err)
		}
		for range 5 {
			if err := b.Step(0.1, p.Plane()); err != nil {
				t.Fatal(err)
			}
		}
		img := v.Draw(p, b, e, 0.5)
		checkGolden(t, "view_"+overlay, img)
	}
}

// A stored picture that is not the drawn one is told.
func TestGoldenCanFail(t *testing.T) {
	if *regen {
		t.Skip("the stored pictures are being written")
	}
	img, err := Map{Title: "A wave", Unit: "mT", Rows: 1, Cols: 1, Width: 0.1, Colors: Strength, Values: []float64{1}}.Draw(320)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(filepath.Join(goldenFolder, "map_wave_golden.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	stored, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if c := color.RGBAModel.Convert(stored.At(60, 60)).(color.RGBA); stored.Bounds() == img.Bounds() || c == img.RGBAAt(60, 60) {
		t.Error("two unlike pictures look alike")
	}
}

// The tank is painted pane where there is no fluid and dark where there is, upright.
func TestTankDraws(t *testing.T) {
	b := Tank{Rows: 4, Cols: 6, Width: 0.06}
	img := image.NewRGBA(image.Rect(0, 0, 60, 40))
	share := make([]float64, 24)
	share[1*6+4], share[1*6+5], share[2*6+4], share[2*6+5] = 1, 1, 1, 1
	b.Draw(img, img.Rect, share)
	if img.RGBAAt(5, 35) != PaneColor {
		t.Errorf("the dry pane is %v, want %v", img.RGBAAt(5, 35), PaneColor)
	}
	if c := img.RGBAAt(54, 16); c.R > 140 {
		t.Errorf("the fluid at the right is %v", c)
	}
	defer func() {
		if recover() == nil {
			t.Error("a share too few was taken")
		}
	}()
	b.Draw(img, img.Rect, share[:23])
}

func TestMapRefuses(t *testing.T) {
	ok := Map{Rows: 2, Cols: 2, Values: []float64{1, 2, 3, 4}, Width: 1, Colors: Warmth}
	for _, c := range []struct {
		name  string
		spoil func(m *Map) int
	}{
		{"no rows", func(m *Map) int { m.Rows = 0; return 300 }},
		{"a value short", func(m *Map) int { m.Values = m.Values[:3]; return 300 }},
		{"no width", func(m *Map) int { m.Width = 0; return 300 }},
		{"width NaN", func(m *Map) int { m.Width = math.NaN(); return 300 }},
		{"narrow", func(*Map) int { return 199 }},
		{"wide", func(*Map) int { return 8001 }},
	} {
		m := ok
		if _, err := m.Draw(c.spoil(&m)); err == nil {
			t.Errorf("%s was drawn", c.name)
		}
	}
	if _, err := ok.Draw(200); err != nil {
		t.Error(err)
	}
}

// The colour bar spans the values that are numbers; equal values still have a span.
func TestMapScale(t *testing.T) {
	for _, c := range []struct {
		values    []float64
		low, high float64
	}{
		{[]float64{1, 4, 2, 3}, 1, 4},
		{[]float64{1, math.NaN(), math.Inf(1), 3}, 1, 3},
		{[]float64{-2, -2, -2, -2}, -2, -2},
		{[]float64{math.NaN(), math.NaN(), math.NaN(), math.NaN()}, 0, 0},
	} {
		low, high := Map{Rows: 2, Cols: 2, Values: c.values}.scale()
		if low != c.low || !(high > low) || high-c.high > 0.01 {
			t.Errorf("%v spans %g to %g, want %g to %g", c.values, low, high, c.low, c.high)
		}
	}
}

// A grid of one column does not ask for a picture of gigabytes.
func TestTallMapIsBounded(t *testing.T) {
	m := Map{Rows: 512 * 12, Cols: 12, Values: make([]float64, 512*12*12), Width: 12e-3, Colors: Warmth}
	img, err := m.Draw(960)
	if err != nil {
		t.Fatal(err)
	}
	if h := img.Rect.Dy(); h > 9000 {
		t.Errorf("%d elements high", h)
	}
}

// Rows and columns are numbered, the coils' figures written where they fit, and those over the
// board's limit ringed.
func TestTemperatureMapTells(t *testing.T) {
	d := smallDemo(t).Design
	coils := make([]float64, d.Pixels())
	for k := range coils {
		coils[k] = 310
	}
	coils[5] = d.Limits.Board + 1
	m := TemperatureMap(d, coils)
	if n := m.columns(); len(n) != d.Grid.Cols || n[0].text != "1" || math.Abs(n[0].at-0.5/float64(d.Grid.Cols)) > 1e-12 {
		t.Errorf("columns %v", n)
	}
	if n := m.rows(); len(n) != d.Grid.Rows || math.Abs(n[d.Grid.Rows-1].at-1+0.5/float64(d.Grid.Rows)) > 1e-12 {
		t.Errorf("rows %v", n)
	}
	if at := d.PixelCenter(1, 1); len(m.Marks) != 1 || m.Marks[0].X != at.X || m.Marks[0].Y != at.Y || len(m.Keys) != 1 {
		t.Errorf("marked: %v, keys %v", m.Marks, m.Keys)
	}
	plain := m
	plain.Texts = nil
	for _, c := range []struct {
		width int
		same  bool
	}{{400, false}, {200, true}} {
		a, err := m.Draw(c.width)
		if err != nil {
			t.Fatal(err)
		}
		b, err := plain.Draw(c.width)
		if err != nil {
			t.Fatal(err)
		}
		if same := string(a.Pix) == string(b.Pix); same != c.same {
			t.Errorf("%d wide: the picture is the same without figures: %v", c.width, same)
		}
	}
}

// An arrow's head is where it goes to, y up.
func TestArrowsPointUp(t *testing.T) {
	m := Map{Rows: 1, Cols: 1, Width: 1, Arrows: []Arrow{{Y: -0.3, DY: 0.6, Color: ink}}}
	img := image.NewRGBA(image.Rect(0, 0, 100, 100))
	m.paint(img, img.Rect, 0, 1)
	var inked [4]int // by quarters of the height, from the top
	for k := range 100 * 100 {
		if img.RGBAAt(k%100, k/100).R < 128 {
			inked[k/2500]++
		}
	}
	if inked[0] == 0 || inked[1] <= inked[2] || inked[3] == 0 {
		t.Errorf("inked from the top: %v", inked)
	}
}

// A smooth map goes through its samples and is as straight between them as they are.
func TestSmoothMap(t *testing.T) {
	m := Map{Rows: 6, Cols: 7, Values: make([]float64, 42)}
	at := func(v, u float64) float64 { return 3*v - 2*u + 0.5*v*u }
	for k := range m.Values {
		m.Values[k] = at(float64(k/7), float64(k%7))
	}
	for _, p := range [][2]float64{{2, 3}, {1.25, 2.5}, {3.5, 4.75}} {
		if got := m.smooth(p[0], p[1]); math.Abs(got-at(p[0], p[1])) > 1e-12 {
			t.Errorf("at %v: %g, want %g", p, got, at(p[0], p[1]))
		}
	}
	// A parabola, too, which straight lines between samples are not: they would give 6.5.
	for k := range m.Values {
		m.Values[k] = float64(k%7) * float64(k%7)
	}
	if got := m.smooth(2, 2.5); math.Abs(got-6.25) > 1e-12 {
		t.Errorf("a parabola at 2.5: %g, want 6.25", got)
	}
}
