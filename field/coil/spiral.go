package coil

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// The true path of one layer, seen from above. Directions are given as phases:
// turns counter-clockwise from the +x axis.

// startPhase is where the outermost turn begins: top right, where a square pixel
// has room for the vias of a round coil, and a corner of a polygon.
func (s Spec) startPhase() float64 {
	if s.Shape == Hexagon {
		return 1. / 12
	}
	return 1. / 8
}

// spiral returns the middle of the track from the outside in, counter-clockwise
// from the phase start over sweep turns; arcs are chords of no more than step
// turns, their ends on the true curve.
func (s Spec) spiral(start, sweep, step float64) []r2.Vec {
	if s.Shape == Round {
		return s.archimedes(start, sweep, step)
	}
	return s.polygon(start, sweep, step)
}

// archimedes is the spiral whose radius shrinks by one pitch per turn.
func (s Spec) archimedes(start, sweep, step float64) []r2.Vec {
	n := max(1, int(math.Ceil(sweep/step)))
	points := make([]r2.Vec, n+1)
	outer := s.Outer/2 - s.Track/2
	for i := range points {
		u := sweep * float64(i) / float64(n)
		sin, cos := math.Sincos(2 * math.Pi * (start + u))
		r := outer - s.pitch()*u
		points[i] = r2.Vec{X: r * cos, Y: r * sin}
	}
	return points
}

// polygon is the spiral of straight sides, each a share of the pitch closer to the
// middle than the one before, so that neighbouring turns lie one pitch apart.
func (s Spec) polygon(start, sweep, step float64) []r2.Vec {
	m := float64(s.sides())
	// Side i faces the phases from (i − ½)/m to (i + ½)/m.
	first := s.sideAt(start)
	last := max(first, int(math.Ceil((start+sweep)*m+0.5-onCorner))-1)
	apothem := func(side int) float64 {
		return s.Outer/2 - s.Track/2 - s.pitch()*float64(side-first)/m
	}
	// One more side at each end gives the corners the ends may lie in.
	points := make([]r2.Vec, 0, last-first+4)
	points = append(points, s.onSide(first-1, apothem(first-1)))
	for side := first - 1; side <= last; side++ {
		a, b := apothem(side), apothem(side+1)
		if s.Shape == RoundedSquare {
			points = append(points, roundCorner(side, a, b, s.cornerAt(a), step)...)
		} else {
			points = append(points, s.corner(side, a, b))
		}
	}
	points = append(points, s.onSide(last+1, apothem(last+1)))
	return clip(points, start, sweep)
}

// onCorner is how near a corner, in sides, a phase counts as on it.
const onCorner = 1e-9

// sideAt is the side a phase lies on, at a corner the one that follows.
func (s Spec) sideAt(phase float64) int {
	return int(math.Floor(phase*float64(s.sides()) + 0.5 + onCorner))
}

// normal is the direction the side faces.
func (s Spec) normal(side int) r2.Vec {
	sin, cos := math.Sincos(2 * math.Pi * float64(side) / float64(s.sides()))
	return r2.Vec{X: cos, Y: sin}
}

// onSide is the middle of a side.
func (s Spec) onSide(side int, apothem float64) r2.Vec {
	return r2.Scale(apothem, s.normal(side))
}

// corner is where the lines of a side (apothem a) and the next (apothem b) meet.
func (s Spec) corner(side int, a, b float64) r2.Vec {
	p, q := s.normal(side), s.normal(side+1)
	d := r2.Cross(p, q)
	return r2.Vec{X: (a*q.Y - b*p.Y) / d, Y: (b*p.X - a*q.X) / d}
}

// roundCorner is the arc of the given radius from a square's side (apothem a) to
// the next (apothem b).
func roundCorner(side int, a, b, radius, step float64) []r2.Vec {
	n := max(1, int(math.Ceil(0.25/step)))
	sin, cos := math.Sincos(math.Pi / 2 * float64(side))
	points := make([]r2.Vec, n+1)
	for i := range points {
		y, x := math.Sincos(math.Pi / 2 * float64(i) / float64(n))
		x, y = a-radius+radius*x, b-radius+radius*y
		points[i] = r2.Vec{X: cos*x - sin*y, Y: sin*x + cos*y}
	}
	return points
}

// clip keeps the piece of a path around the origin between two rays. The path
// runs counter-clockwise all along.
func clip(points []r2.Vec, start, sweep float64) []r2.Vec {
	ray := func(phase float64) r2.Vec {
		sin, cos := math.Sincos(2 * math.Pi * phase)
		return r2.Vec{X: cos, Y: sin}
	}
	cut := func(a, b, direction r2.Vec) r2.Vec {
		da, db := r2.Cross(direction, a), r2.Cross(direction, b)
		return r2.Add(a, r2.Scale(da/(da-db), r2.Sub(b, a)))
	}
	// Phase of every point, unwrapped; the first lies less than half a turn before
	// the start.
	phase := math.Atan2(points[0].Y, points[0].X) / (2 * math.Pi)
	phase += math.Floor(start - phase)
	const same = 1e-12
	end := start + sweep
	kept := make([]r2.Vec, 0, len(points))
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		next := phase + math.Atan2(r2.Cross(a, b), r2.Dot(a, b))/(2*math.Pi)
		if next > start+same && len(kept) == 0 {
			if phase < start-same {
				kept = append(kept, cut(a, b, ray(start)))
			} else {
				kept = append(kept, a)
			}
		}
		if len(kept) > 0 {
			if next >= end-same {
				if next > end+same {
					b = cut(a, b, ray(end))
				}
				return append(kept, b)
			}
			kept = append(kept, b)
		}
		phase = next
	}
	return kept
}

// mirrored turns a counter-clockwise path into the clockwise one.
func mirrored(points []r2.Vec) []r2.Vec {
	for i := range points {
		points[i].Y = -points[i].Y
	}
	return points
}

// spiralLength is the length of the true spiral over sweep turns from start.
func (s Spec) spiralLength(start, sweep float64) float64 {
	if s.Shape == Round {
		// ∫ √(r² + b²) dθ with r = r0 − bθ
		b := s.pitch() / (2 * math.Pi)
		r0 := s.Outer/2 - s.Track/2
		r1 := r0 - s.pitch()*sweep
		f := func(r float64) float64 { return (r*math.Hypot(r, b) + b*b*math.Asinh(r/b)) / (2 * b) }
		return f(r0) - f(r1)
	}
	if s.Shape == RoundedSquare {
		// Chords are short by the square of their angle.
		coarse, fine := pathLength(s.spiral(start, sweep, 1./32)), pathLength(s.spiral(start, sweep, 1./64))
		return fine + (fine-coarse)/3
	}
	return pathLength(s.spiral(start, sweep, 1))
}

func pathLength(points []r2.Vec) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += r2.Norm(r2.Sub(points[i], points[i-1]))
	}
	return sum
}
