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
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// Way is a connection from one of a pixel's holes to a hole in the margin left or right of
// the grid: out of the hole into the channel between two rows, along it, and out of it again.
// On a board that is drawn with its pixels turned, it is the channel between two columns, and
// the margin above or below.
// Its points count from the middle of the grid.
type Way struct {
	Row, Col int
	From     HoleKind
	Track    Track
	End      Hole
	// Line numbers a scan's lines from 1, and is 0 for a pixel's own connection. A line is a
	// way with a hole at its End from its farthest pixel on, whose points are where its pixels
	// join it, and behind it in the list, in that order, a way without a hole for each of them.
	Line int
}

// Resistance is the track's at 20 °C, Ω.
func (b *Board) Resistance(w Way) float64 {
	return material.AnnealedCopper.Resistivity * w.Track.Length() / (w.Track.Width * b.Layers[w.Track.Layer].Copper)
}

// Led is what lies between each pixel's coil and the edge, Ω at 20 °C: its leads and its
// tracks. A common return's copper is not in it.
func (b *Board) Led(net Net) []float64 {
	if b.Scanned() {
		return b.ledByLines(net.Leads)
	}
	list := slices.Repeat([]float64{net.Leads}, b.Rows*b.Cols)
	for _, w := range b.Ways {
		list[w.Row*b.Cols+w.Col] += b.Resistance(w)
	}
	return list
}

// lanes is what the channels between rows hold: tracks side by side on each layer, half of
// them, and half of the layers' middle ones, for the wires from below the channel, the others
// for those from above; each to both edges of the board.
type lanes struct {
	layers     []int // that carry any, front first
	each       int   // tracks on a layer
	wires      int   // of a pixel that have a track: the first, or both
	common     int   // layer of the return that all second wires share, 0 for none: no coil leaves the front free
	width, gap float64
}

// strip is how far other copper's edge stays from the channel's middle, m.
func (l lanes) strip() float64 { return (float64(l.each)*(l.width+l.gap) + l.gap) / 2 }

// holds is how many tracks are there for wires from one side.
func (l lanes) holds() int { return l.each/2*len(l.layers) + l.each%2*(len(l.layers)/2) }

// at is the layer of a track, counted from the channel's middle on, and how far from that it
// runs, m, for wires from above or from below.
func (l lanes) at(i int, above bool) (layer int, off float64) {
	n, first := len(l.layers), 0.5
	if l.each%2 == 1 {
		if i < n/2 {
			if above {
				i += n / 2
			}
			return l.layers[i], 0
		}
		i, first = i-n/2, 1
	}
	return l.layers[i%n], (float64(i/n) + first) * (l.width + l.gap)
}

// plan chooses the layers that carry the pixels' wires along the rows; none where nothing is
// to be drawn, and why nothing can be.
//
// Each pixel's wires go straight to the nearer side. The count of package escape lets
// wires change channels on their way, which brings out twice as many at best on a square
// grid whose coils' vias and wires' holes leave the channels free both ways.
func plan(d design.Design, a escape.Answer) (lanes, string) {
	l := lanes{width: a.Width, gap: a.Gap}
	if !a.Judged || a.Place != design.PlaceEdge || a.Wires == 0 {
		return l, ""
	}
	if d.Drive.InSeries > 1 {
		return l, fmt.Sprintf("the joints of coils in series are not drawn; a second board carries them, from each coil's second hole to the first of the next, %d coils on an output (drive.in_series)", d.Drive.InSeries)
	}
	l.wires = a.Wires
	for i := range d.Board.Layers {
		if feeders, pour, _ := d.PlaneOn(i); !feeders && pour == 0 { // which would be cut through
			l.layers = append(l.layers, i)
		}
	}
	if n := len(l.layers); a.Plane > 0 {
		if n == 0 || l.layers[n-1] < d.Coil.Layers {
			return lanes{}, "board.planes leaves no layer without windings for the common return"
		}
		l.common, l.layers = l.layers[n-1], l.layers[:n-1]
	}
	if len(l.layers) == 0 {
		return l, "board.planes leaves no layer for tracks between pixels"
	}
	side, n := (d.Grid.Cols+1)/2, len(l.layers) // of a row's first wires, and of its second ones
	for l.each = 1; l.holds() < side && l.each <= 2*side; {
		l.each++
	}
	if room := a.Between; l.each > room {
		return lanes{}, fmt.Sprintf("straight on, %d tracks go to either side in each channel, %d beside each other on %d layers, and %d fit (%s wide)", 2*side, l.each, n, room, quantity.Format(l.width, quantity.Length))
	}
	return l, ""
}

// keepChannel closes to what is so wide the channels that tracks or feeders run in, and those
// in which a pour between coils passes from pixel to pixel.
func (b *Board) keepChannel(m *roads, width float64) {
	row, col := 0.0, 0.0 // half of what is kept along the rows, and along the columns
	if len(b.lanes.layers) > 0 {
		row = b.lanes.strip()
	}
	for i := range b.Layers {
		switch feeders, pour, _ := b.design.PlaneOn(i); {
		case feeders:
			row = max(row, b.design.Drive.FeederWidth/2+b.leastGap())
		case pour > 0 && i < b.design.Coil.Layers && b.passes:
			col = max(col, b.design.Coil.Track/2+b.leastGap())
			row = max(row, col)
		}
	}
	half := b.Pitch / 2
	if row > 0 {
		m.blockLine([]r2.Vec{{X: -half, Y: half}, {X: half, Y: half}}, row+width/2)
	}
	if col > 0 {
		m.blockLine([]r2.Vec{{X: half, Y: -half}, {X: half, Y: half}}, col+width/2)
	}
}

// keepLanes leaves open for a wire's pad where a straight track from it reaches the
// channel: the upper half of the cell for the first wire, the lower one for the second, and
// in neither what a via shades.
func (b *Board) keepLanes(m *roads, kind HoleKind, pad float64) {
	b.keepChannel(m, pad)
	if len(b.lanes.layers) == 0 {
		return
	}
	up := 1.0
	if kind == WireOut {
		up = -1
	}
	m.blockLine([]r2.Vec{{X: -b.Pitch / 2, Y: -up * b.Pitch / 4}, {X: b.Pitch / 2, Y: -up * b.Pitch / 4}}, b.Pitch/4)
	for _, h := range b.Pixel.Holes {
		if h.Kind == Via && h.At.Y*up > 0 {
			m.blockLine([]r2.Vec{{X: h.At.X}, h.At}, h.Pad/2+b.lanes.gap+b.lanes.width/2)
		}
	}
}

// connect draws the leads with the channels left open, and the ways; or tells why not.
func (b *Board) connect(ctx context.Context) (string, error) {
	terminals, err := b.terminals()
	if err != nil {
		return "", err
	}
	err = b.leads(ctx, terminals, b.design.Order.WireDrill)
	var full *noRoom
	if errors.As(err, &full) {
		return "with the channels between rows left to tracks, " + full.what, nil
	}
	if err != nil {
		return "", err
	}
	if why := b.addWays(b.lanes); why != "" {
		return why, nil
	}
	if b.lanes.common > 0 && !b.addReturn() {
		return fmt.Sprintf("the common return finds no straight way past the holes of layer %d, or none from there to each coil's second hole", b.lanes.common+1), nil
	}
	return b.complete(ctx)
}

// complete draws the planes round the connections, and tells which of the board's rules these break then.
func (b *Board) complete(ctx context.Context) (string, error) {
	err := b.addPlanes(ctx)
	var misfit *Misfit
	if errors.As(err, &misfit) {
		return "with them, " + misfit.Problem, nil
	}
	if err != nil {
		return "", err
	}
	for _, c := range b.Checks() {
		if c.Broken() {
			return fmt.Sprintf("with them, the %s would be %s, %s (%s allowed)", c.Name, quantity.Format(c.Least, quantity.Length), c.Where, quantity.Format(c.Rule, quantity.Length)), nil
		}
	}
	return "", nil
}

// addWays draws the connections, and tells what is in their way.
func (b *Board) addWays(l lanes) string {
	type start struct {
		row, col int
		hole     Hole
		at       r2.Vec
	}
	overhang := b.Pixel.overhang(b.Pitch)
	width, _ := b.design.Size()
	pad := b.Wire(WireIn).Pad
	apart := solderApart * pad
	for seam := -1; seam < b.Rows; seam++ {
		middle := b.Center(0, 0).Y - (float64(seam)+0.5)*b.Pitch
		for _, from := range []float64{-1, 1} { // wires that come from below the channel, or from above
			var list []start
			for _, kind := range []HoleKind{WireIn, WireOut}[:l.wires] {
				hole := b.Wire(kind)
				for row := max(seam-1, 0); row <= min(seam+2, b.Rows-1); row++ {
					at := r2.Add(b.Center(row, 0), hole.At)
					if off := (at.Y - middle) * from; off < 0 || off >= b.Pitch/2 {
						continue
					}
					for col := range b.Cols {
						list = append(list, start{row, col, hole, r2.Add(b.Center(row, col), hole.At)})
					}
				}
			}
			slices.SortFunc(list, func(p, q start) int { return cmp.Compare(p.at.X, q.at.X) })
			half := (len(list) + 1) / 2
			for _, side := range []float64{-1, 1} {
				part := slices.Clone(list[:half]) // the farthest from their edge first
				slices.Reverse(part)
				if side > 0 {
					part = list[half:]
				}
				first := width/2 + max(overhang, b.design.Order.HoleSpacing) + l.gap + pad/2
				deep, pitch, down := b.array(len(part), l, pad, apart)
				if end := first + float64(len(part)-1)*pitch + pad/2 + b.design.Order.EdgeClearance; end > b.Width/2 {
					return fmt.Sprintf("the margin has no room for the holes that the tracks end at: an order.width of %s or more has", quantity.Format(math.Ceil(2*end*1e4)/1e4, quantity.Length))
				}
				for i, s := range part {
					e := len(part) - 1 - i // the hole: what runs nearest to the pixels ends first
					layer, off := l.at(i, from > 0)
					y := middle + from*off
					end := r2.Vec{X: side * (first + float64(e)*pitch), Y: middle + from*(max(l.strip()+pad/2, apart/2)+float64(e%deep)*down)}
					b.Ways = append(b.Ways, Way{Row: s.row, Col: s.col, From: s.hole.Kind,
						Track: Track{Layer: layer, Width: l.width, Points: []r2.Vec{s.at, {X: s.at.X, Y: y}, {X: end.X, Y: y}, end}},
						End:   Hole{Kind: WireEnd, At: end, Drill: s.hole.Drill, Pad: pad}})
				}
			}
		}
	}
	return ""
}

// array arranges the holes at the tracks' ends: how many stand behind each other, the step
// from one to the next along the row, and away from it. A track to a hole behind passes
// between two in front.
func (b *Board) array(n int, l lanes, pad, apart float64) (deep int, pitch, down float64) {
	deep, pitch, down = 1, apart, 0
	for d := 2; d <= n; d++ {
		p := max(apart/float64(d), pad/2+l.gap+l.width/2)
		v := math.Sqrt(max(apart*apart-p*p, 0))
		if p >= pitch || 2*(max(l.strip()+pad/2, apart/2)+float64(d-1)*v)+apart > b.Pitch {
			break
		}
		deep, pitch, down = d, p, v
	}
	return deep, pitch, down
}

// overhang is how far a pixel's copper reaches beyond its cell, m.
func (p Pixel) overhang(pitch float64) float64 {
	low, high := p.bounds()
	return max(-low.X, high.X) - pitch/2
}
