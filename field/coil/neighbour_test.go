package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Mutual returns the mutual inductance in henries of two coils, b shifted by offset
// (m) from where it would share a's axis and front face. It is negative for
// neighbours side by side. The tracks are thin filaments along the closed turns;
// parallel groups carry their shares of the current by resistance. Coils that would
// lie in one another are an error.
//
// Round coils: the vector potential of one's turns (complete elliptic integrals)
// along the other's. Otherwise Neumann's integral over all pairs of straight
// filaments, circles as polygons of equal area.
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

// neighbours returns a function of the height of b's layer above a's: the mutual
// inductance of one layer of each.
func neighbours(a, b *Coil, offset r3.Vec, gap float64) func(z float64) float64 {
	const share = 1e-7 // what chords and sums over points may add
	at, bt := a.fewTurns(gap), b.fewTurns(gap)
	if a.spec.Shape == Round && b.spec.Shape == Round {
		// The trapezoidal rule around b's turns converges as exp(−n·gap/radius).
		n := int(math.Ceil(math.Log(1/share)*(1+b.spec.Outer/2/gap)/2)) + 8
		n = min(n, 4096)
		d := math.Hypot(offset.X, offset.Y)
		return func(z float64) float64 {
			sum := 0.0
			for _, tb := range bt {
				for k := range n {
					// Half of the way round is the mirror of the other.
					angle := math.Pi * (float64(k) + 0.5) / float64(n)
					sin, cos := math.Sincos(angle)
					x, y := d+tb.apothem*cos, tb.apothem*sin
					rho := math.Hypot(x, y)
					// φ̂ of a along the tangent of b.
					along := 1.0
					if rho > 0 {
						along = (y*sin + x*cos) / rho
					}
					potential := 0.0
					for _, ta := range at {
						potential += ta.weight * field.LoopVectorPotential(ta.apothem, rho, z)
					}
					sum += tb.weight * potential * along * 2 * math.Pi * tb.apothem / float64(n)
				}
			}
			return sum
		}
	}
	fa, fb := a.spec.polygons(at, gap), b.spec.polygons(bt, gap)
	return func(z float64) float64 {
		shift := r3.Vec{X: offset.X, Y: offset.Y, Z: z}
		sum := 0.0
		for j, tb := range bt {
			for _, q := range fb[j] {
				q.From, q.To = r3.Add(q.From, shift), r3.Add(q.To, shift)
				for i, ta := range at {
					for _, p := range fa[i] {
						sum += ta.weight * tb.weight * FilamentMutual(p, q)
					}
				}
			}
		}
		return sum
	}
}

// fewTurns returns the closed turns, or from far enough away a Gauss rule for them.
func (c *Coil) fewTurns(distance float64) []turn {
	const share = 1e-9
	var x, w []float64
	for _, t := range c.turns {
		x, w = append(x, t.apothem), append(w, t.weight)
	}
	n := gaussOrder(distance, x[0]-x[len(x)-1], share)
	if n >= len(x) {
		return c.turns
	}
	x, w = gaussOf(x, w, n)
	few := make([]turn, len(x))
	for i := range few {
		few[i] = turn{apothem: x[i], weight: w[i]}
		if c.spec.Shape == RoundedSquare {
			few[i].corner = c.spec.cornerAt(x[i])
		}
	}
	return few
}

// polygons returns closed turns as straight filaments, seen from a distance.
func (s Spec) polygons(turns []turn, distance float64) [][]Filament {
	const share = 2e-3 // of what the chords make of the arcs' part
	f := make([][]Filament, len(turns))
	for i, t := range turns {
		if s.Shape == Round {
			n := min(chordsFor(t.apothem, distance, share), 16)
			step := 1 / float64(4*n)
			points := lift(s.ring(circleRadius(t.apothem, step), 0, step), 0)
			for k := 1; k < len(points); k++ {
				f[i] = append(f[i], Filament{points[k-1], points[k]})
			}
			continue
		}
		f[i] = s.filaments(t, min(chordsFor(t.corner, distance, share), 16))
	}
	return f
}
