package coil

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Bounds of what Source and SpiralSource are asked for.
const (
	leastHeight = 1e-6 // m
	leastError  = 1e-9
	mostError   = 0.1
)

// reach bounds the arguments of the sources.
func reach(minHeight, relErr float64) (height, share float64) {
	if !(minHeight > leastHeight) { // NaN too
		minHeight = leastHeight
	}
	if !(relErr > leastError) {
		relErr = leastError
	}
	return minHeight, min(relErr, mostError)
}

// distance is how near a point in front of the board or behind it, height off the
// copper, comes to the middle of layer i.
func (c *Coil) distance(i int, height float64) float64 {
	first, last := c.spec.Layers[0], c.spec.Layers[len(c.spec.Layers)-1]
	z := c.spec.Layers[i].Z
	return height + min(first.Z+first.Copper/2-z, z-(last.Z-last.Copper/2))
}

// Source returns the field at 1 A through the terminals, counter-clockwise seen
// from +z, as closed turns: as few as keep the error below relErr of the largest field
// at that height, wherever the point is at least minHeight (m) in front of the front
// copper or behind the back copper. Near the copper each track is several filaments
// across its width and thickness; from further off a few turns stand for all (see
// lumped). The magnetic moment is exact. minHeight below 1 µm counts as 1 µm, relErr
// as something from 1e-9 to 0.1.
//
// Parallel groups carry their shares of the current by resistance. A round coil
// gives a field.Coaxial, any other shape a field.Sum of closed field.Path.
func (c *Coil) Source(minHeight, relErr float64) field.Source {
	height, share := reach(minHeight, relErr)
	// Half of the error for each step.
	rings := c.filaments(height, share/2)
	chords := func(r ringCurrent) int {
		first, last := c.spec.Layers[0], c.spec.Layers[len(c.spec.Layers)-1]
		d := height + min(first.Z+first.Copper/2-r.z, r.z-last.Z+last.Copper/2)
		return chordsFor(r.corner, d, share)
	}
	return c.spec.source(c.lumped(rings, height, share/2, chords), chords)
}

// filaments returns the rings of every track, so many that each errs by less than
// share of its own field.
func (c *Coil) filaments(height, share float64) []ringCurrent {
	var rings []ringCurrent
	for i, l := range c.spec.Layers {
		for _, p := range places(c.spec.Track, l.Copper, c.distance(i, height), share) {
			for _, t := range c.turns {
				t = p.of(t)
				rings = append(rings, ringCurrent{t, l.Z + p.up, c.share[i] * t.weight})
			}
		}
	}
	return rings
}

// SpiralSource returns the field at 1 A through the terminals of the true path:
// spirals, links, vias, with filaments as in Source. The circuit is closed by a
// straight line from the exit to the entry terminal, in place of a pair of leads
// laid side by side. It is ten to a hundred times slower than Source.
func (c *Coil) SpiralSource(minHeight, relErr float64) field.Source {
	height, share := reach(minHeight, relErr)
	var sum field.Sum
	for i, l := range c.spec.Layers {
		d := c.distance(i, height)
		step := chordsStep(c.spec, d, share)
		begin, finish := c.ends(i)
		for _, p := range places(c.spec.Track, l.Copper, d, share) {
			points := c.filamentOf(i, p.out, step)
			path := make([]r3.Vec, 0, len(points)+2)
			// Filaments join in the middle of the copper, at vias and terminals.
			path = append(path, begin)
			for _, q := range points {
				path = append(path, r3.Vec{X: q.X, Y: q.Y, Z: l.Z + p.up})
			}
			path = append(path, finish)
			sum = append(sum, field.Path{Points: path, Current: c.share[i] * p.weight})
		}
	}
	return append(sum, c.barrels()...)
}

// filamentOf is the spiral of layer i's filament that lies out of the track's middle
// by that much, without its links.
func (c *Coil) filamentOf(i int, out, step float64) []r2.Vec {
	shifted := *c
	shifted.spec = c.spec.grown(out)
	points := shifted.outline(i, step)
	if c.route.from[i].via >= 0 {
		points = points[1:]
	}
	if c.route.to[i].via >= 0 {
		points = points[:len(points)-1]
	}
	if c.spec.Shape == Round {
		// Corners of the chords move out to keep the area.
		sweep := c.route.sweep(i)
		grow := circleRadius(1, sweep/math.Ceil(sweep/step))
		for k := range points {
			points[k] = r2.Scale(grow, points[k])
		}
	}
	return points
}

// chordsStep is the chord, in turns, for the arcs of the true path.
func chordsStep(s Spec, distance, share float64) float64 {
	if s.Shape == RoundedSquare {
		// These chords have their ends on the arcs and lie inside them.
		return 0.25 / float64(8*chordsFor(s.CornerRadius, distance, share))
	}
	return min(0.25/float64(chordsFor(s.Outer/2, distance, share)), 1./16)
}

// barrels returns the vertical conductors: vias in series, the vias that join
// parallel groups, and the line that closes the circuit.
func (c *Coil) barrels() field.Sum {
	var sum field.Sum
	w := c.wiring
	layer := c.spec.Layers
	run := func(v Via, from, to int, current float64) {
		sum = append(sum, field.Path{Current: current, Points: []r3.Vec{
			{X: v.X, Y: v.Y, Z: layer[from].Z}, {X: v.X, Y: v.Y, Z: layer[to].Z}}})
	}
	for _, v := range c.route.vias {
		switch v.Terminal {
		case 0:
			run(v, v.From, v.To, c.share[v.From])
		case 1: // feeds the groups from the front one on
			left := 1.0
			for g := 1; g < w.groups; g++ {
				left -= c.share[(g-1)*w.perGroup]
				run(v, (g-1)*w.perGroup, g*w.perGroup, left)
			}
		case 2: // gathers them to the last
			so := 0.0
			for g := 1; g < w.groups; g++ {
				so += c.share[(g-1)*w.perGroup]
				run(v, g*w.perGroup-1, (g+1)*w.perGroup-1, so)
			}
		}
	}
	entry, exit := c.Terminals()
	return append(sum, field.Path{Current: 1, Points: []r3.Vec{exit, entry}})
}

// ends returns the points where layer i's current comes in and goes out.
func (c *Coil) ends(i int) (begin, finish r3.Vec) {
	points := c.outline(i, 1./1024)
	a, b, z := points[0], points[len(points)-1], c.spec.Layers[i].Z
	return r3.Vec{X: a.X, Y: a.Y, Z: z}, r3.Vec{X: b.X, Y: b.Y, Z: z}
}

// MagneticMoment returns the moment along z of the closed turns in A·m² at 1 A
// through the terminals.
func (c *Coil) MagneticMoment() float64 {
	turns := 0.0
	v := c.spec.Track * c.spec.Track / 12
	for _, t := range c.turns {
		turns += t.weight * c.spec.ringArea(t.apothem*t.apothem+v, t.corner*t.corner+v)
	}
	sum := 0.0
	for _, share := range c.share {
		sum += share * turns
	}
	return sum
}

// Enclosed is the area that the coil's outline encloses, m².
func (s Spec) Enclosed() float64 { return s.ringArea(s.Outer*s.Outer/4, s.CornerRadius*s.CornerRadius) }

// ringArea is the area inside a closed turn, from the squares of its apothem and
// corner radius.
func (s Spec) ringArea(apothem2, corner2 float64) float64 {
	switch s.Shape {
	case Round:
		return math.Pi * apothem2
	case Hexagon:
		return 2 * math.Sqrt(3) * apothem2
	case RoundedSquare:
		return 4*apothem2 - (4-math.Pi)*corner2
	}
	return 4 * apothem2
}

// FormDifference tells how far the closed turns are from the true path on the plane
// at height (m): the largest |ΔB| out to one and a half times the coil's size, and
// |ΔB| on the axis, both over the largest |B| of the closed turns there.
func (c *Coil) FormDifference(height float64) (worst, axis float64) {
	height, _ = reach(height, leastError)
	const share = 1e-4
	closed, spiral := c.Source(height, share), c.SpiralSource(height, share)
	peak := 0.0
	const rings, spokes = 20, 12
	for i := range rings + 1 {
		r := 0.75 * c.spec.Outer * float64(i) / rings
		for k := range spokes {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5*float64(i%2)) / spokes)
			p := r3.Vec{X: r * cos, Y: r * sin, Z: height}
			b := closed.B(p)
			difference := r3.Norm(r3.Sub(spiral.B(p), b))
			peak = max(peak, r3.Norm(b))
			worst = max(worst, difference)
			if i == 0 {
				axis = difference
				break
			}
		}
	}
	return worst / peak, axis / peak
}
