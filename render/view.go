package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"strings"

	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// View draws a playing display picture by picture: the fluid, or a map of field or
// temperature, with a strip of figures below.
type View struct {
	overlay string
	fluid   Tank
	tank    image.Rectangle
	legend  image.Rectangle // of a map; empty for the fluid
	strip   image.Rectangle
	img     *image.RGBA
	figures *Lettering
	grid    *grid.Grid

	low, high float64 // of the colours, in the map's unit
	fitted    bool    // to what is played
	values    []float64
}

// Overlays are the views there are.
func Overlays() []string { return []string{"fluid", "field", "temperature", "hold", "current"} }

// NewView prepares pictures of the given width in pixels.
func NewView(g *grid.Grid, overlay string, width int) (*View, error) {
	if !slices.Contains(Overlays(), overlay) {
		return nil, fmt.Errorf("unknown overlay %q; accepted: %s", overlay, strings.Join(Overlays(), ", "))
	}
	r, d := g.Raster, g.Design
	h := width * r.Rows / r.Cols
	text := NewLettering(max(11, float64(width)/46), false)
	below := h
	if overlay != "fluid" {
		below += text.Height() + 8
	}
	v := &View{
		overlay: overlay, grid: g, figures: text,
		tank:   image.Rect(0, 0, width, h),
		legend: image.Rect(0, h, width, below),
		strip:  image.Rect(0, below, width, below+2*text.Height()+8),
		fluid: Tank{
			Width: float64(r.Cols) * r.Spacing,
			Rings: PixelRings(d.Grid.Rows, d.Grid.Cols, d.Grid.Pitch, d.Coil.Outer/2, RingColor),
		},
	}
	v.img = image.NewRGBA(v.tank.Union(v.strip))
	switch overlay {
	case "field":
		// A lone pixel at full level and the bias, until it is fitted.
		v.high = 1e3 * g.LoneStrength()
	case "temperature":
		v.low, v.high = d.Heat.Ambient-field.ZeroCelsius, d.Limits.Board-field.ZeroCelsius
	case "hold":
		v.high = 2 * d.Limits.Hold
	case "current":
		v.low, v.high = -g.Pixel.FullCurrent, g.Pixel.FullCurrent
	}
	return v, nil
}

// Palette returns the colours of the view's pictures, for a GIF.
func (v *View) Palette() color.Palette {
	if v.overlay == "fluid" {
		return v.fluid.Palette()
	}
	m := v.colors()
	var p color.Palette
	p = append(p, edgeLine, SlateColor)
	for i := 0; i < 256; i += 5 {
		p = append(p, m[i], mix(m[i], edgeLine, 0.3), mix(m[i], FluidColor, 0.5))
	}
	for i := range 48 {
		p = append(p, mix(paper, ink, float64(i)/47))
	}
	for i := range 16 {
		p = append(p, mix(paper, warning, float64(i)/15))
	}
	return p
}

func (v *View) colors() *ColorMap {
	switch v.overlay {
	case "temperature":
		return Warmth
	case "current":
		return Balance
	}
	return Strength
}

// Draw paints a picture, which is valid until the next call, of the player after
// the entry and the fluid at a time in seconds since the start.
func (v *View) Draw(p *player.Player, b *player.Tank, e player.Entry, at float64) *image.RGBA {
	switch v.overlay {
	case "fluid":
		v.fluid.Rows, v.fluid.Cols = b.Cells()
		v.fluid.Draw(v.img, v.tank, b.Fraction())
	default:
		v.colour(p)
		if v.overlay == "field" {
			m := Map{Values: v.values, Rows: v.grid.Raster.Rows, Cols: v.grid.Raster.Cols, Width: v.fluid.Width, Colors: v.colors()}
			for _, k := range v.fluid.Rings {
				k.Color = overlay
				m.Marks = append(m.Marks, k)
			}
			m.paint(v.img, v.tank, v.low, v.high)
		} else {
			v.squares()
		}
		v.drawEdge(b)
		draw.Draw(v.img, v.legend, image.NewUniform(paper), image.Point{}, draw.Src)
		v.Legend(v.img, v.legend.Inset(4))
	}
	full, reached, _ := b.Following(p.States())
	v.writeStrip(e, full, reached, at)
	return v.img
}

// Tank is where in a picture the tank is; below it are the figures.
func (v *View) Tank() image.Rectangle { return v.tank }

// squares draws each pixel's value over its square, a hairline between them; beyond the grid there
// is no pixel to tell of.
func (v *View) squares() {
	draw.Draw(v.img, v.tank, image.NewUniform(SlateColor), image.Point{}, draw.Src)
	d, r := v.grid.Design.Grid, v.grid.Raster
	pitch := float64(v.tank.Dx()*r.Samples) / float64(r.Cols)
	at := func(k int) int { return int((float64(r.Margin) + float64(k)) * pitch) }
	for i, value := range v.values {
		row, col := i/d.Cols, i%d.Cols
		c := v.colors().At((value - v.low) / (v.high - v.low))
		draw.Draw(v.img, image.Rect(at(col), at(row), at(col+1)-1, at(row+1)-1), image.NewUniform(c), image.Point{}, draw.Src)
	}
}

// colour fills in the values of what was played last, in the view's unit: of a field on the raster,
// of all else per pixel.
func (v *View) colour(p *player.Player) {
	v.values = v.values[:0]
	switch v.overlay {
	case "field":
		for _, b := range p.Plane().Abs {
			v.values = append(v.values, b*1e3)
		}
	case "temperature":
		for _, t := range p.Coils() {
			v.values = append(v.values, t-field.ZeroCelsius)
		}
	case "hold":
		v.values = append(v.values, p.Holds()...)
	case "current":
		for _, s := range p.Pixels() {
			v.values = append(v.values, s.Average)
		}
	}
}

// Fits tells whether the colours of the view can be fitted to what is played; those of the others
// span what a limit or the drive says.
func (v *View) Fits() bool { return v.overlay == "field" || v.overlay == "temperature" }

// Fit widens the span of the colours to what was played last, from nothing at first: fields from
// 0 on.
func (v *View) Fit(p *player.Player) {
	v.colour(p)
	low, high := slices.Min(v.values), slices.Max(v.values)
	if v.overlay == "field" {
		low = 0
	}
	if v.fitted {
		low, high = min(low, v.low), max(high, v.high)
	}
	v.low, v.high, v.fitted = low, max(high, low+1e-3), true
}

// edgeLine is the line round the fluid on a map, between dark ones.
var edgeLine = color.RGBA{255, 255, 255, 255}

// drawEdge draws the rim of the fluid over a map.
func (v *View) drawEdge(b *player.Tank) {
	rows, cols := b.Cells()
	grid := Map{Values: Rounded(nil, b.Fraction(), rows, cols), Rows: rows, Cols: cols}
	rim := RimWidth(cols, v.tank.Dx())
	for y := range v.tank.Dy() {
		for x := range v.tank.Dx() {
			f := grid.sample((float64(y)+0.5)*float64(rows)/float64(v.tank.Dy())-0.5, (float64(x)+0.5)*float64(cols)/float64(v.tank.Dx())-0.5)
			off := math.Abs(f-0.5) / rim
			blend(v.img, x, y, FluidColor, 0.7*smooth(1.6, 0.9, off))
			blend(v.img, x, y, edgeLine, smooth(0.9, 0.4, off))
		}
	}
}

// Legend draws in a strip of a picture what a map's colours mean; nothing for the fluid.
func (v *View) Legend(img *image.RGBA, at image.Rectangle) {
	if v.overlay == "fluid" {
		return
	}
	name := map[string]string{"field": "|B| at the fluid, mT", "temperature": "mean of each coil, °C", "hold": "pull ÷ need of a drop", "current": "mean current, A"}[v.overlay]
	base := at.Min.Y + (at.Dy()+int(0.7*v.figures.size))/2
	x := at.Min.X + 6
	write := func(text string) {
		v.figures.Draw(img, x, base, text, ink)
		x += v.figures.Width(text) + 8
	}
	write(name)
	write(quantity.Figure(v.low, 3))
	bar, m := at.Dx()/4, v.colors()
	for i := range bar {
		for y := at.Min.Y + at.Dy()/5; y < at.Max.Y-at.Dy()/5; y++ {
			img.SetRGBA(x+i, y, m.At((float64(i)+0.5)/float64(bar)))
		}
	}
	x += bar + 8
	top := quantity.Figure(v.high, 3)
	if v.overlay == "hold" {
		top += " and more"
	}
	write(top)
	edge := "edge of the fluid"
	if x += 14; x+26+v.figures.Width(edge) > at.Max.X {
		return // a narrow picture has no room for it
	}
	middle := at.Min.Y + at.Dy()/2
	for i := range 20 {
		for y, c := range []color.RGBA{FluidColor, edgeLine, edgeLine, FluidColor} {
			img.SetRGBA(x+i, middle-2+y, c)
		}
	}
	x += 26
	write(edge)
}

// writeStrip writes the figures under the picture.
func (v *View) writeStrip(e player.Entry, full float64, reached int, at float64) {
	d := v.grid.Design
	draw.Draw(v.img, v.strip, image.NewUniform(paper), image.Point{}, draw.Src)
	x, y := 10, v.strip.Min.Y+v.figures.Height()
	left := fmt.Sprintf("%.1f s   %s", at, quantity.Format(e.SupplyPower, quantity.Power))
	v.figures.Draw(v.img, x, y, left, ink)
	hot := fmt.Sprintf("hottest coil %s", celsius(e.Hottest))
	c := color.Color(ink)
	if e.Hottest > d.Limits.Board || e.Touch > d.Limits.Touch {
		c = warning
	}
	v.figures.Draw(v.img, v.strip.Max.X-10-v.figures.Width(hot), y, hot, c)
	y += v.figures.Height()
	state, c := fmt.Sprintf("%d lit, all hold", e.Lit), color.Color(faint)
	if n := len(e.Failing); n > 0 {
		state, c = fmt.Sprintf("%d of %d lit do not hold", n, e.Lit), warning
	}
	if n := len(e.FalseOn); n > 0 {
		state, c = state+fmt.Sprintf(", %d dark keep a drop", n), warning
	}
	v.figures.Draw(v.img, x, y, state, c)
	x += v.figures.Width(state)
	if e.Lit > 0 {
		cover := fmt.Sprintf("   fluid covers %.0f %%, on %d of %d", full*100, reached, e.Lit)
		v.figures.Draw(v.img, x, y, cover, faint)
		x += v.figures.Width(cover)
	}
	if v.overlay != "fluid" {
		return
	}
	note := fmt.Sprintf("%s mm wide", quantity.Figure(v.fluid.Width*1e3, 3))
	if at := v.strip.Max.X - 10 - v.figures.Width(note); at > x+8 { // a narrow picture has no room for it
		v.figures.Draw(v.img, at, y, note, faint)
	}
}
