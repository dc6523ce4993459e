package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mutual returns the mutual inductance in henries of two coils, b shifted by offset
// (m) from where it would share a's axis and front face. It is negative for
// neighbours side by side. The tracks are thin filaments along the closed turns;
// parallel groups carry their shares of the current by resistance. Coils that would
// lie in one another are an error.
func Mutual(a, b *Coil, offset r3.Vec) (float64, error) {
	if math.IsNaN(offset.X+offset.Y+offset.Z) || math.IsInf(offset.X+offset.Y+offset.Z, 0) {
		return 0, fmt.Errorf("mutual inductance: offset %v is not finite", offset)
	}
	gap := clearance(a, b, offset)
	if gap <= 0 {
		return 0, fmt.Errorf("mutual inductance: coils of %s and %s lie in one another at an offset of (%s, %s, %s); they must be apart in plane or in height",
			mm(a.spec.Outer), mm(b.spec.Outer), mm(offset.X), mm(offset.Y), mm(offset.Z))
	}
	pair := neighbours(a, b, offset, gap)
	known := map[int64]float64{}
	sum := 0.0
	for i, la := range a.spec.Layers {
		for j, lb := range b.spec.Layers {
			z := lb.Z + offset.Z - la.Z
			k := int64(math.Round(math.Abs(z) * 1e12))
			m, ok := known[k]
			if !ok {
				m = pair(z)
				known[k] = m
			}
			sum += a.share[i] * b.share[j] * m
		}
	}
	return sum, nil
}

// clearance returns how far apart the tracks' middles of two coils are at least,
// zero or less for coils that lie in one another.
func clearance(a, b *Coil, offset r3.Vec) float64 {
	depth := func(c *Coil) (front, back float64) {
		first, last := c.spec.Layers[0], c.spec.Layers[len(c.spec.Layers)-1]
		return first.Z + first.Copper/2, last.Z - last.Copper/2
	}
	af, ab := depth(a)
	bf, bb := depth(b)
	gap := max(offset.Z+bb-af, ab-offset.Z-bf)
	// Side by side: by their bounding boxes, or round about.
	x := math.Abs(offset.X) - (a.spec.Outer+b.spec.Outer)/2
	y := math.Abs(offset.Y) - a.spec.reachY() - b.spec.reachY()
	r := math.Hypot(offset.X, offset.Y) - a.spec.reachOut() - b.spec.reachOut()
	// The outlines may touch: half a track stays between edge and middle.
	if side := max(x, y, r) + (a.spec.Track+b.spec.Track)/2; side >= (a.spec.Track+b.spec.Track)/2*(1-slack) {
		gap = max(gap, side)
	}
	return gap
}

// reachOut is the outer edge's greatest distance from the axis.
func (s Spec) reachOut() float64 {
	switch s.Shape {
	case Round:
		return s.Outer / 2
	case Hexagon:
		return s.Outer / math.Sqrt(3)
	case RoundedSquare:
		return s.Outer/math.Sqrt2 - (math.Sqrt2-1)*s.CornerRadius
	}
	return s.Outer / math.Sqrt2
}
