package scope

import (
	"image"
	"image/color"
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/render"
)

// near tells whether two colours differ by no more than a step of rounding or two.
func near(a, b color.RGBA) bool {
	d := func(x, y uint8) int { return abs(int(x) - int(y)) }
	return d(a.R, b.R) <= 4 && d(a.G, b.G) <= 4 && d(a.B, b.B) <= 4
}

// The tank's picture is dark where the tank is full and pane where it is empty.
func TestFluidPicture(t *testing.T) {
	c := newScope(t, 8, 6)
	ticks(t, c, 40)
	p := NewPicture(&c.View, 400)
	p.Draw(&c.View)
	rows, cols := c.tank.Cells()
	fraction := c.tank.Fraction()
	dark, bright := 0, 0
	for y := range p.Image.Rect.Dy() {
		for x := range p.Image.Rect.Dx() {
			i, j := y*rows/p.Image.Rect.Dy(), x*cols/p.Image.Rect.Dx()
			low, high := 1.0, 0.0
			for a := max(i-3, 0); a <= min(i+3, rows-1); a++ {
				for b := max(j-2, 0); b <= min(j+2, cols-1); b++ {
					f := fraction[a*cols+b]
					low, high = min(low, f), max(high, f)
				}
			}
			got := p.Image.RGBAAt(x, y)
			switch {
			case low > 0.99:
				dark++
				if !near(got, render.FluidColor) {
					t.Fatalf("(%d, %d) lies in the fluid and is %v", x, y, got)
				}
			case high < 0.01:
				bright++
				if !near(got, render.PaneColor) && got.R < render.RingColor.R-4 {
					t.Fatalf("(%d, %d) lies outside the fluid and is %v", x, y, got)
				}
			}
			if got.A != 255 {
				t.Fatalf("(%d, %d) is transparent", x, y)
			}
		}
	}
	if dark < 1000 || bright < 10000 {
		t.Errorf("%d picture elements lie deep in the fluid, %d well outside", dark, bright)
	}
}

// Overlays show their values in the legend's colours.
func TestOverlayColors(t *testing.T) {
	c := newScope(t, 8, 6)
	c.Toggle()
	c.Paint(0, 7, 1)
	c.Paint(16, 19, -1)
	tick(t, c)
	p := NewPicture(&c.View, 480)
	for _, o := range Overlays() {
		c.SetOverlay(o)
		p.Draw(&c.View)
		l, ok := c.Legend()
		if ok == (o == Fluid) {
			t.Errorf("%v: a legend: %v", o, ok)
			continue
		}
		if !ok {
			continue
		}
		if !(l.High > l.Low) || l.Title == "" || len(l.Ticks()) < 3 || len(l.Ticks()) > 12 {
			t.Errorf("%v: legend %q from %g to %g with %d numbers", o, l.Title, l.Low, l.High, len(l.Ticks()))
		}
		if !o.PerPixel() {
			continue
		}
		for i, v := range c.Values(nil) {
			x, y, side := p.Cell(i)
			// The lower right quarter, away from marks; in the fluid's outline it may differ.
			at := p.Image.RGBAAt(int(x+0.7*side), int(y+0.8*side))
			if want := l.Colors.At((v - l.Low) / (l.High - l.Low)); !near(at, want) && !c.edgeNear(i) {
				t.Errorf("%v: pixel %d of value %g is %v, the legend says %v", o, i, v, at, want)
			}
			if v > l.High*(1+1e-9) && o != Hold {
				t.Errorf("%v: value %g is beyond the legend's %g", o, v, l.High)
			}
		}
	}
	// Field strength between the samples is interpolated; on a sample it is exact.
	c.SetOverlay(Strength)
	p.Draw(&c.View)
	l, _ := c.Legend()
	r := c.grid.Raster
	wrong := 0
	for _, k := range []struct{ i, j int }{{12, 12}, {20, 40}, {12, 30}, {5, 5}, {30, 60}} {
		x := (float64(k.j) + 0.5) * float64(p.Image.Rect.Dx()) / float64(r.Cols)
		y := (float64(k.i) + 0.5) * float64(p.Image.Rect.Dy()) / float64(r.Rows)
		want := l.Colors.At(1e3 * c.player.Plane().Abs[k.i*r.Cols+k.j] / l.High)
		got := p.Image.RGBAAt(int(x), int(y))
		if d := abs(int(got.R)-int(want.R)) + abs(int(got.G)-int(want.G)) + abs(int(got.B)-int(want.B)); d > 40 {
			wrong++
			t.Logf("sample %v is %v, the legend says %v", k, got, want)
		}
	}
	if wrong > 1 { // the fluid's edge may cross one
		t.Errorf("%d of 5 samples of the field do not have the legend's colour", wrong)
	}
}

// edgeNear tells whether the fluid's edge crosses a pixel.
func (c *Scope) edgeNear(pixel int) bool {
	r := c.grid.Raster
	rows, cols := c.tank.Cells()
	i0, j0 := r.Cell(pixel/c.grid.Design.Grid.Cols, pixel%c.grid.Design.Grid.Cols)
	low, high := 1.0, 0.0
	for i := i0 * rows / r.Rows; i < (i0+r.Samples)*rows/r.Rows; i++ {
		for j := j0 * cols / r.Cols; j < (j0+r.Samples)*cols/r.Cols; j++ {
			f := c.tank.Fraction()[i*cols+j]
			low, high = min(low, f), max(high, f)
		}
	}
	return high > 0.02 && low < 0.98
}

func TestFaultMarks(t *testing.T) {
	c := newScope(t, 8, 6, design.Change{Key: "limits.hold", Value: "999"}, design.Change{Key: "limits.false_on", Value: "0.0001"})
	c.Toggle()
	for i := range c.levels {
		c.Paint(i, i, 0)
	}
	c.Paint(20, 20, 1)
	tick(t, c)
	if m := c.Meters(); m.Failing != 1 || m.Lit != 1 {
		t.Fatalf("%d of %d lit pixels fail, want 1 of 1", m.Failing, m.Lit)
	}
	c.SetOverlay(Hold)
	p := NewPicture(&c.View, 480)
	p.Draw(&c.View)
	red := func(pixel int) int {
		n := 0
		for y := range p.Image.Rect.Dy() {
			for x := range p.Image.Rect.Dx() {
				if (image.Point{X: x, Y: y}).In(p.place.cell(pixel)) && near(p.Image.RGBAAt(x, y), failColor) {
					n++
				}
			}
		}
		return n
	}
	if n := red(20); n < 10 {
		t.Errorf("the lit pixel that fails has %d red picture elements", n)
	}
	if n := red(0); n > 0 && len(c.entry.FalseOn) == 0 {
		t.Errorf("a pixel without a fault has %d red picture elements", n)
	}
	for _, i := range c.entry.FalseOn {
		if n := red(i); n < 8 {
			t.Errorf("the dark pixel %d that keeps a drop has %d red picture elements", i, n)
		}
	}
}

// Colours keep their meaning: a legend's range never shrinks while a scene plays.
func TestLegendOnlyGrows(t *testing.T) {
	c := newScope(t, 8, 6)
	p := NewPicture(&c.View, 200)
	for _, o := range []Overlay{Strength, Temperature, Crosstalk} {
		c.SetOverlay(o)
		last := 0.0
		for range 20 {
			ticks(t, c, 3)
			p.Draw(&c.View)
			l, _ := c.Legend()
			if l.High < last {
				t.Fatalf("%v: the range fell from %g to %g", o, last, l.High)
			}
			last = l.High
		}
	}
}

func TestParseOverlay(t *testing.T) {
	for _, o := range Overlays() {
		if got, err := ParseOverlay(o.String()); err != nil || got != o {
			t.Errorf("%q is read as %v, %v", o.String(), got, err)
		}
		if o.Label() == "" || o.About() == "" {
			t.Errorf("%v has no label or no sentence", o)
		}
	}
	if o, err := ParseOverlay(""); err != nil || o != Fluid {
		t.Errorf("no name is read as %v, %v", o, err)
	}
	if _, err := ParseOverlay("colour"); err == nil {
		t.Error("an unknown overlay is accepted")
	}
}

func TestPixelUnderPointer(t *testing.T) {
	c := newScope(t, 8, 6)
	p := NewPicture(&c.View, 480)
	w, h := float64(p.Image.Rect.Dx()), float64(p.Image.Rect.Dy())
	for i := range 48 {
		x, y := p.place.middle(i)
		if got := c.Pixel(x/w, y/h); got != i {
			t.Errorf("over the middle of pixel %d the pointer finds %d", i, got)
		}
	}
	for _, at := range [][2]float64{{0.01, 0.5}, {0.5, 0.99}, {-1, 0}, {0.5, 2}} {
		if got := c.Pixel(at[0], at[1]); got != -1 {
			t.Errorf("beside the grid, at %v, the pointer finds pixel %d", at, got)
		}
	}
}

// A frame's own work allocates nothing once the window stands.
func TestFrameDoesNotAllocate(t *testing.T) {
	c := newScope(t, 8, 6)
	verdictOf(t, c)       // nothing runs beside it
	c.past = newPast(1e9) // but what is kept of it, once in a quarter of a second
	p := NewPicture(&c.View, 400)
	strip := image.NewRGBA(image.Rect(0, 0, 200, 80))
	line := image.NewRGBA(image.Rect(0, 0, 300, 28))
	for _, o := range Overlays() {
		c.SetOverlay(o)
		work := func() {
			tick(t, c)
			p.Draw(&c.View)
			c.DrawStrip(strip, PowerStrip, Light, 1)
			c.DrawTimeline(line, Dark, 1)
		}
		for range 8 {
			work()
		}
		if n := testing.AllocsPerRun(16, work); n > 0 {
			t.Errorf("%v: a frame allocates %g times", o, n)
		}
	}
}

func TestStrip(t *testing.T) {
	c := newScope(t, 6, 4, design.Change{Key: "supply.power", Value: "3 W"})
	ticks(t, c, 120)
	img := image.NewRGBA(image.Rect(0, 0, 240, 80))
	c.DrawStrip(img, PowerStrip, Light, 1)
	low, high, limit := c.Span(PowerStrip)
	if low != 0 || !(high > c.Meters().Power) || math.IsNaN(limit) != (high < 2.4) {
		t.Errorf("the axis runs from %g to %g W with the limit %g W", low, high, limit)
	}
	// The newest point stands at the right edge at its height.
	power, _ := c.history.At(c.history.Len() - 1)
	y := int((1 - power/high) * 80)
	found := false
	for d := -3; d <= 3; d++ {
		found = found || img.RGBAAt(238, min(max(y+d, 0), 79)).R < 128 // between paper and accent
	}
	if !found {
		t.Errorf("no curve at %g W, about row %d of the last column", power, y)
	}
	if c.history.Len() != 8 {
		t.Errorf("two seconds made %d points", c.history.Len())
	}
	// Six seconds in the past there is nothing yet.
	for y := range 80 {
		if near(img.RGBAAt(190, y), Light.Accent) {
			t.Errorf("the curve reaches back to before the start, at row %d", y)
		}
	}
	low, high, _ = c.Span(HeatStrip)
	if ambient := c.Meters().Ambient - field.ZeroCelsius; low > ambient || high < c.Meters().HottestEver-field.ZeroCelsius {
		t.Errorf("the heat's axis runs from %g to %g °C, ambient is %g", low, high, ambient)
	}
}

func TestTimeline(t *testing.T) {
	c := newScope(t, 6, 4)
	c.Seek(c.Length() / 2)
	img := image.NewRGBA(image.Rect(0, 0, 300, 30))
	c.DrawTimeline(img, Light, 1)
	if got := img.RGBAAt(149, 2); got != Light.Ink {
		t.Errorf("no marker in the middle: %v", got)
	}
	if l, r := img.RGBAAt(20, 29), img.RGBAAt(280, 29); l != Light.Accent || r != Light.Faint {
		t.Errorf("what was played is %v, what is to come %v", l, r)
	}
}

func TestCeil(t *testing.T) {
	for v, want := range map[float64]float64{0: 1, -1: 1, 0.8: 0.8, 0.81: 1, 1: 1, 1.2: 2, 7: 8, 8.5: 10, 120: 200, 3e-3: 3e-3} {
		if got := ceil(v); math.Abs(got-want) > 1e-12*want {
			t.Errorf("ceil(%g) = %g, want %g", v, got, want)
		}
	}
}

// Rings stand round the lit pixels, and only there.
func TestOutline(t *testing.T) {
	c := newScope(t, 4, 3)
	c.playing = false
	for i := range c.levels {
		c.Paint(i, i, float64(i%2))
	}
	tick(t, c)
	p := NewPicture(&c.View, 400)
	blue := func(pixel int) (n int) {
		x, y, side := p.Cell(pixel)
		for i := int(y); i < int(y+side); i++ {
			for j := int(x); j < int(x+side); j++ {
				if p.Image.RGBAAt(j, i) == wantedColor {
					n++
				}
			}
		}
		return n
	}
	for _, on := range []bool{false, true} {
		c.SetOutline(on)
		p.Draw(&c.View)
		for i, l := range c.levels {
			if n := blue(i); (n > 20) != (on && l == 1) {
				t.Errorf("outlines %v, pixel %d at level %g: %d picture elements of a ring", on, i, l, n)
			}
		}
	}
}
