package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
)

// Map is a picture of a quantity over the display: a raster of values under a
// colour map, with a colour bar in the quantity's unit, a scale bar in
// millimetres and the pixels' places.
type Map struct {
	Title      string
	Unit       string    // of Values
	Values     []float64 // row-major, row 0 at the top
	Rows, Cols int
	Width      float64 // m across all Cols
	Colors     *ColorMap
	Low, High  float64 // range of the colour bar; both 0 = the values' own range
	// Marks are circles drawn at places in metres from the picture's centre, y up.
	Marks []Mark
}

// Mark is a ring at a place of the map.
type Mark struct {
	X, Y, Radius float64 // m
	Color        color.RGBA
}

const (
	mapPad     = 18
	barWidth   = 18
	barRoom    = 92
	titleRoom  = 40
	scaleRoom  = 44
	mapTallest = 8 // times the width
)

var (
	paper = color.RGBA{250, 249, 246, 255}
	ink   = color.RGBA{28, 32, 38, 255}
	faint = color.RGBA{96, 102, 110, 255}
)

// Draw renders the map about width pixels wide. It fails when the raster's length
// does not fit Rows × Cols or the map has no extent.
func (m Map) Draw(width int) (*image.RGBA, error) {
	if m.Rows < 1 || m.Cols < 1 || len(m.Values) != m.Rows*m.Cols {
		return nil, fmt.Errorf("drawing map %q: %d values for %d × %d samples", m.Title, len(m.Values), m.Rows, m.Cols)
	}
	if !(m.Width > 0) || width < 200 || width > 8000 {
		return nil, fmt.Errorf("drawing map %q: width %g m at %d pixels; need a positive width and 200…8000 pixels", m.Title, m.Width, width)
	}
	low, high := m.scale()
	w := width - 2*mapPad - barRoom
	if tallest := mapTallest * width; w*m.Rows/m.Cols > tallest {
		w = max(tallest*m.Cols/m.Rows, 1) // a display of one column
	}
	h := max(w*m.Rows/m.Cols, 40)
	img := image.NewRGBA(image.Rect(0, 0, width, titleRoom+h+scaleRoom))
	draw.Draw(img, img.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)

	x0, y0 := mapPad, titleRoom
	m.paint(img, image.Rect(x0, y0, x0+w, y0+h), low, high)
	drawTitle(img, mapPad, 26, w+barRoom-80, m.Title)
	label := NewLettering(13, false)
	m.drawBar(img, label, x0+w+16, y0, h, low, high)
	drawScale(img, label, x0, y0+h+14, w, m.Width)
	return img, nil
}

// drawTitle writes a title, smaller when it is long, cut off when that is not enough.
func drawTitle(img *image.RGBA, x, y, room int, text string) {
	size := 17.0
	l := NewLettering(size, true)
	for ; l.Width(text) > room && size > 11; size-- {
		l = NewLettering(size-1, true)
	}
	runes := []rune(text)
	for n := len(runes); l.Width(text) > room && n > 0; n-- {
		text = string(runes[:n-1]) + "…"
	}
	l.Draw(img, x, y, text, ink)
}

// paint fills a rectangle with the values' colours and the marks.
func (m Map) paint(img *image.RGBA, at image.Rectangle, low, high float64) {
	w, h := at.Dx(), at.Dy()
	for y := range h {
		v := (float64(y)+0.5)*float64(m.Rows)/float64(h) - 0.5
		for x := range w {
			u := (float64(x)+0.5)*float64(m.Cols)/float64(w) - 0.5
			img.SetRGBA(at.Min.X+x, at.Min.Y+y, m.Colors.At((m.sample(v, u)-low)/(high-low)))
		}
	}
	perMetre := float64(w) / m.Width
	for _, k := range m.Marks {
		cx := float64(at.Min.X) + float64(w)/2 + k.X*perMetre
		cy := float64(at.Min.Y) + float64(h)/2 - k.Y*perMetre
		ring(img, cx, cy, k.Radius*perMetre, 1.2, k.Color)
	}
}

// scale is the colour bar's range.
func (m Map) scale() (low, high float64) {
	low, high = m.Low, m.High
	if low == 0 && high == 0 {
		low, high = math.Inf(1), math.Inf(-1)
		for _, v := range m.Values {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				low, high = min(low, v), max(high, v)
			}
		}
		if low > high {
			low, high = 0, 0 // nothing that could be shown
		}
	}
	if !(high > low) {
		high = low + max(math.Abs(low)*1e-3, 1e-9)
	}
	return low, high
}

// sample interpolates linearly between samples.
func (m Map) sample(v, u float64) float64 {
	v, u = min(max(v, 0), float64(m.Rows-1)), min(max(u, 0), float64(m.Cols-1))
	i, j := min(int(v), max(m.Rows-2, 0)), min(int(u), max(m.Cols-2, 0))
	fi, fj := v-float64(i), u-float64(j)
	i1, j1 := min(i+1, m.Rows-1), min(j+1, m.Cols-1)
	a := m.Values[i*m.Cols+j]*(1-fj) + m.Values[i*m.Cols+j1]*fj
	b := m.Values[i1*m.Cols+j]*(1-fj) + m.Values[i1*m.Cols+j1]*fj
	return a*(1-fi) + b*fi
}

func (m Map) drawBar(img *image.RGBA, label *Lettering, x, y, h int, low, high float64) {
	for j := range h {
		c := m.Colors.At(1 - (float64(j)+0.5)/float64(h))
		for i := range barWidth {
			img.SetRGBA(x+i, y+j, c)
		}
	}
	label.Draw(img, x, y-8, m.Unit, ink)
	for _, t := range (roundTicks{}).Ticks(low, high) {
		ty := y + int(float64(h-1)*(1-(t.Value-low)/(high-low))+0.5)
		for i := range 5 {
			img.SetRGBA(x+barWidth+i, ty, ink)
		}
		label.Draw(img, x+barWidth+8, min(max(ty+5, y+10), y+h), t.Label, ink)
	}
}

// drawScale draws a scale bar of a round length, a fifth to a half of the width.
func drawScale(img *image.RGBA, label *Lettering, x, y, w int, metres float64) {
	length := roundLength(metres)
	px := int(length / metres * float64(w))
	for i := range px {
		for j := range 3 {
			img.SetRGBA(x+i, y+j, ink)
		}
	}
	for j := -3; j < 6; j++ {
		img.SetRGBA(x, y+j, ink)
		img.SetRGBA(x+px-1, y+j, ink)
	}
	label.Draw(img, x+px+10, y+6, fmt.Sprintf("%g mm", math.Round(length*1e6)/1e3), ink)
}

// roundLength is 1, 2 or 5 times a power of ten, a fifth to a half of the given one.
func roundLength(metres float64) float64 {
	length := math.Pow(10, math.Floor(math.Log10(metres/2)))
	for _, f := range []float64{5, 2} {
		if f*length <= metres/2 {
			return f * length
		}
	}
	return length
}

// ring draws an anti-aliased circle line.
func ring(img *image.RGBA, cx, cy, radius, width float64, c color.RGBA) {
	reach := int(radius+width) + 2
	for y := int(cy) - reach; y <= int(cy)+reach; y++ {
		for x := int(cx) - reach; x <= int(cx)+reach; x++ {
			if !(image.Point{X: x, Y: y}).In(img.Bounds()) {
				continue
			}
			d := math.Abs(math.Hypot(float64(x)+0.5-cx, float64(y)+0.5-cy) - radius)
			blend(img, x, y, c, min(max(width/2+0.5-d, 0), 1))
		}
	}
}

// blend lays colour c over a picture element with the given cover.
func blend(img *image.RGBA, x, y int, c color.RGBA, cover float64) {
	if cover <= 0 {
		return
	}
	k := img.PixOffset(x, y)
	cover *= float64(c.A) / 255
	for n, v := range [3]uint8{c.R, c.G, c.B} {
		img.Pix[k+n] = uint8(float64(img.Pix[k+n])*(1-cover) + float64(v)*cover + 0.5)
	}
}
