package artwork

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/field/coil"
)

// Board is the artwork of a whole board.
type Board struct {
	Pixel         Pixel
	Cols, Rows    int
	Pitch         float64
	Layers        []coil.Layer // copper layers, front first
	Width, Height float64      // of the outline, its middle on the grid's
	Mounts        []Hole       // from the middle of the grid
	Ways          []Way        // all of the pixels' connections to the edge, or none
	NoWays        string       // why none is drawn where drivers at the edge ask for them
	Coil          *coil.Coil
	Variants      []*Board // whose pixels stand in turn on a Panel, none elsewhere

	design design.Design
	lanes  lanes
	down   float64 // a Panel's pitch from row to row
	turned bool    // the pixels, by a quarter: the ways run along the columns
	passes bool    // leads and pads stay out of where a pour passes between coils
}

// Pixel is one pixel's copper and holes, from its middle.
type Pixel struct {
	Tracks []Track
	Planes []Track // copper outside the coil, no part of its net, on through the neighbours
	Holes  []Hole
}

// clone is the pixel for another try, its lines shared: they are replaced, never written to.
func (p Pixel) clone() Pixel {
	return Pixel{Tracks: slices.Clone(p.Tracks), Planes: slices.Clone(p.Planes), Holes: slices.Clone(p.Holes)}
}

// Track is copper of one width along a line.
type Track struct {
	Layer  int // from 0 at the front
	Width  float64
	Points []r2.Vec // of the middle line, along the current; chords miss arcs by 0.5 µm
	Lead   bool     // from the coil to a wire's hole, no part of the coil
	// Exposed copper lies under no solder mask.
	Exposed bool
}

// HoleKind is what a hole is for.
type HoleKind int

// The kinds of holes. Core and mounting holes have no copper.
const (
	Via HoleKind = iota
	WireIn
	WireOut
	WireRow // of a scan's row, for the diode to the first wire's
	WireEnd // of a Way, in the margin
	Core
	Mount
	SenseIn // beside a wire's hole, for a voltmeter
	SenseOut
)

// Hole is a hole through the whole board. A plated one has its pad on every layer.
type Hole struct {
	Kind       HoleKind
	At         r2.Vec
	Drill, Pad float64 // diameters; Pad is 0 for a bare hole
}

// Plated tells whether the hole has copper.
func (h Hole) Plated() bool { return h.Pad > 0 }

// Misfit is a board that cannot be drawn as the design asks.
type Misfit struct {
	Key     string // of the design file
	Problem string
	Accept  string
}

func (m *Misfit) Error() string {
	return fmt.Sprintf("%s: %s; accepted: %s", m.Key, m.Problem, m.Accept)
}

// tolerance is by how much chords may miss a track's arcs.
const tolerance = 0.5e-6

// Draw draws the board of a design, and the ways of its connections where package escape
// judges them. The error is a *Misfit where the design leaves no room for what is to be
// drawn; connections that do not fit are left out, and Board.NoWays says why.
func Draw(ctx context.Context, d design.Design, ways escape.Answer) (*Board, error) {
	b, err := begin(d)
	if err != nil {
		return nil, fmt.Errorf("drawing the board: %w", err)
	}
	// First with the room between the coils left open for the pours there.
	var open []bool
	for i := range d.Coil.Layers {
		if _, pour, _ := d.PlaneOn(i); pour > 0 {
			open = []bool{true}
		}
	}
	open = append(open, false)
	scan := ways.Judged && ways.Place == design.PlaceEdge && ways.Wires == 0
	var t *Board
	if scan {
		t, err = b.scanned(ctx, ways)
	} else {
		t, err = b.connected(ctx, ways, open)
	}
	if t != nil || err != nil {
		return t, err
	}
	if b.NoWays != "" && !scan && d.Coil.Shape != coil.Hexagon { // another shape is itself after a quarter turn
		quarter, err := begin(turned(d))
		if err != nil {
			return nil, fmt.Errorf("drawing the board: %w", err)
		}
		t, err := quarter.connected(ctx, ways, open)
		switch {
		case err != nil:
			return nil, err
		case t != nil:
			t.turn(d)
			return t, nil
		case quarter.NoWays != b.NoWays:
			b.NoWays = "along the rows: " + b.NoWays + "; along the columns: " + upright.Replace(quarter.NoWays)
		}
	}
	coils := b.Pixel
	var told *Misfit
	for _, b.passes = range open {
		b.Pixel = coils.clone()
		if err = b.addLeads(ctx); err == nil {
			err = b.addPlanes(ctx)
		}
		var misfit *Misfit
		switch {
		case err == nil:
			return b, nil
		case !errors.As(err, &misfit):
			return nil, err
		case told == nil || told.Key != "board.planes": // else the pour is told as what would fit best
			told = misfit
		}
	}
	return nil, told
}

// upright are a turned design's words for the design as it stands.
var upright = strings.NewReplacer("order.width", "order.height", "between rows", "between columns")

// begin makes the board with its coils alone.
func begin(d design.Design) (*Board, error) {
	var err error
	b := &Board{
		Cols: d.Grid.Cols, Rows: d.Grid.Rows, Pitch: d.Grid.Pitch,
		Width: d.Order.Width, Height: d.Order.Height, design: d,
	}
	if b.Coil, err = coil.New(d.CoilSpec(), d.Board.Rules); err != nil {
		return nil, err
	}
	b.Layers = d.Stack()
	b.wind()
	b.mount()
	return b, nil
}

// connected draws leads, ways along the rows, and planes on a copy of a board of coils; nil
// where that cannot be or need not, and then the board's NoWays tells what is in the way.
func (b *Board) connected(ctx context.Context, ways escape.Answer, open []bool) (*Board, error) {
	var l lanes
	if l, b.NoWays = plan(b.design, ways); len(l.layers) == 0 {
		return nil, nil
	}
	for _, back := range b.spins() {
		for _, passes := range open {
			t := *b
			t.lanes, t.passes, t.Pixel = l, passes, b.Pixel.turned(func(p r2.Vec) r2.Vec { return r2.Rotate(p, -back, r2.Vec{}) })
			var err error
			if t.NoWays, err = t.connect(ctx); t.NoWays == "" || err != nil {
				return &t, err
			}
			if b.NoWays == "" { // else the coil as it is says best what to change
				b.NoWays = t.NoWays
			}
		}
	}
	return nil, nil
}

// spins are the angles by which the coil is turned back for ways along the rows: round ones
// have their joints at the edge face the neighbour in the row, too, where no way runs.
func (b *Board) spins() []float64 {
	list := []float64{0}
	if b.Coil.Spec().Shape != coil.Round {
		return list
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, v := range b.Coil.Vias() {
		if !v.Inner {
			phi := math.Atan2(v.Y, v.X)
			least, most = min(least, phi), max(most, phi)
		}
	}
	if most-least < math.Pi {
		list = append(list, (least+most)/2)
	}
	return list
}

// Edges says at which edges of the board the ways end.
func (b *Board) Edges() string {
	if b.turned {
		return "upper and lower"
	}
	return "left and right"
}

// turned is a design whose board is this one's turned by a quarter.
func turned(d design.Design) design.Design {
	d.Grid.Cols, d.Grid.Rows = d.Grid.Rows, d.Grid.Cols
	d.Order.Width, d.Order.Height = d.Order.Height, d.Order.Width
	return d
}

func (t Track) turned(turn func(r2.Vec) r2.Vec) Track {
	t.Points = slices.Clone(t.Points)
	for i, p := range t.Points {
		t.Points[i] = turn(p)
	}
	return t
}

func (p Pixel) turned(turn func(r2.Vec) r2.Vec) Pixel {
	p = p.clone()
	for i, t := range p.Tracks {
		p.Tracks[i] = t.turned(turn)
	}
	for i, t := range p.Planes {
		p.Planes[i] = t.turned(turn)
	}
	for i, h := range p.Holes {
		p.Holes[i].At = turn(h.At)
	}
	return p
}

// turn turns the drawing of a turned design counter-clockwise by a quarter.
func (b *Board) turn(d design.Design) {
	quarter := func(p r2.Vec) r2.Vec { return r2.Vec{X: -p.Y, Y: p.X} }
	b.Pixel = b.Pixel.turned(quarter)
	for i := range b.Mounts {
		b.Mounts[i].At = quarter(b.Mounts[i].At)
	}
	for i := range b.Ways {
		w := &b.Ways[i]
		w.Track, w.End.At = w.Track.turned(quarter), quarter(w.End.At)
		w.Row, w.Col = b.Cols-1-w.Col, w.Row
	}
	b.Cols, b.Rows, b.Width, b.Height, b.design, b.turned = b.Rows, b.Cols, b.Height, b.Width, d, true
}

// wind draws the coil, its vias and the hole for the core.
func (b *Board) wind() {
	s := b.Coil.Spec()
	for i, line := range b.Coil.Tracks(tolerance) {
		t := Track{Layer: i, Width: s.Track, Points: make([]r2.Vec, len(line))}
		for k, p := range line {
			t.Points[k] = r2.Vec{X: p.X, Y: p.Y}
		}
		b.Pixel.Tracks = append(b.Pixel.Tracks, t)
	}
	for _, v := range b.Coil.Vias() {
		b.Pixel.Holes = append(b.Pixel.Holes, Hole{Kind: Via, At: r2.Vec{X: v.X, Y: v.Y}, Drill: v.Drill, Pad: v.Pad})
	}
	if iron := b.design.Iron; iron.Model != design.IronNone && iron.CoreRadius > 0 {
		b.Pixel.Holes = append(b.Pixel.Holes, Hole{Kind: Core, Drill: 2 * iron.CoreRadius})
	}
}

// mount places the screws' holes in the corners, as far from both edges as half the
// narrower margin.
func (b *Board) mount() {
	w, h := b.design.Size()
	if b.design.Order.MountDrill == 0 {
		return
	}
	in := math.Min(b.Width-w, b.Height-h) / 4
	for _, sign := range []r2.Vec{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: 1, Y: 1}} {
		b.Mounts = append(b.Mounts, Hole{Kind: Mount, Drill: b.design.Order.MountDrill,
			At: r2.Vec{X: sign.X * (b.Width/2 - in), Y: sign.Y * (b.Height/2 - in)}})
	}
}

// Others are the holes outside the pixels: the screws' and those at the ways' ends.
func (b *Board) Others() []Hole {
	list := slices.Clone(b.Mounts)
	for _, w := range b.Ways {
		if w.End.Plated() {
			list = append(list, w.End)
		}
	}
	return list
}

// Ends are the holes in the margin at which the ways end.
func (b *Board) Ends() []Hole { return b.Others()[len(b.Mounts):] }

// At is the pixel at a place of the board.
func (b *Board) At(row, col int) *Pixel {
	if n := len(b.Variants); n > 0 {
		return &b.Variants[(row*b.Cols+col)%n].Pixel
	}
	return &b.Pixel
}

// Center returns the middle of a pixel from the middle of the grid, row 0 at the top.
func (b *Board) Center(row, col int) r2.Vec {
	if len(b.Variants) > 0 {
		return r2.Vec{X: (float64(col) - float64(b.Cols-1)/2) * b.Pitch, Y: (float64(b.Rows-1)/2 - float64(row)) * b.down}
	}
	p := b.design.PixelCenter(row, col)
	return r2.Vec{X: p.X, Y: p.Y}
}

// Wire returns the hole of the wire at which the coil's current enters, or leaves.
func (b *Board) Wire(k HoleKind) Hole { return b.Pixel.Wire(k) }

// Wire is that hole of the pixel, from its middle.
func (p *Pixel) Wire(k HoleKind) Hole {
	for _, h := range p.Holes {
		if h.Kind == k {
			return h
		}
	}
	return Hole{}
}
