package scope

import (
	"image"
	"image/color"
	"math"

	"lodegrid/field"
)

// Theme is the colours of charts, time line and controls: letters stand out by 4.5 to 1, what
// tells a control from the paper by 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11).
type Theme struct {
	Paper, Ink, Faint, Grid, Rim, Accent, Leaf, Warning color.RGBA
}

// Button is the body of a button, at rest, under the pointer and pressed or chosen.
func (t Theme) Button() (rest, hover, on color.RGBA) {
	return mix(t.Paper, t.Ink, 0.06), mix(t.Paper, t.Ink, 0.16), mix(t.Paper, t.Accent, 0.35)
}

// mix is a colour a part of the way from one to another.
func mix(a, b color.RGBA, part float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x)*(1-part) + float64(y)*part + 0.5) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}

// Readable is black or white, whichever is easier to read on a colour: 4.5 to 1 at least.
func Readable(on color.RGBA) color.RGBA {
	if luminance(on) > 0.179 { // where both are alike
		return blackColor
	}
	return whiteColor
}

// luminance is the relative luminance of a colour, 0…1 (WCAG 2.1).
func luminance(c color.RGBA) float64 {
	linear := func(v uint8) float64 {
		if s := float64(v) / 255; s > 0.04045 {
			return math.Pow((s+0.055)/1.055, 2.4)
		} else {
			return s / 12.92
		}
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// Light and Dark are the window's two looks.
var (
	Light = Theme{
		Paper: color.RGBA{250, 249, 246, 255}, Ink: color.RGBA{28, 32, 38, 255}, Faint: color.RGBA{92, 97, 105, 255},
		Grid: color.RGBA{218, 217, 212, 255}, Rim: color.RGBA{134, 136, 138, 255}, Accent: color.RGBA{16, 92, 128, 255}, Leaf: color.RGBA{62, 122, 30, 255}, Warning: color.RGBA{176, 40, 24, 255},
	}
	Dark = Theme{
		Paper: color.RGBA{26, 28, 33, 255}, Ink: color.RGBA{236, 235, 230, 255}, Faint: color.RGBA{164, 168, 174, 255},
		Grid: color.RGBA{62, 66, 74, 255}, Rim: color.RGBA{118, 124, 134, 255}, Accent: color.RGBA{112, 196, 224, 255}, Leaf: color.RGBA{160, 208, 96, 255}, Warning: color.RGBA{255, 128, 104, 255},
	}
)

// Strip is one of the two strip charts.
type Strip int

// The strip charts: supply power in watts, hottest coil in °C.
const (
	PowerStrip Strip = iota
	HeatStrip
)

// Span is the range of a strip chart's axis, in watts or °C, and the limit that is
// drawn across it, NaN when there is none in the range.
func (c *View) Span(s Strip) (low, high, limit float64) {
	h := &c.history
	d := c.grid.Design
	top, limit := 0.0, supplyLimit(d)
	if s == HeatStrip {
		low = fives(d.Heat.Ambient - field.ZeroCelsius)
		top, limit = low+5, d.Limits.Board-field.ZeroCelsius
	}
	for i := range h.Len() {
		p, t := h.At(i)
		if s == HeatStrip {
			low = min(low, fives(t-field.ZeroCelsius))
			p = t - field.ZeroCelsius
		}
		top = max(top, p)
	}
	high = low + ceil(max((top-low)*1.08, 1))
	if limit <= 0 || limit > high || limit < low {
		limit = math.NaN()
	}
	return low, high, limit
}

// fives is the multiple of five that is not above a temperature, °C.
func fives(celsius float64) float64 { return math.Floor(celsius/5) * 5 }

// axes are those of a chart of the last minute over the whole of an image: the newest point
// at the right edge.
type axes struct {
	img       *image.RGBA
	low, high float64
	scale     float64
}

func (a axes) y(v float64) float64 {
	return (1-(v-a.low)/(a.high-a.low))*float64(a.img.Rect.Dy()-3) + 1.5
}

// draw draws the grid, and a limit across it where there is one.
func (a axes) draw(limit float64, t Theme) {
	fill(a.img, a.img.Rect, t.Paper)
	w, h := a.img.Rect.Dx(), a.img.Rect.Dy()
	for k := range 5 {
		at := float64(k) / 4
		fill(a.img, image.Rect(0, int(at*float64(h-1)), w, int(at*float64(h-1))+1), t.Grid)
	}
	for k := range 7 {
		at := int(float64(k) / 6 * float64(w-1))
		fill(a.img, image.Rect(at, 0, at+1, h), t.Grid)
	}
	if !math.IsNaN(limit) {
		for x := 0; x < w; x += int(10 * a.scale) {
			stroke(a.img, float64(x), a.y(limit), float64(x)+6*a.scale, a.y(limit), 1.4*a.scale, t.Warning)
		}
	}
}

// curve draws the newest n points.
func (a axes) curve(n int, at func(i int) float64, c color.RGBA) {
	var px, py float64
	for i := range n {
		x, y := float64(a.img.Rect.Dx()-1)*(1-float64(n-1-i)/float64(historyLen-1)), a.y(at(i))
		if i > 0 {
			stroke(a.img, px, py, x, y, 1.6*a.scale, c)
		}
		px, py = x, y
	}
}

// DrawStrip draws a strip chart of the last minute over the whole of an image. It does not
// allocate.
func (c *View) DrawStrip(img *image.RGBA, s Strip, t Theme, scale float64) {
	low, high, limit := c.Span(s)
	a := axes{img, low, high, scale}
	a.draw(limit, t)
	a.curve(c.history.Len(), func(i int) float64 {
		p, k := c.history.At(i)
		if s == HeatStrip {
			return k - field.ZeroCelsius
		}
		return p
	}, t.Accent)
}

// DrawTimeline draws the scene's time line over the whole of an image: how much of
// the grid is lit over time, against the fullest frame, what has been played, and
// the present place.
func (c *View) DrawTimeline(img *image.RGBA, t Theme, scale float64) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	fill(img, img.Rect, t.Grid)
	at := c.Clock() / c.Length()
	most := 0.0
	for _, v := range c.lit {
		most = max(most, v)
	}
	f := 0
	for x := range w {
		now := (float64(x) + 0.5) / float64(w) * c.Length()
		for f+1 < len(c.scene.Frames) && now >= c.starts[f+1] {
			f++
		}
		up := int(0.85*float64(h)*c.lit[f]/max(most, 1e-9) + 0.5)
		color := t.Faint
		if float64(x) < at*float64(w) {
			color = t.Accent
		}
		fill(img, image.Rect(x, h-max(up, 1), x+1, h), color)
	}
	// What can be gone back to at once.
	for _, k := range c.kept {
		x := int(k / c.Length() * float64(w-1))
		fill(img, image.Rect(x, 0, x+max(int(2*scale), 1), max(int(3*scale), 1)), t.Accent)
	}
	x := int(at * float64(w-1))
	half := max(int(1.5*scale), 1)
	fill(img, image.Rect(x-half, 0, x+half, h), t.Ink)
}

// DrawBar draws a legend's colours over the whole of an image, the highest at the
// top.
func (l Legend) DrawBar(img *image.RGBA) {
	h := img.Rect.Dy()
	for y := range h {
		fill(img, image.Rect(0, y, img.Rect.Dx(), y+1), l.Colors.At(1-(float64(y)+0.5)/float64(h)))
	}
}

// Ticks are the numbers beside a legend's bar.
func (l Legend) Ticks() []Tick {
	var list []Tick
	span := l.High - l.Low
	step := ceil(span / 6)
	for _, s := range []float64{1, 2, 2.5, 5, 10} {
		p := math.Pow(10, math.Floor(math.Log10(span/5)))
		if s*p >= span/5*(1-1e-9) {
			step = s * p
			break
		}
	}
	for k := math.Ceil(l.Low/step - 1e-9); k*step <= l.High+1e-9*span; k++ {
		list = append(list, Tick{k * step, number(k * step)})
	}
	if n := len(list); l.Open && n > 0 {
		list[n-1].Label += " or more"
	}
	return list
}
