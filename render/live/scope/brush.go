package scope

import (
	"image"
	"image/color"
	"math"
)

// fill paints a rectangle with one opaque colour.
func fill(img *image.RGBA, r image.Rectangle, c color.RGBA) {
	r = r.Intersect(img.Rect)
	if r.Empty() {
		return
	}
	first := img.Pix[img.PixOffset(r.Min.X, r.Min.Y):][:4*r.Dx()]
	for k := 0; k < len(first); k += 4 {
		first[k], first[k+1], first[k+2], first[k+3] = c.R, c.G, c.B, 255
	}
	for y := r.Min.Y + 1; y < r.Max.Y; y++ {
		copy(img.Pix[img.PixOffset(r.Min.X, y):], first)
	}
}

// frame paints the rim of a rectangle, inside it.
func frame(img *image.RGBA, r image.Rectangle, width int, c color.RGBA) {
	fill(img, image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+width), c)
	fill(img, image.Rect(r.Min.X, r.Max.Y-width, r.Max.X, r.Max.Y), c)
	fill(img, image.Rect(r.Min.X, r.Min.Y, r.Min.X+width, r.Max.Y), c)
	fill(img, image.Rect(r.Max.X-width, r.Min.Y, r.Max.X, r.Max.Y), c)
}

// ring draws an anti-aliased circle line.
func ring(img *image.RGBA, cx, cy, radius, width float64, c color.RGBA) {
	reach := int(radius+width) + 2
	for y := max(int(cy)-reach, 0); y <= min(int(cy)+reach, img.Rect.Dy()-1); y++ {
		for x := max(int(cx)-reach, 0); x <= min(int(cx)+reach, img.Rect.Dx()-1); x++ {
			dx, dy := float64(x)+0.5-cx, float64(y)+0.5-cy
			blend(img, x, y, c, width/2+0.5-math.Abs(math.Sqrt(dx*dx+dy*dy)-radius))
		}
	}
}

// stroke draws an anti-aliased straight line with round ends.
func stroke(img *image.RGBA, x0, y0, x1, y1, width float64, c color.RGBA) {
	dx, dy := x1-x0, y1-y0
	inverse := 1 / max(dx*dx+dy*dy, 1e-9)
	pad := width/2 + 1
	for y := max(int(min(y0, y1)-pad), 0); y <= min(int(max(y0, y1)+pad), img.Rect.Dy()-1); y++ {
		for x := max(int(min(x0, x1)-pad), 0); x <= min(int(max(x0, x1)+pad), img.Rect.Dx()-1); x++ {
			px, py := float64(x)+0.5-x0, float64(y)+0.5-y0
			t := min(max((px*dx+py*dy)*inverse, 0), 1)
			qx, qy := px-t*dx, py-t*dy
			blend(img, x, y, c, width/2+0.5-math.Sqrt(qx*qx+qy*qy))
		}
	}
}

// arrow draws an arrow of the extent (dx, dy) about its middle: dark with a pale rim,
// to be seen on any colour.
func arrow(img *image.RGBA, x, y, dx, dy float64) {
	l := math.Hypot(dx, dy)
	head := min(0.45*l, 7)
	ux, uy := dx/l, dy/l
	tipX, tipY := x+dx/2, y+dy/2
	for _, pass := range [2]struct {
		width float64
		c     color.RGBA
	}{{3, whiteColor}, {1.4, blackColor}} {
		stroke(img, x-dx/2, y-dy/2, tipX, tipY, pass.width, pass.c)
		for _, s := range [2]float64{1, -1} {
			stroke(img, tipX, tipY, tipX-head*(ux+s*0.55*uy), tipY-head*(uy-s*0.55*ux), pass.width, pass.c)
		}
	}
}

// blend lays an opaque colour over a picture element with a cover, held in 0…1.
func blend(img *image.RGBA, x, y int, c color.RGBA, cover float64) {
	if cover <= 0 {
		return
	}
	cover = min(cover, 1)
	k := img.PixOffset(x, y)
	o := img.Pix[k : k+3 : k+3]
	o[0] = lay(o[0], c.R, c.R, 0, float32(cover))
	o[1] = lay(o[1], c.G, c.G, 0, float32(cover))
	o[2] = lay(o[2], c.B, c.B, 0, float32(cover))
}
