package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"
)

// Map is a picture of a quantity over the display: a raster of values under a
// colour map, with a colour bar in the quantity's unit, a scale bar in
// millimetres and the pixels' places.
type Map struct {
	Title      string
	Unit       string    // of Values
	Values     []float64 // row-major, row 0 at the top; nil draws the arrows alone
	Rows, Cols int
	Width      float64 // m across all Cols
	Colors     *ColorMap
	Low, High  float64 // range of the colour bar; both 0 = the values' own range
	// Blocks draws each value as a square of its own, not as a sample of something smooth.
	Blocks bool
	// Marks are circles, Arrows arrows, drawn at places in metres from the picture's centre, y up.
	Marks  []Mark
	Arrows []Arrow
	// Across and Down are the display's columns and rows, numbered along the edges, Pitch how far
	// they are apart, m; 0 numbers nothing.
	Across, Down int
	Pitch        float64
	// Texts are written over the pixels, row by row, where they fit.
	Texts []string
	// Keys tell what colours mean that are not on the bar.
	Keys []Key
}

// Key is a colour's meaning.
type Key struct {
	Color color.RGBA
	Label string
}

// Arrow is an arrow over the map.
type Arrow struct {
	X, Y, DX, DY float64 // m, its tail and how far its tip is from it
	Color        color.RGBA
}

// Mark is a ring at a place of the map.
type Mark struct {
	X, Y, Radius float64 // m
	Color        color.RGBA
}

const (
	mapPad     = 18
	axisRoom   = 24
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
	if err := m.check(); err != nil {
		return nil, err
	}
	if width < 200 || width > 8000 {
		return nil, fmt.Errorf("drawing map %q: %d pixels wide; 200…8000 are possible", m.Title, width)
	}
	low, high := m.scale()
	axis := 0
	if m.Pitch > 0 {
		axis = axisRoom
	}
	w := width - 2*mapPad - barRoom - axis
	if tallest := mapTallest * width; w*m.Rows/m.Cols > tallest {
		w = max(tallest*m.Cols/m.Rows, 1) // a display of one column
	}
	h := max(w*m.Rows/m.Cols, 40)
	img := image.NewRGBA(image.Rect(0, 0, width, titleRoom+axis+h+scaleRoom))
	draw.Draw(img, img.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)

	x0, y0 := mapPad+axis, titleRoom+axis
	m.paint(img, image.Rect(x0, y0, x0+w, y0+h), low, high)
	drawTitle(img, mapPad, 26, axis+w+barRoom-80, m.Title)
	label := NewLettering(13, false)
	for _, n := range m.columns() {
		label.Draw(img, x0+int(n.at*float64(w))-label.Width(n.text)/2, y0-8, n.text, faint)
	}
	for _, n := range m.rows() {
		label.Draw(img, x0-8-label.Width(n.text), y0+int(n.at*float64(h))+5, n.text, faint)
	}
	m.drawBar(img, label, x0+w+16, y0, h, low, high)
	x := drawScale(img, label, x0, y0+h+14, w, m.Width)
	for _, k := range m.Keys {
		for i := range 14 * 10 {
			img.SetRGBA(x+24+i%14, y0+h+11+i/14, k.Color)
		}
		label.Draw(img, x+44, y0+h+20, k.Label, ink)
		x += 44 + label.Width(k.Label)
	}
	return img, nil
}

// numeral is a row's or column's number and its place, 0…1 of the map.
type numeral struct {
	at   float64
	text string
}

func (m Map) columns() []numeral { return m.numbers(m.Across, m.Width) }
func (m Map) rows() []numeral {
	return m.numbers(m.Down, m.Width*float64(m.Rows)/float64(m.Cols))
}

// numbers are those of n pixels along an edge of a length in m, every one, or every fifth or so
// of many.
func (m Map) numbers(n int, length float64) (list []numeral) {
	if m.Pitch == 0 {
		return nil
	}
	each := 1
	for _, e := range []int{2, 5, 10, 20, 50, 100} {
		if n/each > 24 {
			each = e
		}
	}
	for k := each - 1; k < n; k += each {
		list = append(list, numeral{0.5 + (float64(k)-float64(n-1)/2)*m.Pitch/length, strconv.Itoa(k + 1)})
	}
	return list
}

// check tells what of the map cannot be drawn.
func (m Map) check() error {
	if bare := m.Values == nil && m.Arrows != nil; m.Rows < 1 || m.Cols < 1 || !bare && len(m.Values) != m.Rows*m.Cols || !(m.Width > 0) {
		return fmt.Errorf("drawing map %q: %d values for %d × %d samples, %g m wide", m.Title, len(m.Values), m.Rows, m.Cols, m.Width)
	}
	return nil
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

// paint fills a rectangle with the values' colours, and what is drawn over them.
func (m Map) paint(img *image.RGBA, at image.Rectangle, low, high float64) {
	w, h := at.Dx(), at.Dy()
	value := m.smooth
	if m.Blocks {
		value = func(v, u float64) float64 { return m.Values[int(v+0.5)*m.Cols+int(u+0.5)] }
	}
	if m.Values == nil {
		draw.Draw(img, at, image.NewUniform(paper), image.Point{}, draw.Src)
		h = 0
	}
	for y := range h {
		v := (float64(y)+0.5)*float64(m.Rows)/float64(h) - 0.5
		for x := range w {
			u := (float64(x)+0.5)*float64(m.Cols)/float64(w) - 0.5
			img.SetRGBA(at.Min.X+x, at.Min.Y+y, m.Colors.At((value(v, u)-low)/(high-low)))
		}
	}
	perMetre := float64(w) / m.Width
	place := func(x, y float64) (float64, float64) {
		return float64(at.Min.X) + float64(w)/2 + x*perMetre, float64(at.Min.Y) + float64(at.Dy())/2 - y*perMetre
	}
	for _, k := range m.Marks {
		cx, cy := place(k.X, k.Y)
		ring(img, cx, cy, k.Radius*perMetre, 1.2, k.Color)
	}
	for _, a := range m.Arrows {
		x, y := place(a.X, a.Y)
		arrow(img, x, y, a.DX*perMetre, -a.DY*perMetre, a.Color)
	}
	cell := m.Pitch * perMetre
	label := NewLettering(min(max(cell/3, 9), 20), false)
	for k, text := range m.Texts {
		if label.Width(text)+2 > int(cell) {
			break // a grid of so many pixels has no room for any
		}
		cx, cy := place((float64(k%m.Across)-float64(m.Across-1)/2)*m.Pitch, (float64(m.Down-1)/2-float64(k/m.Across))*m.Pitch)
		c, under := color.RGBA{255, 255, 255, 255}, img.RGBAAt(int(cx), int(cy))
		if 3*int(under.R)+6*int(under.G)+int(under.B) > 1200 { // by its lightness, of 2550
			c = ink
		}
		label.Draw(img, int(cx)-label.Width(text)/2, int(cy+0.36*label.size), text, c)
	}
}

// arrow draws an arrow from a tail over a way, both in pixels.
func arrow(img *image.RGBA, x, y, dx, dy float64, c color.RGBA) {
	length := math.Hypot(dx, dy)
	if length == 0 {
		return
	}
	head, thick := min(0.45*length, 12), max(0.06*length, 0.8) // its length; half the shaft's width
	reach := int(length+head) + 2
	for j := int(y) - reach; j <= int(y)+reach; j++ {
		for i := int(x) - reach; i <= int(x)+reach; i++ {
			if !(image.Point{X: i, Y: j}).In(img.Bounds()) {
				continue
			}
			px, py := float64(i)+0.5-x, float64(j)+0.5-y
			along, across := (px*dx+py*dy)/length, math.Abs(px*dy-py*dx)/length
			inside := min(thick-across, along, length-head-along) // how far within the shaft
			if tip := min(along-(length-head), (0.55*(length-along)-across)*0.876); along > length-head {
				inside = max(inside, tip)
			}
			blend(img, i, j, c, min(max(inside+0.5, 0), 1))
		}
	}
}

// smooth interpolates a smooth quantity by cubics through the samples (E. Catmull and R. Rom,
// 1974, from memory), so that no square of the samples is seen.
func (m Map) smooth(v, u float64) float64 {
	v, u = min(max(v, 0), float64(m.Rows-1)), min(max(u, 0), float64(m.Cols-1))
	i, j := int(v), int(u)
	cubic := func(t float64) [4]float64 {
		return [4]float64{t * (t*(2-t) - 1) / 2, (t*t*(3*t-5) + 2) / 2, t * (t*(4-3*t) + 1) / 2, t * t * (t - 1) / 2}
	}
	down, across := cubic(v-float64(i)), cubic(u-float64(j))
	sum := 0.0
	for k, a := range down {
		row := m.Values[min(max(i+k-1, 0), m.Rows-1)*m.Cols:]
		for n, b := range across {
			sum += a * b * row[min(max(j+n-1, 0), m.Cols-1)]
		}
	}
	return sum
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
// It returns where its lettering ends.
func drawScale(img *image.RGBA, label *Lettering, x, y, w int, metres float64) int {
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
	text := fmt.Sprintf("%g mm", math.Round(length*1e6)/1e3)
	label.Draw(img, x+px+10, y+6, text, ink)
	return x + px + 10 + label.Width(text)
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
