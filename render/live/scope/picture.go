package scope

import (
	"image"
	"image/color"
	"math"
)

// The tank's colours: a lamp-lit milk glass pane, dark fluid with a sheen on its
// upper edge, and faint rings where the pixels are.
var (
	paneColor  = color.RGBA{236, 224, 196, 255}
	fluidColor = color.RGBA{22, 20, 26, 255}
	sheenColor = color.RGBA{120, 112, 118, 255}
	ringColor  = color.RGBA{206, 190, 158, 255}
)

// Picture is the tank as a person in front of it sees it. Its memory is kept from
// one drawing to the next.
type Picture struct {
	Image      *image.RGBA
	rows, cols int // fluid cells
	base       []uint8
	left       []int     // per cell column: first picture column whose interpolation starts there; one more at the end
	share      []float32 // per picture column: share of the cell to the right
	line, over []float32 // cells interpolated to a picture row, and a little above it
}

// NewPicture prepares a picture of a scope's tank about width pixels wide.
func NewPicture(c *Scope, width int) *Picture {
	r := c.grid.Raster
	width = max(width, 64)
	height := max(width*r.Rows/r.Cols, 1)
	p := &Picture{
		Image: image.NewRGBA(image.Rect(0, 0, width, height)), rows: r.Rows, cols: r.Cols,
		left: make([]int, r.Cols+1), share: make([]float32, width),
		line: make([]float32, r.Cols+1), over: make([]float32, r.Cols+1),
	}
	at := 0
	for x := range width {
		u := min(max((float64(x)+0.5)*float64(r.Cols)/float64(width)-0.5, 0), float64(r.Cols-1))
		j := int(u)
		for ; at <= j; at++ {
			p.left[at] = x
		}
		p.share[x] = float32(u - float64(j))
	}
	for ; at <= r.Cols; at++ {
		p.left[at] = width
	}
	p.pane(c)
	return p
}

// pane draws what lies behind the fluid.
func (p *Picture) pane(c *Scope) {
	img := p.Image
	for k := 0; k < len(img.Pix); k += 4 {
		img.Pix[k], img.Pix[k+1], img.Pix[k+2], img.Pix[k+3] = paneColor.R, paneColor.G, paneColor.B, 255
	}
	d := c.grid.Design
	per := float64(p.cols) / float64(img.Rect.Dx()) // cells per picture column
	scale := 1 / (c.grid.Raster.Spacing * per)      // picture columns per metre
	for row := range d.Grid.Rows {
		for col := range d.Grid.Cols {
			at := c.grid.Center(row, col)
			ring(img, float64(img.Rect.Dx())/2+at.X*scale, float64(img.Rect.Dy())/2-at.Y*scale, d.Coil.Outer/2*scale, 1, ringColor)
		}
	}
	p.base = append(p.base[:0], img.Pix...)
}

// Draw paints the fluid. It does not allocate.
func (p *Picture) Draw(c *Scope) {
	copy(p.Image.Pix, p.base)
	p.fluid(c.basin.Fraction())
}

// fluid draws a fraction per cell, interpolated, with a soft edge.
func (p *Picture) fluid(fraction []float64) {
	w, h := p.Image.Rect.Dx(), p.Image.Rect.Dy()
	for y := range h {
		v := (float64(y)+0.5)*float64(p.rows)/float64(h) - 0.5
		full := p.blendRows(p.line, fraction, v)
		if full < 0 {
			continue // no fluid in this row
		}
		p.blendRows(p.over, fraction, v-1.5)
		out := p.Image.Pix[y*p.Image.Stride:][:4*w]
		for j := range p.cols {
			a, b := p.line[j], p.line[j+1]
			if a < 0.02 && b < 0.02 {
				continue
			}
			oa, ob := p.over[j], p.over[j+1]
			solid := a > 0.98 && b > 0.98 && oa > 0.9 && ob > 0.9
			for x := p.left[j]; x < p.left[j+1]; x++ {
				k := 4 * x
				if solid {
					out[k], out[k+1], out[k+2] = fluidColor.R, fluidColor.G, fluidColor.B
					continue
				}
				t := p.share[x]
				f, o := a+(b-a)*t, oa+(ob-oa)*t
				cover := smooth(0.3, 0.7, f)
				shine := min(max((f-o)*1.4, 0), 1) * smooth(0.5, 0.9, f)
				for n, cs := range [3][2]float32{{float32(fluidColor.R), float32(sheenColor.R)}, {float32(fluidColor.G), float32(sheenColor.G)}, {float32(fluidColor.B), float32(sheenColor.B)}} {
					under := float32(out[k+n])
					out[k+n] = uint8(under + (cs[0]+(cs[1]-cs[0])*shine-under)*cover + 0.5)
				}
			}
		}
	}
}

// blendRows interpolates a row of cells at the height v into dst, whose last value
// repeats, and returns −1 when the row holds nothing.
func (p *Picture) blendRows(dst []float32, fraction []float64, v float64) int {
	v = min(max(v, 0), float64(p.rows-1))
	i := min(int(v), max(p.rows-2, 0))
	t := v - float64(i)
	a := fraction[i*p.cols:][:p.cols]
	b := fraction[min(i+1, p.rows-1)*p.cols:][:p.cols]
	some := -1
	for j, q := range a {
		f := float32(q + (b[j]-q)*t)
		dst[j] = f
		if f >= 0.02 {
			some = j
		}
	}
	dst[p.cols] = dst[p.cols-1]
	return some
}

// Pixel returns the pixel at a place of the picture, −1 beside the grid.
func (p *Picture) Pixel(c *Scope, x, y int) int {
	r := c.grid.Raster
	i := y*r.Rows/max(p.Image.Rect.Dy(), 1)/r.Samples - r.Margin
	j := x*r.Cols/max(p.Image.Rect.Dx(), 1)/r.Samples - r.Margin
	g := c.grid.Design.Grid
	if y < 0 || x < 0 || i < 0 || j < 0 || i >= g.Rows || j >= g.Cols {
		return -1
	}
	return i*g.Cols + j
}

// smooth rises from 0 at a to 1 at b with flat ends.
func smooth(a, b, x float32) float32 {
	t := min(max((x-a)/(b-a), 0), 1)
	return t * t * (3 - 2*t)
}

// ring draws an anti-aliased circle line.
func ring(img *image.RGBA, cx, cy, radius, width float64, c color.RGBA) {
	reach := int(radius+width) + 2
	for y := max(int(cy)-reach, 0); y <= min(int(cy)+reach, img.Rect.Dy()-1); y++ {
		for x := max(int(cx)-reach, 0); x <= min(int(cx)+reach, img.Rect.Dx()-1); x++ {
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
