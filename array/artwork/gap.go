package artwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// piece is a straight stretch of copper, or a pad, on one layer.
type piece struct {
	a, b   r2.Vec
	radius float64
	chain  int     // the line of copper it belongs to, −1 for a pad
	along  float64 // m from the chain's beginning to a
	shift  r2.Vec  // to the pixel it belongs to, zero for the pixel itself
	plane  bool    // copper outside the coils, all one
	last   bool    // the second wire's pad or its lead, where a return joins them
}

// gapOn returns the narrowest gap on a layer between copper that is not one beside the
// other along a track, and where it is: 0 where such copper touches. Without a second
// piece of copper it is infinite.
//
// Two places of one track count as neighbours along it when less than three track
// pitches of track lie between them: there a bend, not a gap, brings them together.
func (b *Board) gapOn(layer int) (float64, r2.Vec) {
	chains := b.chains(layer)
	crossed := make([]map[r2.Vec]float64, len(chains)) // how far along each a pad has its middle
	// Of the images only what is near the pixel itself is looked at.
	low, high := b.Pixel.bounds()
	edge := b.Pitch / 4
	var pieces []piece
	add := func(p piece) {
		if p.shift == (r2.Vec{}) || max(p.a.X, p.b.X) >= low.X-edge && min(p.a.X, p.b.X) <= high.X+edge && max(p.a.Y, p.b.Y) >= low.Y-edge && min(p.a.Y, p.b.Y) <= high.Y+edge {
			pieces = append(pieces, p)
		}
	}
	shared, end := b.lanes.common > 0 && layer == b.lanes.common, b.Wire(WireOut).At
	for _, shift := range b.images() {
		for c, line := range chains {
			along, first := 0.0, crossed[c] == nil
			if first {
				crossed[c] = map[r2.Vec]float64{line.Points[0]: 0}
			}
			for k := 1; k < len(line.Points); k++ {
				p := piece{a: r2.Add(line.Points[k-1], shift), b: r2.Add(line.Points[k], shift), radius: line.Width / 2, chain: c, along: along, shift: shift, last: shared && line.ends(end)}
				along += r2.Norm(r2.Sub(p.b, p.a))
				add(p)
				if first {
					crossed[c][line.Points[k]] = along
				}
			}
		}
		for _, t := range b.Pixel.Planes {
			if t.Layer == layer {
				add(piece{a: r2.Add(t.Points[0], shift), b: r2.Add(t.Points[1], shift), radius: t.Width / 2, chain: -1, shift: shift, plane: true})
			}
		}
		for _, h := range b.Pixel.Holes {
			if h.Plated() {
				at := r2.Add(h.At, shift)
				add(piece{a: at, b: at, radius: h.Pad / 2, chain: -1, shift: shift, last: shared && h.Kind == WireOut})
			}
		}
	}
	s := b.Coil.Spec()
	near := 3 * (s.Track + s.Gap)
	joined := func(p, q piece) bool {
		if p.plane || q.plane {
			return p.plane && q.plane || p.last || q.last
		}
		if p.shift != q.shift {
			return false
		}
		switch {
		case p.chain < 0 && q.chain < 0:
			return p.a == q.a
		case p.chain < 0:
			p, q = q, p
			fallthrough
		case q.chain < 0: // a track beside the pad that it runs into
			reach := q.radius + 2*(s.Track+s.Gap)
			at, ok := crossed[p.chain][r2.Sub(q.a, q.shift)]
			return ok && at-p.along-r2.Norm(r2.Sub(p.b, p.a)) < reach && p.along-at < reach
		case p.chain != q.chain:
			return false
		}
		if p.along > q.along {
			p, q = q, p
		}
		return q.along-p.along-r2.Norm(r2.Sub(p.b, p.a)) < near
	}
	// Through a raster of boxes.
	box := 0.3e-3
	boxes := map[[2]int][]int{}
	visit := func(p piece, grow float64, f func(key [2]int)) {
		for x := int(math.Floor((min(p.a.X, p.b.X) - grow) / box)); float64(x)*box <= max(p.a.X, p.b.X)+grow; x++ {
			for y := int(math.Floor((min(p.a.Y, p.b.Y) - grow) / box)); float64(y)*box <= max(p.a.Y, p.b.Y)+grow; y++ {
				f([2]int{x, y})
			}
		}
	}
	for i, p := range pieces {
		visit(p, p.radius, func(key [2]int) { boxes[key] = append(boxes[key], i) })
	}
	least, at := math.Inf(1), r2.Vec{}
	for i, p := range pieces {
		if p.shift != (r2.Vec{}) {
			continue
		}
		visit(p, p.radius+min(least, 4*s.Gap), func(key [2]int) {
			for _, k := range boxes[key] {
				q := pieces[k]
				// Most lie farther off than the nearest so far, as their boxes tell; to within rounding.
				if off := p.radius + q.radius + least + 1e-12; k == i ||
					min(q.a.X, q.b.X)-max(p.a.X, p.b.X) > off || min(p.a.X, p.b.X)-max(q.a.X, q.b.X) > off ||
					min(q.a.Y, q.b.Y)-max(p.a.Y, p.b.Y) > off || min(p.a.Y, p.b.Y)-max(q.a.Y, q.b.Y) > off || joined(p, q) {
					continue
				}
				if d := max(0, apart(p.a, p.b, q.a, q.b)-p.radius-q.radius); d < least {
					least, at = d, p.a
				}
			}
		})
	}
	return least, at
}

// chains joins the tracks of a layer that continue each other.
func (b *Board) chains(layer int) (lines []Track) {
	for _, t := range b.Pixel.Tracks {
		if t.Layer != layer {
			continue
		}
		joined := false
		for i := range lines {
			l := &lines[i]
			switch p, q := l.Points, t.Points; {
			case p[len(p)-1] == q[0]:
				l.Points = append(p[:len(p):len(p)], q[1:]...)
			case q[len(q)-1] == p[0]:
				l.Points = append(q[:len(q):len(q)], p[1:]...)
			default:
				continue
			}
			joined = true
			break
		}
		if !joined {
			lines = append(lines, t)
		}
	}
	return lines
}
