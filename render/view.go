package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

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
	strip   image.Rectangle
	img     *image.RGBA
	figures *Lettering
	scale   float64 // of the map: mT or kelvin above ambient at the top of the bar
	grid    *grid.Grid
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
	v := &View{
		overlay: overlay, grid: g, figures: text,
		tank:  image.Rect(0, 0, width, h),
		strip: image.Rect(0, h, width, h+2*text.Height()+8),
		fluid: Tank{
			Width: float64(r.Cols) * r.Spacing,
			Rings: PixelRings(d.Grid.Rows, d.Grid.Cols, d.Grid.Pitch, d.Coil.Outer/2, rings),
		},
	}
	v.img = image.NewRGBA(v.tank.Union(v.strip))
	// Room for a pixel with its neighbours on, so that the scale stands still.
	v.scale = 1.3 * 1e3 * g.Pixel.Full.On.Average * math.Sqrt(g.Pixel.Full.Share) * max(g.Kernel.Peak, -g.Kernel.Peak)
	v.scale += 1e3 * r3.Norm(g.BiasAt(d.Grid.Rows/2, d.Grid.Cols/2))
	return v, nil
}

// Palette returns the colours of the view's pictures, for a GIF.
func (v *View) Palette() color.Palette {
	if v.overlay == "fluid" {
		return v.fluid.Palette()
	}
	m := v.colors()
	var p color.Palette
	for i := 0; i < 256; i += 4 {
		p = append(p, m[i], mix(m[i], color.RGBA{255, 255, 255, 255}, 0.3))
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
func (v *View) Draw(p *player.Player, b *player.Tank, e player.Entry, at float64) (*image.RGBA, error) {
	switch v.overlay {
	case "fluid":
		v.fluid.Rows, v.fluid.Cols = b.Cells()
		if err := v.fluid.Draw(v.img, v.tank, b.Fraction()); err != nil {
			return nil, err
		}
	case "field":
		v.paint(func(k int) float64 { return p.Plane().Abs[k] * 1e3 / v.scale })
	case "temperature":
		d, coils := v.grid.Design, p.Coils()
		span := max(d.Limits.Board-d.Heat.Ambient, 1)
		v.paint(func(k int) float64 { return (coils[v.pixel(k)] - d.Heat.Ambient) / span })
	case "hold":
		holds, top := p.Holds(), v.holdTop()
		v.paint(func(k int) float64 { return holds[v.pixel(k)] / top })
	case "current":
		pixels, full := p.Pixels(), v.grid.Pixel.FullCurrent
		v.paint(func(k int) float64 { return 0.5 + pixels[v.pixel(k)].Average/full/2 })
	}
	full, reached, _ := b.Following(p.States())
	v.writeStrip(e, full, reached, at)
	return v.img, nil
}

// Tank is where in a picture the tank is; below it are the figures.
func (v *View) Tank() image.Rectangle { return v.tank }

// pixel is the pixel whose place a sample belongs to, the nearest in the margin.
func (v *View) pixel(k int) int {
	d, r := v.grid.Design.Grid, v.grid.Raster
	row := min(max(k/r.Cols/r.Samples-r.Margin, 0), d.Rows-1)
	col := min(max(k%r.Cols/r.Samples-r.Margin, 0), d.Cols-1)
	return row*d.Cols + col
}

// holdTop is the hold ratio at the top of the colours.
func (v *View) holdTop() float64 { return 2 * v.grid.Design.Limits.Hold }

// paint fills the tank with a map of shares 0…1 by sample.
func (v *View) paint(share func(k int) float64) {
	r, m := v.grid.Raster, v.colors()
	for y := range v.tank.Dy() {
		i := y * r.Rows / v.tank.Dy()
		for x := range v.tank.Dx() {
			v.img.SetRGBA(x, y, m.At(share(i*r.Cols+x*r.Cols/v.tank.Dx())))
		}
	}
	for _, k := range v.fluid.Rings {
		per := float64(v.tank.Dx()) / v.fluid.Width
		ring(v.img, float64(v.tank.Dx())/2+k.X*per, float64(v.tank.Dy())/2-k.Y*per, k.Radius*per, 1, overlay)
	}
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
	note := v.note()
	if at := v.strip.Max.X - 10 - v.figures.Width(note); at > x+8 { // a narrow picture has no room for it
		v.figures.Draw(v.img, at, y, note, faint)
	}
}

// note tells what the colours mean.
func (v *View) note() string {
	d := v.grid.Design
	switch v.overlay {
	case "field":
		return fmt.Sprintf("|B| 0 … %s mT", quantity.Figure(v.scale, 2))
	case "hold":
		return fmt.Sprintf("pull ÷ need 0 … %s", quantity.Figure(v.holdTop(), 2))
	case "current":
		full := quantity.Format(v.grid.Pixel.FullCurrent, quantity.Current)
		return fmt.Sprintf("−%s … %s", full, full)
	case "temperature":
		return fmt.Sprintf("%.0f … %.0f °C", d.Heat.Ambient-field.ZeroCelsius, d.Limits.Board-field.ZeroCelsius)
	}
	return fmt.Sprintf("%s mm wide", quantity.Figure(v.fluid.Width*1e3, 3))
}
