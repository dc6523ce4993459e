package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
)

// Tank draws the tank as a person in front of it sees it: a lit pane, the dark
// fluid with the sheen of its edge, and the pixels' places as faint rings.
type Tank struct {
	Rows, Cols int     // fluid cells
	Width      float64 // m across all cells
	Rings      []Mark
}

// The tank's colours: a pane of lamp-lit milk glass, dark fluid with a sheen on its upper edge,
// faint rings where the coils are, and what lies behind pixels that show a number.
var (
	PaneColor  = color.RGBA{236, 224, 196, 255}
	FluidColor = color.RGBA{22, 20, 26, 255}
	SheenColor = color.RGBA{120, 112, 118, 255}
	RingColor  = color.RGBA{206, 190, 158, 255}
	SlateColor = color.RGBA{74, 78, 84, 255}
)

// AboveCells is how far above a place the fluid is compared with, in cells.
const AboveCells = 1.5

// Shade is how much of a place the fluid covers, and how much of that is sheen: of its Rounded
// share, that of the place AboveCells above, and the RimWidth. The lamp is above, so that the
// sheen lies on the fluid's upper edge.
func Shade(share, above, rim float32) (cover, shine float32) {
	return smooth(0.5-rim, 0.5+rim, share), min(max((share-above)*1.4, 0), 1) * smooth(0.5, 0.9, share)
}

// Palette returns the colours of a tank picture, for a GIF: blends of pane,
// fluid and sheen, and the rings' and lettering's own.
func (Tank) Palette() color.Palette {
	var p color.Palette
	for i := range 119 {
		p = append(p, mix(PaneColor, FluidColor, float64(i)/118))
	}
	for i := range 48 {
		p = append(p, mix(FluidColor, SheenColor, float64(i+1)/48))
	}
	for i := range 24 {
		p = append(p, mix(PaneColor, RingColor, float64(i+1)/24))
	}
	for i := range 48 {
		p = append(p, mix(paper, ink, float64(i)/47))
	}
	for i := range 16 {
		p = append(p, mix(paper, warning, float64(i)/15))
	}
	return p
}

var warning = color.RGBA{176, 40, 24, 255}

// Draw paints the tank into dst at the rectangle at. fraction is the fluid's
// share of each cell (row-major, row 0 at the top); it panics where these are others.
func (b Tank) Draw(dst *image.RGBA, at image.Rectangle, fraction []float64) {
	if len(fraction) != b.Rows*b.Cols || b.Rows < 1 || b.Cols < 1 {
		panic(fmt.Sprintf("drawing the tank: %d values for %d × %d cells", len(fraction), b.Rows, b.Cols))
	}
	w, h := at.Dx(), at.Dy()
	draw.Draw(dst, at, image.NewUniform(PaneColor), image.Point{}, draw.Src)
	for _, k := range b.Rings {
		per := float64(w) / b.Width
		ring(dst, float64(at.Min.X)+float64(w)/2+k.X*per, float64(at.Min.Y)+float64(h)/2-k.Y*per, k.Radius*per, 1, k.Color)
	}
	grid := Map{Values: Rounded(nil, fraction, b.Rows, b.Cols), Rows: b.Rows, Cols: b.Cols}
	rim := float32(RimWidth(b.Cols, w))
	step := float64(b.Cols) / float64(w)
	for y := range h {
		v := (float64(y)+0.5)*float64(b.Rows)/float64(h) - 0.5
		for x := range w {
			u := (float64(x)+0.5)*step - 0.5
			f := grid.sample(v, u)
			if f <= 0.02 {
				continue
			}
			cover, shine := Shade(float32(f), float32(grid.sample(v-AboveCells, u)), rim)
			blend(dst, at.Min.X+x, at.Min.Y+y, mix(FluidColor, SheenColor, float64(shine)), float64(cover))
		}
	}
}

// Rounded writes into to, and returns, cells' shares as they are drawn: each with its
// neighbours, 1 : 2 : 1 either way, so that where half is passed is a smooth line and not the
// cells'. A drop is drawn smaller in radius by 0.4 of a cell squared over its own; a thread
// narrower than a cell is not seen.
func Rounded(to, fraction []float64, rows, cols int) []float64 {
	if len(to) != len(fraction) {
		to = make([]float64, len(fraction))
	}
	at := func(i, j int) float64 { return fraction[min(max(i, 0), rows-1)*cols+min(max(j, 0), cols-1)] }
	for i := range rows {
		column := func(j int) float64 { return (at(i-1, j) + 2*at(i, j) + at(i+1, j)) / 4 }
		left, here := column(-1), column(0)
		for j := range cols {
			right := column(j + 1)
			to[i*cols+j] = (left + 2*here + right) / 4
			left, here = here, right
		}
	}
	return to
}

// RimWidth is how far from a half on either side a Rounded share is an edge, so that the rim of
// the fluid is about two pixels wide in a picture of that width.
func RimWidth(cols, width int) float64 { return min(0.7*float64(cols)/float64(width), 0.25) }

func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + 0.5) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}

// smooth rises from 0 at a to 1 at b with flat ends.
func smooth[F float32 | float64](a, b, x F) F {
	t := min(max((x-a)/(b-a), 0), 1)
	return t * t * (3 - 2*t)
}

// PixelRings returns a ring of the given radius at each pixel's place.
func PixelRings(rows, cols int, pitch, radius float64, c color.RGBA) []Mark {
	marks := make([]Mark, 0, rows*cols)
	for r := range rows {
		for q := range cols {
			marks = append(marks, Mark{
				X: (float64(q) - float64(cols-1)/2) * pitch, Y: (float64(rows-1)/2 - float64(r)) * pitch,
				Radius: radius, Color: c,
			})
		}
	}
	return marks
}
