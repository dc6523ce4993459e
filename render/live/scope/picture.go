package scope

import (
	"encoding/binary"
	"image"
	"image/color"
	"math"

	"lodegrid/array/grid"
	"lodegrid/render"
)

// Colours of what is drawn over the tank; its own are render's.
var (
	wantedColor = color.RGBA{0, 110, 190, 255}
	failColor   = color.RGBA{214, 40, 24, 255}
	whiteColor  = color.RGBA{255, 255, 255, 255}
	blackColor  = color.RGBA{0, 0, 0, 255}
)

// maxPicture bounds the picture elements of a tank; larger windows stretch it.
const maxPicture = 1_300_000

// Picture is the tank with an overlay as an image. Its memory is kept from one
// drawing to the next, so that drawing does not allocate.
type Picture struct {
	Image *image.RGBA
	// Marked is the pixel to be outlined, −1 for none.
	Marked int

	samples int         // of the field, per pitch
	field   stretch     // the field's samples
	wet     stretch     // the fluid's cells
	place   place       // of the grid on the picture
	base    *image.RGBA // what lies behind the fluid
	based   basis       // what base was drawn for
	over    []float32   // the fluid's cells interpolated a little above a picture row
	soft    []float64   // the fluid's cells as they are drawn
	kinds   []kind      // per row of the fluid's cells
	deep    []uint8     // a row of the picture all under fluid
	ink     [256]uint32 // scratch: a colour map as picture elements
	values  []float64   // scratch
}

// basis is what the picture behind the fluid depends on.
type basis struct {
	panel   *panel
	overlay Overlay
	sums    int
	version int
	top     float64
}

// place is where the grid lies on a picture.
type place struct {
	x0, y0     float64 // upper left corner of pixel (0, 0)
	pitch      float64
	rows, cols int
}

// cell is the rectangle of a pixel, a hairline left free around it.
func (p place) cell(pixel int) image.Rectangle {
	x, y := p.x0+float64(pixel%p.cols)*p.pitch, p.y0+float64(pixel/p.cols)*p.pitch
	return image.Rect(int(x+0.5), int(y+0.5), int(x+p.pitch+0.5)-1, int(y+p.pitch+0.5)-1)
}

// middle is the middle of a pixel.
func (p place) middle(pixel int) (x, y float64) {
	return p.x0 + (float64(pixel%p.cols)+0.5)*p.pitch, p.y0 + (float64(pixel/p.cols)+0.5)*p.pitch
}

// NewPicture prepares a picture of a view's tank, width picture elements wide or
// fewer where that would be more than a tank needs. It serves until the display's
// raster changes; see Fits.
func NewPicture(c *View, width int) *Picture {
	r := c.grid.Raster
	width = max(width, 64)
	height := max(width*r.Rows/r.Cols, 1)
	if n := width * height; n > maxPicture {
		f := math.Sqrt(maxPicture / float64(n))
		width, height = int(float64(width)*f), max(int(float64(height)*f), 1)
	}
	pitch := float64(width) / float64(r.Cols) * float64(r.Samples)
	rows, cols := c.cells[0], c.cells[1]
	p := &Picture{
		Image: image.NewRGBA(image.Rect(0, 0, width, height)), Marked: -1, samples: r.Samples,
		base: image.NewRGBA(image.Rect(0, 0, width, height)),
		place: place{
			x0: float64(r.Margin) * pitch, y0: float64(r.Margin) * pitch, pitch: pitch,
			rows: c.grid.Design.Grid.Rows, cols: c.grid.Design.Grid.Cols,
		},
		field: newStretch(r.Rows, r.Cols, width), wet: newStretch(rows, cols, width),
		over: make([]float32, cols+1), kinds: make([]kind, rows), deep: make([]uint8, 4*width),
	}
	for x := range width {
		copy(p.deep[4*x:], []uint8{render.FluidColor.R, render.FluidColor.G, render.FluidColor.B, 255})
	}
	return p
}

// stretch lays rows × cols cells over a picture's width.
type stretch struct {
	rows, cols int
	left       []int     // per column of cells: first picture column whose interpolation starts there; one more at the end
	share      []float32 // per picture column: share of the cell to the right
	line       []float32 // cells interpolated to a picture row
}

func newStretch(rows, cols, width int) stretch {
	s := stretch{rows: rows, cols: cols, left: make([]int, cols+1), share: make([]float32, width), line: make([]float32, cols+1)}
	at := 0
	for x := range width {
		u := min(max((float64(x)+0.5)*float64(cols)/float64(width)-0.5, 0), float64(cols-1))
		j := int(u)
		for ; at <= j; at++ {
			s.left[at] = x
		}
		s.share[x] = float32(u - float64(j))
	}
	for ; at <= cols; at++ {
		s.left[at] = width
	}
	return s
}

// Fits reports whether the picture has the view's raster and cells.
func (p *Picture) Fits(c *View) bool {
	r := c.grid.Raster
	rows, cols := c.cells[0], c.cells[1]
	return p.field.rows == r.Rows && p.field.cols == r.Cols && p.wet.rows == rows && p.wet.cols == cols && p.place.rows == c.grid.Design.Grid.Rows
}

// Draw paints the tank as it is now.
func (p *Picture) Draw(c *View) {
	p.behind(c)
	copy(p.Image.Pix, p.base.Pix)
	p.fluid(c.fluid, c.lens.overlay == Fluid)
	if c.lens.overlay == Hold || c.lens.overlay == Crosstalk {
		p.faults(c)
	}
	if c.lens.outline {
		p.wanted(c)
	}
	p.hands(c)
	if p.Marked >= 0 && p.Marked < len(c.levels) {
		r := p.place.cell(p.Marked)
		frame(p.Image, r, 2, whiteColor)
		frame(p.Image, r.Inset(-2), 2, blackColor)
	}
}

// behind draws what lies behind the fluid, unless it is still good.
func (p *Picture) behind(c *View) {
	b := basis{panel: c.panel, overlay: c.lens.overlay}
	switch c.lens.overlay {
	case Fluid:
	case Strength, Arrows:
		b.sums = c.sums
		values := c.plane.Abs
		if c.lens.overlay == Arrows {
			values = c.plane.Bz
		}
		if b.sums != p.based.sums || c.top() == 0 {
			c.reach(values, 1e3)
		}
	default:
		b.version = c.version
		p.values = c.Values(p.values)
		c.reach(p.values, 1)
	}
	b.top = c.top()
	if b == p.based {
		return
	}
	p.based = b
	low, high := c.span()
	colors := overlayFacts[c.lens.overlay].colors
	switch c.lens.overlay {
	case Fluid:
		p.pane(c)
	case Strength:
		p.paint(c.plane.Abs, 1e3, low, high, colors)
	case Arrows:
		p.paint(c.plane.Bz, 1e3, low, high, colors)
		p.arrows(c.plane)
	default:
		fill(p.base, p.base.Rect, render.SlateColor)
		for i, v := range p.values {
			fill(p.base, p.place.cell(i), colors.At((v-low)/(high-low)))
		}
	}
}

// pane draws the empty tank.
func (p *Picture) pane(c *View) {
	fill(p.base, p.base.Rect, render.PaneColor)
	d := c.grid.Design
	radius := d.Coil.Outer / 2 / d.Grid.Pitch * p.place.pitch
	for i := range d.Pixels() {
		x, y := p.place.middle(i)
		ring(p.base, x, y, radius, 1, render.RingColor)
	}
}

// paint draws values of the raster, interpolated, times scale, under a colour map.
func (p *Picture) paint(values []float64, scale, low, high float64, colors *render.ColorMap) {
	for k, c := range colors {
		p.ink[k] = uint32(c.R) | uint32(c.G)<<8 | uint32(c.B)<<16 | 0xff<<24
	}
	h, s := p.base.Rect.Dy(), &p.field
	gain, shift := float32(255*scale/(high-low)), float32(-255*low/(high-low)+0.5)
	for y := range h {
		s.blendRows(s.line, values, (float64(y)+0.5)*float64(s.rows)/float64(h)-0.5)
		for j, v := range s.line {
			// Between two places of the map everything lies on it, too.
			s.line[j] = min(max(v*gain+shift, 0), 255)
		}
		out := p.base.Pix[y*p.base.Stride:]
		for j := range s.cols {
			a, rise := s.line[j], s.line[j+1]-s.line[j]
			shares := s.share[s.left[j]:s.left[j+1]]
			o := out[4*s.left[j]:]
			for x, t := range shares {
				binary.LittleEndian.PutUint32(o[4*x:], p.ink[uint8(int32(a+rise*t))])
			}
		}
	}
}

// arrows draws the field along the pane, their length growing with the root of its
// strength.
func (p *Picture) arrows(plane *grid.Plane) {
	r := plane.Raster
	cell := p.place.pitch / float64(r.Samples)
	step := r.Samples
	for step%2 == 0 && float64(step/2)*cell >= 14 {
		step /= 2
	}
	top := 0.0
	for k, bx := range plane.Bx {
		top = max(top, math.Hypot(bx, plane.By[k]))
	}
	if top == 0 {
		return
	}
	length := 0.92 * float64(step) * cell
	for i := step / 2; i < r.Rows; i += step {
		for j := step / 2; j < r.Cols; j += step {
			// The mean of the four samples around the corner, so that arrows stand
			// evenly about a pixel's middle.
			k := i*r.Cols + j
			bx := (plane.Bx[k] + plane.Bx[k-1] + plane.Bx[k-r.Cols] + plane.Bx[k-r.Cols-1]) / 4
			by := (plane.By[k] + plane.By[k-1] + plane.By[k-r.Cols] + plane.By[k-r.Cols-1]) / 4
			b := math.Hypot(bx, by)
			if b < 0.015*top { // too short to tell its direction
				continue
			}
			l := length * math.Sqrt(b/top)
			arrow(p.base, float64(j)*cell, float64(i)*cell, l*bx/b, -l*by/b)
		}
	}
}

// fluid draws a fraction per cell, interpolated: as a person sees it, or as the
// outline of the fluid.
func (p *Picture) fluid(fraction []float64, whole bool) {
	w, h, s := p.Image.Rect.Dx(), p.Image.Rect.Dy(), &p.wet
	p.soft = render.Rounded(p.soft, fraction, s.rows, s.cols)
	fraction = p.soft
	p.sort(fraction)
	rim := float32(render.RimWidth(s.cols, w))
	for y := range h {
		v := (float64(y)+0.5)*float64(s.rows)/float64(h) - 0.5
		out := p.Image.Pix[y*p.Image.Stride:][:4*w]
		switch p.kindOf(v) {
		case bare:
			continue
		case flooded:
			if whole && p.kindOf(v-render.AboveCells) == flooded {
				copy(out, p.deep)
				continue
			}
			if !whole {
				continue
			}
		}
		s.blendRows(s.line, fraction, v)
		s.blendRows(p.over, fraction, v-render.AboveCells)
		if !whole {
			p.outline(out)
			continue
		}
		for j := range s.cols {
			a, b := s.line[j], s.line[j+1]
			if a < 0.02 && b < 0.02 {
				continue
			}
			oa, ob := p.over[j], p.over[j+1]
			solid := a > 0.98 && b > 0.98 && oa > 0.9 && ob > 0.9
			for x := s.left[j]; x < s.left[j+1]; x++ {
				o := out[4*x:][:4]
				if solid {
					o[0], o[1], o[2] = render.FluidColor.R, render.FluidColor.G, render.FluidColor.B
					continue
				}
				t := s.share[x]
				f, above := a+(b-a)*t, oa+(ob-oa)*t
				cover, shine := render.Shade(f, above, rim)
				o[0] = lay(o[0], render.FluidColor.R, render.SheenColor.R, shine, cover)
				o[1] = lay(o[1], render.FluidColor.G, render.SheenColor.G, shine, cover)
				o[2] = lay(o[2], render.FluidColor.B, render.SheenColor.B, shine, cover)
			}
		}
	}
}

// kind is what a row of cells holds.
type kind uint8

// The kinds: no fluid anywhere, fluid everywhere, or some of each.
const (
	bare kind = iota
	flooded
	mixed
)

// sort finds the kind of every row of cells.
func (p *Picture) sort(fraction []float64) {
	for i := range p.kinds {
		row := fraction[i*p.wet.cols:][:p.wet.cols]
		low, high := row[0], row[0]
		for _, f := range row {
			low, high = min(low, f), max(high, f)
		}
		switch {
		case high < 0.02:
			p.kinds[i] = bare
		case low > 0.98:
			p.kinds[i] = flooded
		default:
			p.kinds[i] = mixed
		}
	}
}

// kindOf is the kind of what lies between the two rows of cells at the height v.
func (p *Picture) kindOf(v float64) kind {
	v = min(max(v, 0), float64(p.wet.rows-1))
	i := int(v)
	a, b := p.kinds[i], p.kinds[min(i+1, p.wet.rows-1)]
	if a != b {
		return mixed
	}
	return a
}

// lay is a colour between a and b laid over what is under it.
func lay(under, a, b uint8, t, cover float32) uint8 {
	u := float32(under)
	return uint8(u + (float32(a)+(float32(b)-float32(a))*t-u)*cover + 0.5)
}

// outline draws the fluid's edge in one row of the picture: white outside, black
// inside, to be seen on any colour. The distance from the edge is taken from the
// share's steepness, so that a soft edge gets no broader a line; line and over hold
// the row and the one AboveCells above it.
func (p *Picture) outline(out []uint8) {
	s := &p.wet
	perCell := float64(p.Image.Rect.Dx()) / float64(s.cols)
	half := float32(2 * max(1, perCell/4)) // picture elements on either side
	for j := range s.cols {
		a, b := s.line[j]-0.5, s.line[j+1]-0.5
		if a > 0.45 && b > 0.45 || a < -0.45 && b < -0.45 {
			continue
		}
		dx := b - a
		dy := (s.line[j] - p.over[j]) / render.AboveCells
		steep := float32(math.Sqrt(float64(max(dx*dx+dy*dy, 1e-4)))) / float32(perCell)
		for x := s.left[j]; x < s.left[j+1]; x++ {
			f := a + dx*s.share[x]
			cover := half + 0.5 - max(f, -f)/steep
			if cover <= 0 {
				continue
			}
			cover = min(cover, 1)
			c := uint8(255)
			if f > 0 {
				c = 0
			}
			o := out[4*x:][:4]
			o[0], o[1], o[2] = lay(o[0], c, c, 0, cover), lay(o[1], c, c, 0, cover), lay(o[2], c, c, 0, cover)
		}
	}
}

// blendRows interpolates a row of cells at the height v into dst, whose last value
// repeats.
func (s *stretch) blendRows(dst []float32, cells []float64, v float64) {
	v = min(max(v, 0), float64(s.rows-1))
	i := min(int(v), max(s.rows-2, 0))
	t := v - float64(i)
	a := cells[i*s.cols:][:s.cols]
	b := cells[min(i+1, s.rows-1)*s.cols:][:s.cols]
	b = b[:len(a)]
	dst = dst[:len(a)+1]
	for j, q := range a {
		dst[j] = float32(q + (b[j]-q)*t)
	}
	dst[len(a)] = dst[len(a)-1]
}

// faults marks lit pixels that lose their drop with a cross, dark ones that keep one
// with a ring.
func (p *Picture) faults(c *View) {
	size := max(p.place.pitch*0.22, 3)
	if c.lens.overlay == Hold {
		for _, i := range c.entry.Failing {
			x, y := p.corner(i, size)
			for _, s := range [2]float64{1, -1} {
				stroke(p.Image, x-size/2, y-s*size/2, x+size/2, y+s*size/2, 5, whiteColor)
			}
			for _, s := range [2]float64{1, -1} {
				stroke(p.Image, x-size/2, y-s*size/2, x+size/2, y+s*size/2, 2.4, failColor)
			}
		}
	}
	for _, i := range c.entry.FalseOn {
		x, y := p.corner(i, size)
		ring(p.Image, x, y, size/2, 5, whiteColor)
		ring(p.Image, x, y, size/2, 2.4, failColor)
	}
}

// wanted draws a ring round each place that is to hold a drop.
func (p *Picture) wanted(c *View) {
	radius := c.grid.Drop().Diameter / 2 / c.grid.Design.Grid.Pitch * p.place.pitch
	for i, s := range c.wanted {
		if s == grid.Lit {
			x, y := p.place.middle(i)
			ring(p.Image, x, y, radius, 4, whiteColor)
			ring(p.Image, x, y, radius, 2, wantedColor)
		}
	}
}

// corner is the place for a mark, in the upper right corner of a pixel.
func (p *Picture) corner(pixel int, size float64) (x, y float64) {
	r := p.place.cell(pixel)
	return float64(r.Max.X) - size/2 - 3, float64(r.Min.Y) + size/2 + 3
}

// hands marks the pixels set by hand with a dot in their lower left corner.
func (p *Picture) hands(c *View) {
	for i, v := range c.hands {
		if v != v {
			continue
		}
		r := p.place.cell(i)
		x, y := float64(r.Min.X)+4, float64(r.Max.Y)-4
		ring(p.Image, x, y, 1, 3.4, blackColor)
		ring(p.Image, x, y, 0.5, 1.6, whiteColor)
	}
}

// Pixel returns the pixel at a place of the picture in shares 0…1 of its width and
// height, −1 beside the grid.
func (c *View) Pixel(x, y float64) int {
	r, g := c.grid.Raster, c.grid.Design.Grid
	j := int(math.Floor(x*float64(r.Cols)/float64(r.Samples))) - r.Margin
	i := int(math.Floor(y*float64(r.Rows)/float64(r.Samples))) - r.Margin
	if i < 0 || j < 0 || i >= g.Rows || j >= g.Cols {
		return -1
	}
	return i*g.Cols + j
}

// Cell is the place of a pixel on the picture: its left and upper edge and its side
// in picture elements.
func (p *Picture) Cell(pixel int) (x, y, side float64) {
	return p.place.x0 + float64(pixel%p.place.cols)*p.place.pitch, p.place.y0 + float64(pixel/p.place.cols)*p.place.pitch, p.place.pitch
}
