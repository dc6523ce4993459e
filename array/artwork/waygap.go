package artwork

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// stretch is a straight piece of copper, or a pad.
type stretch struct {
	a, b   r2.Vec
	radius float64
	way    int  // that it belongs to
	from   bool // of a pixel: the hole, or the lead to it, that a way may begin at
	kind   HoleKind
	bare   bool // no copper, a hole
}

// box is a box round copper.
type box struct{ low, high r2.Vec }

func (s stretch) box(grow float64) box {
	r := s.radius + grow
	return box{r2.Vec{X: min(s.a.X, s.b.X) - r, Y: min(s.a.Y, s.b.Y) - r}, r2.Vec{X: max(s.a.X, s.b.X) + r, Y: max(s.a.Y, s.b.Y) + r}}
}

// gap is the distance between the edges of two pieces, 0 where they touch.
func (s stretch) gap(o stretch) float64 { return max(0, apart(s.a, s.b, o.a, o.b)-s.radius-o.radius) }

// raster finds what lies near a place: boxes of one size with what reaches into them.
type raster struct {
	size  float64
	boxes map[[2]int32][]int32
}

func newRaster(size float64) raster { return raster{size, map[[2]int32][]int32{}} }

func (r raster) visit(p box, f func(key [2]int32)) {
	cell := func(v float64) int32 { return int32(math.Floor(v / r.size)) }
	for x := cell(p.low.X); x <= cell(p.high.X); x++ {
		for y := cell(p.low.Y); y <= cell(p.high.Y); y++ {
			f([2]int32{x, y})
		}
	}
}

func (r raster) add(p box, i int) {
	r.visit(p, func(key [2]int32) { r.boxes[key] = append(r.boxes[key], int32(i)) })
}

// contact is a way's copper beside a pixel's, the least distances within reach between their
// edges, m.
type contact struct {
	from [3]float64 // from the first wire's hole and its lead, from the second's, and from the row's hole
	rest float64    // from all other copper
	bare float64    // from bare holes
}

// meet goes through all ways' copper on a layer beside each other's and beside the pixels'.
// Distances beyond reach are not told, or as infinite.
func (b *Board) meet(layer int, reach float64, ways func(s, o stretch), pixels func(s stretch, row, col int, c contact)) {
	var list []stretch
	for i, w := range b.Ways {
		if w.End.Plated() { // not where a tap ends on its line: there is no copper on other layers
			list = append(list, stretch{a: w.End.At, b: w.End.At, radius: w.End.Pad / 2, way: i})
		}
		for k := 1; k < len(w.Track.Points) && w.Track.Layer == layer; k++ {
			list = append(list, stretch{a: w.Track.Points[k-1], b: w.Track.Points[k], radius: w.Track.Width / 2, way: i})
		}
	}
	near := newRaster(b.Pitch / 8)
	for i, s := range list {
		near.visit(s.box(reach), func(key [2]int32) {
			for _, k := range near.boxes[key] {
				if o := list[k]; o.way != s.way {
					ways(s, o)
				}
			}
		})
		near.add(s.box(0), i)
	}
	own := b.copperOf(layer)
	parts := newRaster(b.Pitch / 40)
	whole := box{r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i, o := range own {
		p := o.box(reach)
		parts.add(p, i)
		whole = box{r2.Vec{X: min(whole.low.X, p.low.X), Y: min(whole.low.Y, p.low.Y)}, r2.Vec{X: max(whole.high.X, p.high.X), Y: max(whole.high.Y, p.high.Y)}}
	}
	// What lies alike beside its pixel is measured once.
	type place [5]int64
	known := map[place]contact{}
	first, far := b.Center(0, 0), math.Inf(1)
	for _, s := range list {
		p := s.box(0)
		for row := max(0, int(math.Ceil((first.Y-p.high.Y+whole.low.Y)/b.Pitch))); row < b.Rows && first.Y-float64(row)*b.Pitch >= p.low.Y-whole.high.Y; row++ {
			for col := max(0, int(math.Ceil((p.low.X-first.X-whole.high.X)/b.Pitch))); col < b.Cols && first.X+float64(col)*b.Pitch <= p.high.X-whole.low.X; col++ {
				by := b.Center(row, col)
				q := s
				q.a, q.b = clip(r2.Sub(s.a, by), r2.Sub(s.b, by), whole, s.radius)
				nano := func(v float64) int64 { return int64(math.Round(v * 1e9)) }
				key := place{nano(q.a.X), nano(q.a.Y), nano(q.b.X), nano(q.b.Y), nano(q.radius)}
				c, ok := known[key]
				if !ok {
					c = contact{[3]float64{far, far, far}, far, far}
					parts.visit(q.box(0), func(box [2]int32) {
						for _, k := range parts.boxes[box] {
							o := own[k]
							d := q.gap(o)
							switch {
							case o.bare:
								c.bare = min(c.bare, d)
							case o.from:
								c.from[o.kind-WireIn] = min(c.from[o.kind-WireIn], d)
							default:
								c.rest = min(c.rest, d)
							}
						}
					})
					known[key] = c
				}
				pixels(s, row, col, c)
			}
		}
	}
}

// clip cuts off a line along an axis what lies outside a box by more than a radius, so that
// what runs past many pixels is the same beside each.
func clip(a, b r2.Vec, p box, radius float64) (r2.Vec, r2.Vec) {
	cut := func(v, low, high float64) float64 { return min(max(v, low-radius), high+radius) }
	switch {
	case a.Y == b.Y:
		a.X, b.X = cut(a.X, p.low.X, p.high.X), cut(b.X, p.low.X, p.high.X)
	case a.X == b.X:
		a.Y, b.Y = cut(a.Y, p.low.Y, p.high.Y), cut(b.Y, p.low.Y, p.high.Y)
	}
	return a, b
}

// copperOf is a pixel's copper on a layer, and its bare holes.
func (b *Board) copperOf(layer int) []stretch {
	var list []stretch
	for _, t := range slices.Concat(b.Pixel.Tracks, b.Pixel.Planes) {
		s := stretch{radius: t.Width / 2}
		for _, kind := range []HoleKind{WireIn, WireOut} {
			if at := b.Wire(kind).At; t.Lead && t.ends(at) {
				s.from, s.kind = true, kind
			}
		}
		for k := 1; k < len(t.Points) && t.Layer == layer; k++ {
			s.a, s.b = t.Points[k-1], t.Points[k]
			list = append(list, s)
		}
	}
	for _, h := range b.Pixel.Holes {
		s := stretch{a: h.At, b: h.At, radius: h.Pad / 2, kind: h.Kind, from: h.Kind == WireIn || h.Kind == WireOut || h.Kind == WireRow}
		if !h.Plated() {
			s.radius, s.bare = h.Drill/2, true
		}
		list = append(list, s)
	}
	return list
}

// wayGap is the narrowest gap on a layer between a way and other copper, and the least
// distance of a way from a pixel's bare hole, both up to a reach; and where the gap is, from
// the grid's middle.
func (b *Board) wayGap(layer int, reach float64) (least float64, at r2.Vec, bare float64) {
	least, bare = math.Inf(1), math.Inf(1)
	see := func(d float64, s stretch) {
		if d < least {
			least, at = d, s.a
		}
	}
	b.meet(layer, reach, func(s, o stretch) {
		if n := b.Ways[s.way].Line; n == 0 || n != b.Ways[o.way].Line {
			see(s.gap(o), s)
		}
	}, func(s stretch, row, col int, c contact) {
		w := b.Ways[s.way]
		see(c.rest, s)
		for i, d := range c.from {
			through := w.Line > 0 && w.End.Plated() // a scan's line passes by all holes
			if through || row != w.Row || col != w.Col || WireIn+HoleKind(i) != w.From {
				see(d, s)
			}
		}
		bare = min(bare, c.bare)
	})
	return least, at, bare
}

// wayHoles are the least laminate between a hole at a way's end and another hole, and the
// least distance from a way's copper to a screw's hole and to the board's edge.
func (b *Board) wayHoles() (laminate, bare, edge float64) {
	laminate, bare, edge = math.Inf(1), math.Inf(1), math.Inf(1)
	reach := b.design.Order.HoleSpacing
	near := newRaster(b.Pitch / 8)
	for i, w := range b.Ways {
		for k := 1; k < len(w.Track.Points); k++ {
			for _, m := range b.Mounts {
				bare = min(bare, toSegment(m.At, w.Track.Points[k-1], w.Track.Points[k])-m.Drill/2-w.Track.Width/2)
			}
		}
		reachOf := func(p r2.Vec, radius float64) float64 {
			return min(b.Width/2-math.Abs(p.X), b.Height/2-math.Abs(p.Y)) - radius
		}
		for _, p := range w.Track.Points {
			edge = min(edge, reachOf(p, w.Track.Width/2))
		}
		if !w.End.Plated() {
			continue
		}
		edge = min(edge, reachOf(w.End.At, w.End.Pad/2))
		h := stretch{a: w.End.At, b: w.End.At, radius: w.End.Drill / 2}
		apart := func(o Hole, by r2.Vec) float64 {
			return r2.Norm(r2.Sub(r2.Add(o.At, by), h.a)) - o.Drill/2 - h.radius
		}
		near.visit(h.box(reach), func(key [2]int32) {
			for _, k := range near.boxes[key] {
				laminate = min(laminate, apart(b.Ways[k].End, r2.Vec{}))
			}
		})
		near.add(h.box(0), i)
		// The pixels about the hole: those farther off than a pitch are beyond any rule's reach.
		first := b.Center(0, 0)
		row, col := int(math.Round((first.Y-h.a.Y)/b.Pitch)), int(math.Round((h.a.X-first.X)/b.Pitch))
		for r := max(row-1, 0); r <= min(row+1, b.Rows-1); r++ {
			for c := max(col-1, 0); c <= min(col+1, b.Cols-1); c++ {
				for _, o := range b.Pixel.Holes {
					laminate = min(laminate, apart(o, b.Center(r, c)))
				}
			}
		}
		for _, m := range b.Mounts {
			laminate = min(laminate, apart(m, r2.Vec{}))
			bare = min(bare, r2.Norm(r2.Sub(m.At, w.End.At))-m.Drill/2-w.End.Pad/2)
		}
	}
	return laminate, bare, edge
}

// nets are sets of conductors that touch: of each one another of its set, or itself.
type nets []int

// net is the conductor that stands for all that i is joined with.
func (n nets) net(i int) int {
	for n[i] != i {
		n[i] = n[n[i]]
		i = n[i]
	}
	return i
}

func (n nets) join(i, k int) { n[n.net(i)] = n.net(k) }

// touching joins the copper of the whole board where it touches: of each pixel its coil, then
// of each its row's hole, which only a scan has, then each way.
func (b *Board) touching() (nets, error) {
	pixels := b.Rows * b.Cols
	out := make(nets, 2*pixels+len(b.Ways))
	for i := range out {
		out[i] = i
	}
	for layer := range b.Layers {
		if gap, at := b.gapOn(layer); gap == 0 {
			return nil, fmt.Errorf("tracing the board's nets: copper touches on layer %d, %s", layer+1, place(at))
		}
		b.meet(layer, 0, func(s, o stretch) {
			if s.gap(o) == 0 {
				out.join(2*pixels+s.way, 2*pixels+o.way)
			}
		}, func(s stretch, row, col int, c contact) {
			i := row*b.Cols + col
			if min(c.from[0], c.from[1], c.rest) == 0 {
				out.join(2*pixels+s.way, i)
			}
			if c.from[WireRow-WireIn] == 0 {
				out.join(2*pixels+s.way, pixels+i)
			}
		})
	}
	return out, nil
}

// Joined follows the copper of the whole board where it touches: the nets that a test of the
// bare board finds, each a pixel's, by Trace one path from hole to hole, with its ways. The
// error is a pixel or a way that is joined with another pixel's net but by the common return,
// or a way that is not joined with its own. With a return that joins them all it is one net.
func (b *Board) Joined() (nets int, err error) {
	if b.Scanned() {
		return b.joinedLines()
	}
	of, err := b.touching()
	if err != nil {
		return 0, err
	}
	pixels := b.Rows * b.Cols
	for i, w := range b.Ways {
		if of.net(2*pixels+i) != of.net(w.Row*b.Cols+w.Col) {
			return 0, fmt.Errorf("tracing the board's nets: the track to the edge at %s is not joined with row %d, column %d", fromMiddle(w.End.At), w.Row+1, w.Col+1)
		}
	}
	seen := map[int]int{}
	for i := range pixels {
		if k, known := seen[of.net(i)]; known {
			return 0, fmt.Errorf("tracing the board's nets: row %d, column %d is joined with row %d, column %d", i/b.Cols+1, i%b.Cols+1, k/b.Cols+1, k%b.Cols+1)
		}
		seen[of.net(i)] = i
	}
	if _, shared := b.Common(); shared {
		return 1, b.returned()
	}
	return len(seen), nil
}

// returned follows the common return's copper from a pixel's second hole to those of its
// neighbours, and so to all; the error is one that it does not reach.
func (b *Board) returned() error {
	var list []stretch
	shifts := []r2.Vec{{}, {X: b.Pitch}, {Y: b.Pitch}}
	for i, shift := range shifts {
		pad := b.Wire(WireOut)
		list = append(list, stretch{a: r2.Add(pad.At, shift), b: r2.Add(pad.At, shift), radius: pad.Pad / 2, way: i})
		for _, t := range b.Pixel.Planes {
			if t.Layer == b.lanes.common {
				list = append(list, stretch{a: r2.Add(t.Points[0], shift), b: r2.Add(t.Points[1], shift), radius: t.Width / 2, way: -1})
			}
		}
	}
	reached := make([]bool, len(list))
	reached[0] = true
	for todo := []int{0}; len(todo) > 0; {
		at := list[todo[0]]
		todo = todo[1:]
		for i, o := range list {
			if !reached[i] && at.gap(o) == 0 {
				reached[i] = true
				todo = append(todo, i)
			}
		}
	}
	for i, s := range list {
		if s.way > 0 && !reached[i] && (s.way == 1 && b.Cols > 1 || s.way == 2 && b.Rows > 1) {
			return errors.New("tracing the board's nets: the common return does not join each pixel's second hole with its neighbours'")
		}
	}
	return nil
}
