package coil

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Via is a plated through hole of a coil.
type Via struct {
	X, Y       float64 // m, middle
	Drill, Pad float64 // m, diameters of the hole and of its copper
	From, To   int     // the layers it joins, counted from 0 at the front; the hole goes through all
	Inner      bool    // in the middle of the coil, not at its edge
	Terminal   int     // 1 where the coil's current enters, 2 where it leaves, 0 elsewhere
}

// end is where a layer's spiral ends: a phase, and how far from the axis the via
// (or, without one, the track's end) lies there.
type end struct {
	phase float64 // turns, not wrapped: grows along the current
	via   int     // index of the via, −1 for none
}

// route is the way of the current through the layers.
type route struct {
	from, to []end // of each layer, along the current
	vias     []Via
}

// sweep returns the turns layer i makes.
func (r *route) sweep(i int) float64 { return r.to[i].phase - r.from[i].phase }

// slots hands out places for vias on a ring.
type slots struct {
	spacing float64 // turns
	origin  float64
	taken   map[int]bool
	count   int // places all the way round
}

// behind returns the first free place at or behind the phase, so that the spiral
// reaches it with no more than its full turns.
func (s *slots) behind(phase float64) float64 {
	if len(s.taken) == 0 {
		s.origin = phase
	}
	i := int(math.Floor((phase-s.origin)/s.spacing + 1e-9))
	for range s.count {
		if k := ((i % s.count) + s.count) % s.count; !s.taken[k] {
			s.taken[k] = true
			return s.origin + s.spacing*float64(i)
		}
		i--
	}
	return math.NaN() // fit counted the places
}

// plan finds the places of the vias and with them the ends of every layer's spiral.
//
// Every layer is wound the same way round along the current, so the joints of
// layers would all fall on one spot; each via therefore stands one place behind the
// one before, and the spirals that lead to it are shorter than Turns by that much.
func (c *Coil) plan() {
	s, w := c.spec, c.wiring
	layers := len(s.Layers)
	pad := s.pad()

	inner := slots{spacing: 1, count: 1, taken: map[int]bool{}}
	if n := w.inner(); n > 0 {
		inner.count = max(n, capacity(s.Inner, pad, s.Gap))
		inner.spacing = 1 / float64(inner.count)
	}
	innerRadius := max(0, (s.Inner-pad)/2-s.Gap)
	outer := slots{taken: map[int]bool{}}
	outer.count = max(1, around(s.Outer, pad, s.Gap))
	outer.spacing = 1 / float64(outer.count)

	r := route{from: make([]end, layers), to: make([]end, layers)}
	add := func(v Via, phase float64) int {
		sin, cos := math.Sincos(2 * math.Pi * phase)
		radius := innerRadius
		if !v.Inner {
			off := s.Gap + pad/2
			if s.Shape == RoundedSquare {
				off += s.pitch() / 4 // as far as a track that begins in a corner sticks out
			}
			radius = s.grown(off).Edge(phase)
		}
		v.X, v.Y, v.Drill, v.Pad = radius*cos, radius*sin, s.ViaDrill, pad
		r.vias = append(r.vias, v)
		return len(r.vias) - 1
	}

	start := end{phase: s.startPhase(), via: -1}
	if s.Shape == Round || s.Shape == RoundedSquare {
		start.phase += outer.spacing * float64(max(0, w.outer()-1)) / 2 // the row of vias in the middle of the corner
	}
	if w.groups > 1 {
		start.via = add(Via{From: 0, To: (w.groups - 1) * w.perGroup, Terminal: 1}, outer.behind(start.phase))
	}
	last := math.Inf(1) // the phase every group can reach
	for g := range w.groups {
		at := start
		for k := range w.perGroup {
			i := g*w.perGroup + k
			r.from[i] = at
			natural := at.phase + s.Turns
			if k == w.perGroup-1 {
				last = min(last, natural-s.Turns*float64(w.perGroup))
				break
			}
			joint := Via{From: i, To: i + 1, Inner: w.inward(i)}
			ring := &outer
			if joint.Inner {
				ring = &inner
			}
			phase := ring.behind(natural)
			at = end{phase: phase, via: add(joint, phase)}
			r.to[i] = at
		}
	}
	finish := end{phase: last + s.Turns*float64(w.perGroup), via: -1}
	terminal := Via{From: w.perGroup - 1, To: layers - 1, Inner: w.innerEnd(), Terminal: 2}
	switch {
	case terminal.Inner && layers > 1:
		finish.phase = inner.behind(finish.phase)
		finish.via = add(terminal, finish.phase)
	case w.groups > 1:
		finish.phase = outer.behind(finish.phase)
		finish.via = add(terminal, finish.phase)
	}
	for g := range w.groups {
		r.to[(g+1)*w.perGroup-1] = finish
	}
	c.route = r
}

// grown is the outline that lies by that much outside this one.
func (s Spec) grown(by float64) Spec {
	s.Outer += 2 * by
	s.CornerRadius += by
	return s
}

// Edge returns the distance of the coil's outer edge from the axis in a direction.
func (s Spec) Edge(phase float64) float64 {
	half := s.Outer / 2
	m := float64(s.sides())
	if m == 0 {
		return half
	}
	off := 2 * math.Pi * (phase - math.Round(phase*m)/m) // from the nearest side's normal
	sin, cos := math.Sincos(math.Abs(off))
	if s.Shape == RoundedSquare {
		// The corner's arc, where the ray meets it: |t·d − centre| = radius.
		centre := half - s.CornerRadius
		if half*sin/cos > centre {
			b := centre * (cos + sin)
			return b + math.Sqrt(b*b-2*centre*centre+s.CornerRadius*s.CornerRadius)
		}
	}
	return half / cos
}

// outline returns the middle of layer i's track along the current, from above:
// from via (or terminal) to via.
func (c *Coil) outline(i int, step float64) []r2.Vec {
	r := &c.route
	points := c.spec.spiral(c.outside(i), r.sweep(i), step)
	if !c.wiring.inward(i) {
		// From the outside in, this layer runs clockwise from its end.
		points = mirrored(points)
		for a, b := 0, len(points)-1; a < b; a, b = a+1, b-1 {
			points[a], points[b] = points[b], points[a]
		}
	}
	if v := r.from[i].via; v >= 0 {
		points = append([]r2.Vec{{X: r.vias[v].X, Y: r.vias[v].Y}}, points...)
	}
	if v := r.to[i].via; v >= 0 {
		points = append(points, r2.Vec{X: r.vias[v].X, Y: r.vias[v].Y})
	}
	return points
}

// outside returns the phase where layer i's spiral begins at the edge, seen from the
// side from which it runs inwards counter-clockwise.
func (c *Coil) outside(i int) float64 {
	if c.wiring.inward(i) {
		return c.route.from[i].phase
	}
	return -c.route.to[i].phase
}

// Vias returns the coil's vias. The terminals of a coil without parallel groups
// that lie at the edge need none and are not among them.
func (c *Coil) Vias() []Via { return append([]Via(nil), c.route.vias...) }

// FreeRadius returns the radius in metres of the largest circle about the axis that
// no copper enters in any layer, the inner vias' included: what a core may fill.
func (c *Coil) FreeRadius() float64 {
	free := c.spec.Inner / 2
	for _, v := range c.route.vias {
		if v.Inner {
			free = min(free, math.Hypot(v.X, v.Y)-v.Pad/2)
		}
	}
	return max(0, free)
}

// Terminals returns the points where the coil's current enters and leaves, in the
// middle of the copper of its first and last layer; leads are not part of a coil.
// With an odd number of layers in series the exit lies in the middle of the coil.
func (c *Coil) Terminals() (entry, exit r3.Vec) {
	entry, _ = c.ends(0)
	_, exit = c.ends(len(c.spec.Layers) - 1)
	return entry, exit
}

// Tracks returns the middle line of each layer's track along the current, links to
// the vias included, in metres; z is the middle of the copper. Arcs become chords
// with ends on the curve that miss it by no more than tolerance (m; zero takes 1 µm).
func (c *Coil) Tracks(tolerance float64) [][]r3.Vec {
	if !(tolerance > 0) {
		tolerance = 1e-6
	}
	step := chord(c.spec.Outer/2, tolerance)
	tracks := make([][]r3.Vec, len(c.spec.Layers))
	for i := range tracks {
		tracks[i] = lift(c.outline(i, step), c.spec.Layers[i].Z)
	}
	return tracks
}

// chord returns the arc, in turns, whose chord misses it by tolerance at a radius.
func chord(radius, tolerance float64) float64 {
	return min(1./12, math.Acos(max(0, 1-tolerance/radius))/math.Pi)
}

func lift(points []r2.Vec, z float64) []r3.Vec {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y, Z: z}
	}
	return lifted
}

// ring is a closed turn, counter-clockwise, first point = last.
func (s Spec) ring(apothem, corner, step float64) []r2.Vec {
	var points []r2.Vec
	switch s.Shape {
	case Round:
		n := max(3, int(math.Ceil(1/step)))
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			points = append(points, r2.Vec{X: apothem * cos, Y: apothem * sin})
		}
	case RoundedSquare:
		for side := range 4 {
			points = append(points, roundCorner(side, apothem, apothem, min(corner, apothem), step)...)
		}
	default:
		for side := range s.sides() {
			points = append(points, s.corner(side, apothem, apothem))
		}
	}
	return append(points, points[0])
}

// Length returns the length of all copper in metres: the tracks of every layer,
// links to the vias included, and the current's way through the vias.
func (c *Coil) Length() float64 {
	sum := 0.0
	for i := range c.spec.Layers {
		sum += c.trackLength(i)
	}
	for _, v := range c.route.vias {
		sum += c.spec.Layers[v.From].Z - c.spec.Layers[v.To].Z
	}
	return sum
}

// trackLength is the length of layer i's track with its links.
func (c *Coil) trackLength(i int) float64 { return c.lengths[i] }

func (c *Coil) measure() {
	c.lengths = make([]float64, len(c.spec.Layers))
	r := &c.route
	for i := range c.lengths {
		start := c.outside(i)
		outside, inside := r.from[i], r.to[i]
		if !c.wiring.inward(i) {
			outside, inside = inside, outside
		}
		step := 1.
		if c.spec.Shape == RoundedSquare {
			step = 1. / 128 // an end in an arc lies on its chord
		}
		ends := c.spec.spiral(start, r.sweep(i), step)
		length := c.spec.spiralLength(start, r.sweep(i))
		link := func(e end, p r2.Vec) {
			if e.via >= 0 {
				v := r.vias[e.via]
				length += math.Abs(math.Hypot(v.X, v.Y) - r2.Norm(p))
			}
		}
		link(outside, ends[0])
		link(inside, ends[len(ends)-1])
		c.lengths[i] = length
	}
}
