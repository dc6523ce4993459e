package order

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"math"
	"slices"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/field/quantity"
)

// drawing writes an SVG file; bufio keeps the first error for the end.
type drawing struct{ w *bufio.Writer }

func newDrawing(w io.Writer, width, height float64) drawing {
	d := drawing{bufio.NewWriter(w)}
	d.add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" font-family="sans-serif" font-size="12">`, width, height, width, height)
	d.add(`<rect width="100%%" height="100%%" fill="#ffffff"/>`)
	return d
}

func (d drawing) add(format string, args ...any) { fmt.Fprintf(d.w, format+"\n", args...) }

func (d drawing) text(x, y float64, s string) {
	d.add(`<text x="%.1f" y="%.1f">%s</text>`, x, y, html.EscapeString(s))
}

func (d drawing) end() error {
	d.add(`</svg>`)
	if err := d.w.Flush(); err != nil {
		return fmt.Errorf("writing a drawing: %w", err)
	}
	return nil
}

// stackup draws the layers through the board. Copper is drawn thicker than it is against
// the laminate, as the figures say.
func stackup(w io.Writer, d design.Design, b *artwork.Board) error {
	const left, width, step = 20.0, 260.0, 44.0
	out := newDrawing(w, 640, 90+step*float64(len(b.Layers)))
	out.text(left, 24, fmt.Sprintf("%s: %d copper layers, %s finished, not to scale", d.Name, len(b.Layers), quantity.Format(d.Board.Thickness, quantity.Length)))
	y := 44.0
	out.add(`<rect x="%.0f" y="%.0f" width="%.0f" height="16" fill="#3b7a57"/>`, left, y, width)
	out.text(left+width+12, y+12, "solder mask, front (towards the fluid)")
	y += 16
	for i, l := range b.Layers {
		out.add(`<rect x="%.0f" y="%.1f" width="%.0f" height="10" fill="#b87333"/>`, left, y, width)
		use := "coil"
		if i >= len(b.Coil.Spec().Layers) {
			use = "leads and pads"
		}
		out.text(left+width+12, y+10, fmt.Sprintf("copper %d: %s, %s (copper-%d.gbr)", i+1, quantity.FormatIn(l.Copper, quantity.CopperWeight, "µm"), use, i+1))
		y += 10
		if i+1 < len(b.Layers) {
			next := b.Layers[i+1]
			out.add(`<rect x="%.0f" y="%.1f" width="%.0f" height="%.0f" fill="#e6dfb8"/>`, left, y, width, step-10)
			out.text(left+width+12, y+21, fmt.Sprintf("%s, %s", d.Board.Laminate, quantity.Format((l.Z-l.Copper/2)-(next.Z+next.Copper/2), quantity.Length)))
			y += step - 10
		}
	}
	out.add(`<rect x="%.0f" y="%.1f" width="%.0f" height="16" fill="#3b7a57"/>`, left, y, width)
	out.text(left+width+12, y+13, "solder mask and legend, back")
	return out.end()
}

// pixel draws one pixel, a panel a layer, as seen from the front.
func pixel(w io.Writer, b *artwork.Board) error {
	const side, gutter = 380.0, 20.0
	across := min(4, len(b.Layers))
	down := (len(b.Layers) + across - 1) / across
	out := newDrawing(w, gutter+float64(across)*(side+gutter), gutter+float64(down)*(side+gutter+16))
	scale := side / (1.25 * b.Pitch)
	for i := range b.Layers {
		x := gutter + float64(i%across)*(side+gutter)
		y := gutter + float64(i/across)*(side+gutter+16)
		out.text(x, y+10, fmt.Sprintf("copper %d", i+1))
		out.add(`<g transform="translate(%.1f %.1f) scale(%.5f %.5f)" fill="none" stroke="#b87333" stroke-linecap="round" stroke-linejoin="round">`, x+side/2, y+16+side/2, scale*1e-3, -scale*1e-3)
		half := b.Pitch / 2 * 1e3
		out.add(`<rect x="%.4f" y="%.4f" width="%.4f" height="%.4f" stroke="#999999" stroke-width="0.03" stroke-dasharray="0.3 0.2"/>`, -half, -half, 2*half, 2*half)
		for _, t := range slices.Concat(b.Pixel.Planes, b.Pixel.Tracks) {
			if t.Layer != i {
				continue
			}
			_, _ = fmt.Fprintf(out.w, `<polyline stroke-width="%.4f" points="`, t.Width*1e3)
			last := math.Inf(-1)
			along := 0.0
			for k, p := range t.Points {
				if k > 0 {
					along += math.Hypot(p.X-t.Points[k-1].X, p.Y-t.Points[k-1].Y)
				}
				// A drawing to look at needs no more than a point a track's width.
				if k == 0 || k == len(t.Points)-1 || along-last > t.Width {
					_, _ = fmt.Fprintf(out.w, "%.3f,%.3f ", p.X*1e3, p.Y*1e3)
					last = along
				}
			}
			out.add(`"/>`)
		}
		for _, h := range b.Pixel.Holes {
			if h.Plated() {
				out.add(`<circle cx="%.4f" cy="%.4f" r="%.4f" fill="#b87333" stroke="none"/>`, h.At.X*1e3, h.At.Y*1e3, h.Pad/2*1e3)
			}
			out.add(`<circle cx="%.4f" cy="%.4f" r="%.4f" fill="#ffffff" stroke="#333333" stroke-width="0.02"/>`, h.At.X*1e3, h.At.Y*1e3, h.Drill/2*1e3)
		}
		out.add(`</g>`)
	}
	return out.end()
}
