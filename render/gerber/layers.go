package gerber

import (
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
)

// mostNamed is the number of pixels up to which every one is drawn by itself, with the
// name of its net. A larger board's copper is one pixel with step and repeat, whose copies
// the format gives no names of their own; the wires' pads have their nets all the same.
const mostNamed = 1024

// Named tells whether the copper carries each pixel's net.
func Named(b *artwork.Board) bool { return b.Cols*b.Rows <= mostNamed || b.Variants != nil }

// Net is the name of a pixel's net, rows and columns counted from 1; all are one where the
// coils share their return.
func Net(b *artwork.Board, row, col int) string {
	if _, shared := b.Common(); shared {
		return "return"
	}
	if b.Scanned() {
		return fmt.Sprintf("column%d.%d", col+1, b.Piece(row)+1)
	}
	return component(b, row, col)
}

// WayNet is the name of the net of a way: its pixel's, or that of a scan's row.
func WayNet(b *artwork.Board, w artwork.Way) string {
	if w.From == artwork.WireRow {
		return rowNet(w.Row)
	}
	return Net(b, w.Row, w.Col)
}

func rowNet(row int) string { return fmt.Sprintf("row%d", row+1) }

// component is a pixel as the part that its pads belong to.
func component(b *artwork.Board, row, col int) string {
	if b.Variants != nil {
		label, _, _, _ := b.Label(row, col)
		return "coil" + label
	}
	return fmt.Sprintf("r%dc%d", row+1, col+1)
}

// pixels calls f for every pixel.
func pixels(b *artwork.Board, f func(row, col int, at r2.Vec)) {
	for row := range b.Rows {
		for col := range b.Cols {
			f(row, col, b.Center(row, col))
		}
	}
}

// Copper writes a copper layer, counted from 0 at the front.
func Copper(w io.Writer, b *artwork.Board, layer int) error { return copper(w, b, layer, Named(b)) }

func copper(w io.Writer, b *artwork.Board, layer int, named bool) error {
	side := "Inr"
	switch layer {
	case 0:
		side = "Top"
	case len(b.Layers) - 1:
		side = "Bot"
	}
	f := begin(w, fmt.Sprintf("Copper,L%d,%s", layer+1, side), "Positive")
	planes := func(by r2.Vec) {
		for _, t := range b.Pixel.Planes {
			if t.Layer == layer {
				f.circle(t.Width, "Conductor")
				f.draw(arcs(t.Points), by)
			}
		}
	}
	drawn := map[*artwork.Pixel][]path{} // a pixel's tracks on the layer, in arcs
	pixel := func(p *artwork.Pixel, by r2.Vec) {
		if drawn[p] == nil {
			drawn[p] = make([]path, len(p.Tracks))
			for i, t := range p.Tracks {
				if t.Layer == layer {
					drawn[p][i] = arcs(t.Points)
				}
			}
		}
		for i, t := range p.Tracks {
			if t.Layer == layer {
				f.circle(t.Width, "Conductor")
				f.draw(drawn[p][i], by)
			}
		}
		for _, h := range p.Holes {
			if h.Kind == artwork.Via {
				f.circle(h.Pad, "ViaPad")
				f.flash(r2.Add(h.At, by))
			}
		}
	}
	if !named {
		f.repeat(b.Cols, b.Rows, b.Pitch)
		pixel(&b.Pixel, b.Center(b.Rows-1, 0))
		planes(b.Center(b.Rows-1, 0))
		f.endRepeat()
	}
	pixels(b, func(row, col int, by r2.Vec) {
		net := Net(b, row, col)
		f.object(net, "")
		p := b.At(row, col)
		if named {
			pixel(p, by)
		}
		for k, kind := range []artwork.HoleKind{artwork.WireIn, artwork.WireOut, artwork.SenseIn, artwork.SenseOut} {
			if h := p.Wire(kind); h.Plated() {
				f.object(net, fmt.Sprintf("%s,%d", component(b, row, col), k+1))
				f.circle(h.Pad, "ComponentPad")
				f.flash(r2.Add(h.At, by))
			}
		}
		if h := p.Wire(artwork.WireRow); h.Plated() {
			f.object(rowNet(row), component(b, row, col)+",3")
			f.circle(h.Pad, "ComponentPad")
			f.flash(r2.Add(h.At, by))
		}
	})
	if named {
		pixels(b, func(row, col int, by r2.Vec) {
			f.object(planeNet(b, layer, row, col), "")
			planes(by)
		})
	}
	for _, w := range b.Ways {
		f.object(WayNet(b, w), "")
		if w.Track.Layer == layer {
			f.circle(w.Track.Width, "Conductor")
			f.draw(arcs(w.Track.Points), r2.Vec{})
		}
		if w.End.Plated() {
			f.circle(w.End.Pad, "ComponentPad")
			f.flash(w.End.At)
		}
	}
	return f.end()
}

// planeNet is the name of the net of copper outside the coils: of a layer's pour, or of one
// feeder along a row or a column.
func planeNet(b *artwork.Board, layer, row, col int) string {
	if common, shared := b.Common(); shared && layer == common {
		return Net(b, row, col)
	}
	name := fmt.Sprintf("plane%d", layer+1)
	switch along, ok := b.FeederAlongRow(layer); {
	case ok && along:
		name += fmt.Sprintf("r%d", row+1)
	case ok:
		name += fmt.Sprintf("c%d", col+1)
	}
	return name
}

// maskSwell is how much wider than a pad, or a bare hole, the mask's opening is on every
// side, m. Common practice, no source.
const maskSwell = 0.05e-3

// Mask writes the openings of the solder mask of the front or the back. Vias are covered.
func Mask(w io.Writer, b *artwork.Board, front bool) error {
	side := "Bot"
	if front {
		side = "Top"
	}
	f := begin(w, "Soldermask,"+side, "Negative")
	open := func(h artwork.Hole, by r2.Vec) {
		if h.Kind != artwork.Via {
			f.circle(max(h.Pad, h.Drill)+2*maskSwell, "Material")
			f.flash(r2.Add(h.At, by))
		}
	}
	pixels(b, func(row, col int, by r2.Vec) {
		for _, h := range b.At(row, col).Holes {
			open(h, by)
		}
	})
	for _, h := range b.Others() {
		open(h, r2.Vec{})
	}
	pixels(b, func(_, _ int, by r2.Vec) {
		for _, t := range b.Pixel.Planes {
			if t.Exposed && (t.Layer == 0) == front {
				f.circle(t.Width, "Material")
				f.draw(arcs(t.Points), by)
			}
		}
	})
	return f.end()
}

// outlineLine is the width of the outline's line, m.
const outlineLine = 0.1e-3

// Profile writes the outline, its line's middle on the board's edge.
func Profile(w io.Writer, b *artwork.Board) error {
	f := begin(w, "Profile,NP", "")
	f.circle(outlineLine, "Profile")
	x, y := b.Width/2, b.Height/2
	corners := []r2.Vec{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	p := path{start: corners[0]}
	for i := range corners {
		p.pieces = append(p.pieces, piece{to: corners[(i+1)%4], turn: line})
	}
	f.draw(p, r2.Vec{})
	return f.end()
}

// legendLine is the width of the legend's lines, m. Common practice, no source.
const legendLine = 0.15e-3

// Legend writes what is printed on the back, to be read from there: the numbers of rows and
// columns along two edges, or of a scan's lines at the holes that they end at, or on a test
// board which coil it is; and a ring round the hole of each pixel's first wire.
func Legend(w io.Writer, b *artwork.Board) error {
	f := begin(w, "Legend,Bot", "Positive")
	f.circle(legendLine, "Material")
	pixels(b, func(row, col int, by r2.Vec) {
		h := b.At(row, col).Wire(artwork.WireIn)
		ring := h.Pad/2 + maskSwell + legendLine*1.5
		f.draw(circlePath(ring), r2.Add(by, h.At))
		if o := b.At(row, col).Wire(artwork.WireRow); o.Plated() { // the diode between them
			along := r2.Unit(r2.Sub(o.At, h.At))
			from, to := r2.Add(h.At, r2.Scale(ring, along)), r2.Sub(o.At, r2.Scale(ring, along))
			if r2.Dot(r2.Sub(to, from), along) > 0 {
				f.draw(path{start: from, pieces: []piece{{to: to, turn: line}}}, by)
			}
		}
	})
	if b.Variants != nil {
		pixels(b, func(row, col int, _ r2.Vec) { f.label(b.Label(row, col)) })
		return f.end()
	}
	if b.Scanned() { // each line's name where it ends, which need not be beside its row or column
		for _, w := range b.Ways {
			f.lineEnd(b, w)
		}
		return f.end()
	}
	sides := r2.Vec{X: (b.Width - float64(b.Cols)*b.Pitch) / 2, Y: (b.Height - float64(b.Rows)*b.Pitch) / 2}
	for row := range b.Rows {
		f.label(fmt.Sprintf("R%d", row+1), r2.Vec{X: -b.Width/2 + sides.X/2, Y: b.Center(row, 0).Y}, sides.X, b.Pitch)
	}
	for col := range b.Cols {
		f.label(fmt.Sprintf("C%d", col+1), r2.Vec{X: b.Center(0, col).X, Y: b.Height/2 - sides.Y/2}, b.Pitch, sides.Y)
	}
	return f.end()
}

// lineEnd writes the name of a scan's line beside the hole that it ends at, towards the edge.
func (f *file) lineEnd(b *artwork.Board, w artwork.Way) {
	const most = 5e-3 // m, so that no screw's hole is written over
	at, pad := w.End.At, w.End.Pad/2+maskSwell
	switch text := strings.NewReplacer("row", "R", "column", "C").Replace(WayNet(b, w)); {
	case !w.End.Plated():
	case w.From == artwork.WireRow:
		room := min(b.Width/2+at.X-pad, most)
		f.label(text, r2.Vec{X: at.X - pad - room/2, Y: at.Y}, room, b.Pitch)
	default:
		beside := (b.Piece(b.Rows-1) + 2) / 2 // of one column's lines at an edge
		room := min(b.Height/2-math.Abs(at.Y)-pad, most)
		f.label(text, r2.Vec{X: at.X, Y: at.Y + math.Copysign(pad+room/2, at.Y)}, b.Pitch/float64(beside), room)
	}
}

func circlePath(radius float64) path {
	p := path{start: r2.Vec{X: radius}}
	for _, to := range []r2.Vec{{X: -radius}, {X: radius}} {
		p.pieces = append(p.pieces, piece{to: to, turn: counterclockwise})
	}
	return p
}

// label writes a text about a point in the room there is, mirrored for the back. Where the
// room is too small to be read, nothing is written.
func (f *file) label(text string, middle r2.Vec, width, height float64) {
	const tallest, least = 2e-3, 0.8e-3 // m
	// A letter is half as wide as tall, and half of that is left between two.
	tall := min(tallest, 0.5*height, 0.7*width/(0.75*float64(len(text))))
	if tall < least {
		return
	}
	left := -tall * (0.75*float64(len(text)) - 0.25) / 2
	for _, letter := range text {
		for _, stroke := range strokes[letter] {
			p := path{}
			for i := 0; i < len(stroke); i += 2 {
				q := r2.Vec{
					X: middle.X - (left + tall*float64(stroke[i]-'0')/4),
					Y: middle.Y + tall*(float64(stroke[i+1]-'0')/4-0.5),
				}
				if i == 0 {
					p.start = q
				} else {
					p.pieces = append(p.pieces, piece{to: q, turn: line})
				}
			}
			f.draw(p, r2.Vec{})
		}
		left += 0.75 * tall
	}
}

// strokes are the letters of the legend, as points on a lattice of 2 by 4.
var strokes = map[rune][]string{
	'0': {"0004242000"}, '1': {"031410", "0020"}, '2': {"0424220200" + "20"}, '3': {"04242000", "0222"},
	'4': {"040222", "2420"}, '5': {"2404022220" + "00"}, '6': {"240400202202"}, '7': {"042410"},
	'8': {"0004242000", "0222"}, '9': {"220204242000"}, 'R': {"0004242202", "1220"}, 'C': {"24040020"}, '-': {"0222"}, '.': {"1011"},
}
