package artwork

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Check is one rule of the board house held against the drawn board.
type Check struct {
	Key   string  // of a document, in words the name
	Name  string  // what was measured
	Least float64 // m, the least there is on the board
	Rule  float64 // m, the least there may be
	Where string
	Mend  string // the key of the design file that changes it
}

// Broken tells whether the rule is broken by more than the rounding of the board data.
func (c Check) Broken() bool { return c.Least < c.Rule-rounding }

// rounding is how far the data's last digit and the chords may move an edge, m.
const rounding = 2 * tolerance

// Checks measures the drawn board against the design's rules.
func (b *Board) Checks() []Check {
	d := b.design
	rules := d.Board.Rules
	track := Check{Key: "track", Name: "narrowest track", Mend: "coil.track"}
	gap := Check{Key: "gap", Name: "narrowest gap between copper", Mend: "coil.gap"}
	ring := Check{Key: "ring", Name: "narrowest copper ring round a hole", Rule: rules.ViaRing, Least: math.Inf(1), Mend: "board.via_ring"}
	drill := Check{Key: "drill", Name: "smallest hole", Rule: rules.ViaDrill, Least: math.Inf(1), Mend: "coil.via_drill"}
	margin := math.Inf(1)
	tight, core := math.Inf(1), math.Inf(1)
	tracks, holes := slices.Concat(b.Pixel.Tracks, b.Pixel.Planes), slices.Clone(b.Pixel.Holes)
	for _, w := range b.Ways {
		tracks = append(tracks, w.Track)
	}
	holes = append(holes, b.Ends()...)
	for i, l := range b.Layers {
		rule, _ := rules.TrackRule(l.Copper)
		for _, t := range tracks {
			if t.Layer == i && t.Width-rule.Track < margin {
				margin = t.Width - rule.Track
				track.Least, track.Rule, track.Where = t.Width, rule.Track, layerName(i)
			}
		}
		if least, at := b.gapOn(i); least-rule.Gap < tight {
			tight = least - rule.Gap
			gap.Least, gap.Rule, gap.Where = least, rule.Gap, layerName(i)+", "+place(at)
		}
		least, at, hole := b.wayGap(i, max(rule.Gap, d.Board.HoleClearance))
		core = min(core, hole)
		if least-rule.Gap < tight {
			tight = least - rule.Gap
			gap.Least, gap.Rule, gap.Where = least, rule.Gap, layerName(i)+", a way to the edge, "+fromMiddle(at)
		}
	}
	for _, h := range holes {
		if h.Plated() && (h.Pad-h.Drill)/2 < ring.Least {
			ring.Least, ring.Where = (h.Pad-h.Drill)/2, place(h.At)
		}
		if h.Drill < drill.Least {
			drill.Least, drill.Where = h.Drill, place(h.At)
		}
	}
	list := []Check{track, gap, ring, drill, b.spacing()}
	if c := b.bare(); !math.IsInf(c.Least, 1) {
		list = append(list, c)
	}
	list = append(list, b.edge())
	laminate, bare, edge := b.wayHoles()
	for i := range list {
		if v, ok := map[string]float64{"hole_spacing": laminate, "bare_hole": min(bare, core), "edge": edge}[list[i].Key]; ok && v < list[i].Least {
			list[i].Least, list[i].Where = v, "a way to the edge, or the hole at its end"
		}
	}
	return list
}

func layerName(i int) string { return fmt.Sprintf("layer %d", i+1) }

func fromMiddle(p r2.Vec) string {
	return fmt.Sprintf("%.2f, %.2f mm from the board's middle", p.X*1e3, p.Y*1e3)
}

func place(p r2.Vec) string {
	return fmt.Sprintf("%.2f, %.2f mm from the pixel's middle", p.X*1e3, p.Y*1e3)
}

// spacing is the laminate between two holes.
func (b *Board) spacing() Check {
	c := Check{Key: "hole_spacing", Name: "least laminate between two holes", Rule: b.design.Order.HoleSpacing, Least: math.Inf(1), Mend: "order.hole_spacing"}
	holes := b.Pixel.Holes
	for i, h := range holes {
		for k, o := range holes {
			for _, shift := range b.images() {
				if i == k && shift == (r2.Vec{}) {
					continue
				}
				if d := r2.Norm(r2.Sub(r2.Add(o.At, shift), h.At)) - (h.Drill+o.Drill)/2; d < c.Least {
					c.Least, c.Where = d, place(h.At)
				}
			}
		}
	}
	for _, m := range b.Mounts {
		if d, at := b.toHoles(m.At); d-m.Drill/2 < c.Least {
			c.Least, c.Where, c.Mend = d-m.Drill/2, fmt.Sprintf("between a screw and the wire's hole at %.2f, %.2f mm", at.X*1e3, at.Y*1e3), "order.width"
		}
	}
	return c
}

// images are the shifts to a pixel's neighbours that are there, and none.
func (b *Board) images() []r2.Vec {
	var list []r2.Vec
	for _, s := range b.around() {
		if (s.X == 0 || b.Cols > 1) && (s.Y == 0 || b.Rows > 1) {
			list = append(list, s)
		}
	}
	return list
}

// corners are the middles of the pixels in the grid's corners.
func (b *Board) corners() []r2.Vec {
	return []r2.Vec{b.Center(0, 0), b.Center(0, b.Cols-1), b.Center(b.Rows-1, 0), b.Center(b.Rows-1, b.Cols-1)}
}

// toHoles is the distance of a point in a corner of the board from the nearest hole's edge.
func (b *Board) toHoles(p r2.Vec) (least float64, at r2.Vec) {
	least = math.Inf(1)
	for _, c := range b.corners() {
		for _, h := range b.Pixel.Holes {
			if d := r2.Norm(r2.Sub(r2.Add(c, h.At), p)) - h.Drill/2; d < least {
				least, at = d, r2.Add(c, h.At)
			}
		}
	}
	return least, at
}

// bare is the distance of bare holes from copper.
func (b *Board) bare() Check {
	c := Check{Key: "bare_hole", Name: "least distance from a bare hole to copper", Rule: b.design.Board.HoleClearance, Least: math.Inf(1), Mend: "iron.core_radius"}
	look := func(at r2.Vec, radius float64, from r2.Vec, where, mend string) {
		for _, t := range slices.Concat(b.Pixel.Tracks, b.Pixel.Planes) {
			for k := 1; k < len(t.Points); k++ {
				p, q := r2.Add(from, t.Points[k-1]), r2.Add(from, t.Points[k])
				if d := toSegment(at, p, q) - t.Width/2 - radius; d < c.Least {
					c.Least, c.Where, c.Mend = d, where, mend
				}
			}
		}
		for _, h := range b.Pixel.Holes {
			if !h.Plated() {
				continue
			}
			if d := r2.Norm(r2.Sub(r2.Add(from, h.At), at)) - h.Pad/2 - radius; d < c.Least {
				c.Least, c.Where, c.Mend = d, where, mend
			}
		}
	}
	for _, h := range b.Pixel.Holes {
		if h.Plated() {
			continue
		}
		for _, shift := range b.images() {
			look(h.At, h.Drill/2, shift, "the hole for the core", "iron.core_radius")
		}
	}
	for _, m := range b.Mounts {
		for _, from := range b.corners() {
			look(m.At, m.Drill/2, from, "a screw's hole", "order.width")
		}
	}
	return c
}

// edge is the distance from copper, and from the screws' holes, to the board's edge.
func (b *Board) edge() Check {
	c := Check{Key: "edge", Name: "least distance from copper to the board's edge", Rule: b.design.Order.EdgeClearance, Least: math.Inf(1)}
	low, high := b.Pixel.bounds()
	first, last := b.Center(b.Rows-1, 0), b.Center(0, b.Cols-1)
	for _, side := range []struct {
		room        float64
		where, mend string
	}{
		{first.X + low.X + b.Width/2, "left", "order.width"}, {b.Width/2 - last.X - high.X, "right", "order.width"},
		{first.Y + low.Y + b.Height/2, "bottom", "order.height"}, {b.Height/2 - last.Y - high.Y, "top", "order.height"},
	} {
		if side.room < c.Least {
			c.Least, c.Where, c.Mend = side.room, side.where, side.mend
		}
	}
	for _, m := range b.Mounts {
		if room := min(b.Width/2-math.Abs(m.At.X), b.Height/2-math.Abs(m.At.Y)) - m.Drill/2; room < c.Least {
			c.Least, c.Where, c.Mend = room, "a screw's hole", "order.mount_drill"
		}
	}
	return c
}

// bounds are the corners of the box that holds all copper of a pixel.
func (p Pixel) bounds() (low, high r2.Vec) {
	low, high = r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	grow := func(at r2.Vec, r float64) {
		low = r2.Vec{X: min(low.X, at.X-r), Y: min(low.Y, at.Y-r)}
		high = r2.Vec{X: max(high.X, at.X+r), Y: max(high.Y, at.Y+r)}
	}
	for _, t := range slices.Concat(p.Tracks, p.Planes) {
		for _, q := range t.Points {
			grow(q, t.Width/2)
		}
	}
	for _, h := range p.Holes {
		if h.Plated() {
			grow(h.At, h.Pad/2)
		}
	}
	return low, high
}
