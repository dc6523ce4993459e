package artwork

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/field/quantity"
)

// Scanned tells whether the board carries a scan's lines: one along each row, at a third hole
// of every pixel, from which a diode leads to the coil's first one, and one along each column,
// or for each piece of it, at the coils' second holes.
func (b *Board) Scanned() bool { return len(b.Ways) > 0 && b.Ways[0].Line > 0 }

// Piece is which piece of its column's line a row belongs to, from 0 at the top.
func (b *Board) Piece(row int) int { return row / b.design.Turns() }

// diodePlaces is how many places round the first hole are tried for the third.
const diodePlaces = 72

// scanned draws a scan's lines on a copy of a board of coils; nil where they cannot be, and
// then the board's NoWays tells what is in the way.
func (b *Board) scanned(ctx context.Context, a escape.Answer) (*Board, error) {
	d := b.design
	switch {
	case a.Obstacle != "":
		b.NoWays = a.Obstacle
		return nil, nil
	case d.Drive.Bridge != design.BridgeLowSide:
		b.NoWays = "lines that rows and columns share need a diode at each coil, which lets the current pass one way, and a full bridge sends it both ways: drive.bridge = \"low-side\" has it one way"
		return nil, nil
	}
	var layers []int // from the back
	for i := len(b.Layers) - 1; i >= 0; i-- {
		if feeders, pour, _ := d.PlaneOn(i); !feeders && pour == 0 {
			layers = append(layers, i)
		}
	}
	coils := *b
	coils.Pixel = b.Pixel.clone()
	terminals, err := coils.terminals()
	if err != nil {
		return nil, err
	}
	err = coils.leads(ctx, terminals, d.Order.WireDrill)
	var full *noRoom
	if errors.As(err, &full) {
		b.NoWays = full.what
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	places := coils.diodePlaces()
	if len(places) == 0 {
		b.NoWays = fmt.Sprintf("no place for the hole of each coil's diode %s from that of its first wire (order.diode_span)", quantity.Format(d.Order.DiodeSpan, quantity.Length))
		return nil, nil
	}
	if len(layers) < 2 {
		b.NoWays = "board.planes leaves no two layers for the lines of rows and columns"
		return nil, nil
	}
	told := func(why string) {
		if b.NoWays == "" {
			b.NoWays = why
		}
	}
	for _, at := range places {
		with := coils
		with.Pixel = coils.Pixel.clone()
		wire := with.Wire(WireIn)
		with.Pixel.Holes = append(with.Pixel.Holes, Hole{Kind: WireRow, At: at, Drill: wire.Drill, Pad: wire.Pad})
		columns := map[int][][]r2.Vec{} // by layer, nil where they find no way
		for _, row := range layers {
			if err := ctx.Err(); err != nil {
				return nil, fmt.Errorf("drawing a scan's lines: %w", err)
			}
			tap, ok := with.lane(row, true, a.Width, a.Gap, WireRow, 1)
			if !ok {
				told(fmt.Sprintf("a line along each row, %s wide, finds no straight way past the holes of %s, or none from there to each diode's hole", quantity.Format(a.Width, quantity.Length), layerName(row)))
				continue
			}
			for _, column := range layers {
				if row == column {
					continue
				}
				taps, looked := columns[column]
				if !looked {
					taps, _ = with.lane(column, false, a.Column, a.Gap, WireOut, (d.Pieces()+1)/2)
					columns[column] = taps
				}
				if taps == nil {
					told(fmt.Sprintf("lines along each column, %d side by side, %s wide, find no straight way past the holes of %s, or none from there to each coil's second hole", (d.Pieces()+1)/2, quantity.Format(a.Column, quantity.Length), layerName(column)))
					continue
				}
				t := with
				t.Pixel = with.Pixel.clone()
				why, err := t.lines(ctx, a, row, column, tap[0], taps, b.NoWays != "")
				if err != nil {
					return nil, err
				}
				if why == "" {
					return &t, nil
				}
				told(why)
			}
		}
	}
	return nil, nil
}

// diodePlaces are a few places for the diode's hole, all round the first wire's.
func (b *Board) diodePlaces() (list []r2.Vec) {
	wire, span := b.Wire(WireIn), b.design.Order.DiodeSpan
	m := b.roomFor(wire.Drill, wire.Pad, b.leastGap())
	const most = 4
	for i := range diodePlaces {
		phi := 2 * math.Pi * float64(i) / diodePlaces
		at := r2.Add(wire.At, r2.Vec{X: span * math.Cos(phi), Y: span * math.Sin(phi)})
		if !m.blocked(at) {
			list = append(list, at)
		}
	}
	if n := len(list); n > most { // spread over all that there are
		for i := range most {
			list[i] = list[i*n/most]
		}
		list = list[:most]
	}
	return list
}

// lines draws the rows' lines on one layer, each with a tap at its pixels, and the columns' on
// another, with theirs by its place in the column, or tells why not: in short once another reason was told.
func (b *Board) lines(ctx context.Context, a escape.Answer, rowLayer, columnLayer int, tap []r2.Vec, columns [][]r2.Vec, told bool) (string, error) {
	if err := ctx.Err(); err != nil {
		return "", fmt.Errorf("drawing a scan's lines: %w", err)
	}
	for row := range b.Rows {
		var list []start
		for col := range b.Cols {
			list = append(list, start{row, col})
		}
		slices.Reverse(list) // they leave at the left
		if why := b.line(rowLayer, list, a.Width, tap, r2.Vec{X: -1}, WireRow); why != "" {
			return why, nil
		}
	}
	turns, pieces := b.design.Turns(), b.design.Pieces()
	for col := range b.Cols {
		for piece := range pieces {
			var list []start
			for row := piece * turns; row < min((piece+1)*turns, b.Rows); row++ {
				list = append(list, start{row, col})
			}
			// The upper half leaves at the top, the outermost piece by the lane nearest to the hole.
			out, lane := r2.Vec{Y: -1}, pieces-1-piece
			if piece < (pieces+1)/2 {
				slices.Reverse(list)
				out, lane = r2.Vec{Y: 1}, piece
			}
			if why := b.line(columnLayer, list, a.Column, columns[lane], out, WireOut); why != "" {
				return why, nil
			}
		}
	}
	if told && !b.clear(rowLayer, columnLayer) {
		return "with them, a rule would be broken", nil
	}
	return b.complete(ctx)
}

// clear tells whether the lines on these layers, and the holes at their ends, keep the
// distances that Checks asks of them: the little of it that goes with the layers.
func (b *Board) clear(layers ...int) bool {
	clearance := b.design.Board.HoleClearance
	for _, i := range layers {
		rule, _ := b.design.Board.Rules.TrackRule(b.Layers[i].Copper)
		if least, _, bare := b.wayGap(i, max(rule.Gap, clearance)); least < rule.Gap-rounding || bare < clearance-rounding {
			return false
		}
	}
	laminate, bare, edge := b.wayHoles()
	return laminate >= b.design.Order.HoleSpacing-rounding && bare >= clearance-rounding && edge >= b.design.Order.EdgeClearance-rounding
}

// lane finds for so many tracks side by side straight through the cell, along the row or the
// column, the tap on each: the way from a pixel's hole to it, from the pixel's middle.
func (b *Board) lane(layer int, row bool, width, gap float64, kind HoleKind, n int) (taps [][]r2.Vec, ok bool) {
	hole := b.Wire(kind)
	step := width + gap
	if n > 1 {
		step = max(step, solderApart*hole.Pad) // their holes in the margin stand side by side
	}
	if float64(n-1)*step+width+gap > b.Pitch {
		return nil, false // two rows' or columns' would touch
	}
	middle, ok := b.closedTo(layer, float64(n-1)*step+width).straight(row)
	if !ok {
		return nil, false
	}
	others := *b
	others.Pixel = Pixel{Holes: slices.DeleteFunc(slices.Clone(b.Pixel.Holes), func(h Hole) bool { return h.Kind == kind }),
		Tracks: slices.DeleteFunc(slices.Clone(b.Pixel.Tracks), func(t Track) bool { return t.ends(hole.At) })}
	narrow := b.Coil.Spec().Track
	m := others.closedTo(layer, narrow)
	first := m.middle(middle, middle).X
	for _, sign := range []float64{1, -1} { // lane 0 on this side of the others or on that
		taps = nil
		for k := range n {
			across := func(k int) float64 { return first + sign*(float64(k)-float64(n-1)/2)*step }
			mk := &roads{pitch: m.pitch, step: m.step, n: m.n, closed: slices.Clone(m.closed)}
			for i := k + 1; i < n; i++ { // those that pass by
				half, at := b.Pitch/2, across(i)
				other := []r2.Vec{{X: -half, Y: at}, {X: half, Y: at}}
				if !row {
					other = []r2.Vec{{X: at, Y: -half}, {X: at, Y: half}}
				}
				mk.blockLine(other, width/2+gap+narrow/2)
			}
			tap := mk.tap(hole.At, across(k), row)
			if tap == nil {
				break
			}
			taps = append(taps, tap)
		}
		if len(taps) == n {
			return taps, true
		}
	}
	return nil, false
}

// tap is the way from a point to the nearest place that it reaches on a straight line along
// the row or the column, or on one of the line's images.
func (m *roads) tap(from r2.Vec, across float64, row bool) []r2.Vec {
	const each = 48
	var places []r2.Vec
	for i := range each {
		along := (float64(i)+0.5)/each*m.pitch - m.pitch/2
		p := r2.Vec{X: along, Y: across}
		if !row {
			p = r2.Vec{X: across, Y: along}
		}
		places = append(places, p)
	}
	off := func(p r2.Vec) float64 { // to its nearest image
		d := r2.Sub(p, from)
		return math.Hypot(math.Remainder(d.X, m.pitch), math.Remainder(d.Y, m.pitch))
	}
	slices.SortFunc(places, func(p, q r2.Vec) int { return cmp.Compare(off(p), off(q)) })
	for _, p := range places[:each/4] {
		if line := m.path(from, p); line != nil {
			return line
		}
	}
	return nil
}

// start is a pixel at a line.
type start struct{ row, col int }

// line draws a line from the farthest of its pixels to a hole in the margin, and the tracks
// from each pixel's hole to it; or tells what is in the way.
func (b *Board) line(layer int, list []start, width float64, tap []r2.Vec, out r2.Vec, kind HoleKind) string {
	n := 1
	if k := len(b.Ways); k > 0 {
		n = b.Ways[k-1].Line + 1
	}
	wire := b.Wire(kind)
	var bus []r2.Vec
	var spokes []Way
	for _, s := range list {
		points := make([]r2.Vec, len(tap))
		for i, p := range tap {
			points[i] = r2.Add(b.Center(s.row, s.col), p)
		}
		end := points[len(points)-1]
		bus = append(bus, end)
		spokes = append(spokes, Way{Row: s.row, Col: s.col, From: kind, Line: n,
			Track: Track{Layer: layer, Width: b.Coil.Spec().Track, Points: points}, End: Hole{Kind: WireEnd, At: end}})
	}
	low, high := b.Pixel.bounds()
	w, h := b.design.Size()
	grid, beyond, board, key := w/2, max(-low.X, high.X)-b.Pitch/2, b.Width/2, "order.width"
	if out.X == 0 {
		grid, beyond, board, key = h/2, max(-low.Y, high.Y)-b.Pitch/2, b.Height/2, "order.height"
	}
	at := grid + max(beyond, b.design.Order.HoleSpacing) + b.leastGap() + wire.Pad/2
	if rim := at + max(wire.Pad, width)/2 + b.design.Order.EdgeClearance; rim > board {
		return fmt.Sprintf("the margin has no room for the holes that the lines end at: an %s of %s or more has", key, quantity.Format(math.Ceil(2*rim*1e4)/1e4, quantity.Length))
	}
	end := bus[len(bus)-1]
	if out.X != 0 {
		end.X = at * out.X
	} else {
		end.Y = at * out.Y
	}
	first := list[0]
	b.Ways = append(b.Ways, Way{Row: first.row, Col: first.col, From: kind, Line: n,
		Track: Track{Layer: layer, Width: width, Points: append(bus, end)}, End: Hole{Kind: WireEnd, At: end, Drill: wire.Drill, Pad: wire.Pad}})
	b.Ways = append(b.Ways, spokes...)
	return ""
}

// ledByLines is what a scan's lines have between each pixel's holes and the edge, Ω at 20 °C:
// of a row's line what drops while as many of its pixels as may are lit, over one's current.
func (b *Board) ledByLines(leads float64) []float64 {
	list := slices.Repeat([]float64{leads}, b.Rows*b.Cols)
	for i, w := range b.Ways {
		if !w.End.Plated() {
			list[w.Row*b.Cols+w.Col] += b.Resistance(w)
			continue
		}
		at, most := 0.0, 1 // from the edge inwards
		if w.From == WireRow {
			most = b.design.Drive.MostLit
		}
		points := w.Track.Points
		for k := len(points) - 2; k >= 0; k-- {
			piece := w
			piece.Track.Points = points[k : k+2]
			at += b.Resistance(piece) * float64(min(k+1, most))
			spoke := b.Ways[i+1+k] // that ends there
			list[spoke.Row*b.Cols+spoke.Col] += at
		}
	}
	return list
}

// joinedLines follows a scanned board's copper as Joined does: rows' lines with the diodes'
// holes, and columns' lines with their coils.
func (b *Board) joinedLines() (nets int, err error) {
	of, err := b.touching()
	if err != nil {
		return 0, err
	}
	pixels := b.Rows * b.Cols
	names, roots := map[int]string{}, map[string]int{}
	look := func(node int, name string) error {
		root := of.net(node)
		if other, known := names[root]; known && other != name {
			return fmt.Errorf("tracing the board's nets: the line of %s is joined with that of %s", name, other)
		}
		if other, known := roots[name]; known && other != root {
			return fmt.Errorf("tracing the board's nets: the line of %s comes in pieces that are not joined", name)
		}
		names[root], roots[name] = name, root
		return nil
	}
	lineName := func(kind HoleKind, row, col int) string {
		if kind == WireRow {
			return fmt.Sprintf("row %d", row+1)
		}
		return fmt.Sprintf("column %d, piece %d", col+1, b.Piece(row)+1)
	}
	for i := range pixels {
		row, col := i/b.Cols, i%b.Cols
		if err := errors.Join(look(i, lineName(WireOut, row, col)), look(pixels+i, lineName(WireRow, row, col))); err != nil {
			return 0, err
		}
	}
	for i, w := range b.Ways {
		if err := look(2*pixels+i, lineName(w.From, w.Row, w.Col)); err != nil {
			return 0, err
		}
	}
	return len(roots), nil
}
