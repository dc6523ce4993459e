package escape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/field/coil"
)

// disc is a pad that tracks go round, on every layer.
type disc struct {
	at     r2.Vec // from its pixel's middle
	radius float64
}

// cell is what a pixel puts in the tracks' way on a layer: a body, which looks the same after
// half a turn, and pads beside it.
type cell struct {
	to    func(p r2.Vec) float64 // distance from the body, m
	discs []disc
}

// ways are the tracks that fit between such pixels at a pitch.
func (c cell) ways(pitch, track, gap float64) Ways {
	return Ways{
		Row:     c.between(r2.Vec{Y: pitch}, track, gap),
		Col:     c.between(r2.Vec{X: pitch}, track, gap),
		Falling: c.between(r2.Vec{X: pitch, Y: -pitch}, track, gap),
		Rising:  c.between(r2.Vec{X: pitch, Y: pitch}, track, gap),
	}
}

// between is how many tracks pass between a pixel's body and another's so far away: of all
// chains of pads from one to the other that with the fewest ways through.
func (c cell) between(away r2.Vec, track, gap float64) int {
	var pads []disc
	for _, d := range c.discs {
		// Both pixels' pads, those that lie between the two.
		for _, at := range []r2.Vec{d.at, r2.Add(d.at, away)} {
			along := r2.Dot(at, away) / r2.Norm2(away)
			if aside := r2.Sub(at, r2.Scale(along, away)); along > 0 && along < 1 && r2.Norm(aside) < r2.Norm(away)/2 {
				pads = append(pads, disc{at, d.radius})
			}
		}
	}
	// Two equal bodies that half a turn leaves alike are twice as far apart as one is from
	// the middle between them.
	least := fit(2*c.to(r2.Scale(0.5, away)), track, gap)
	from := make([]int, len(pads)) // the fewest from the first body to each pad
	for i, p := range pads {
		from[i] = fit(c.to(p.at)-p.radius, track, gap)
	}
	for done := make([]bool, len(pads)); ; {
		next := -1
		for i := range pads {
			if !done[i] && (next < 0 || from[i] < from[next]) {
				next = i
			}
		}
		if next < 0 || from[next] >= least {
			return least
		}
		done[next] = true
		p := pads[next]
		least = min(least, from[next]+fit(c.to(r2.Sub(p.at, away))-p.radius, track, gap))
		for i, q := range pads {
			from[i] = min(from[i], from[next]+fit(r2.Norm(r2.Sub(p.at, q.at))-p.radius-q.radius, track, gap))
		}
	}
}

// fit is how many tracks fit into a width between copper.
func fit(width, track, gap float64) int {
	return max(int(math.Floor((width-gap)/(track+gap)+1e-9)), 0)
}

// round is the distance from a round body.
func round(radius float64) func(r2.Vec) float64 {
	return func(p r2.Vec) float64 { return max(r2.Norm(p)-radius, 0) }
}

// outline is the distance from a coil's outermost turn.
func outline(s coil.Spec) func(r2.Vec) float64 {
	if s.Shape == coil.Round {
		return round(s.Outer / 2)
	}
	const sides = 240
	var points [sides]r2.Vec
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		points[i] = r2.Scale(s.Edge(float64(i)/sides), r2.Vec{X: cos, Y: sin})
	}
	return func(p r2.Vec) float64 {
		least, inside := math.Inf(1), true
		for i, a := range points {
			ab := r2.Sub(points[(i+1)%sides], a)
			ap := r2.Sub(p, a)
			inside = inside && r2.Cross(ab, ap) >= 0
			least = min(least, r2.Norm(r2.Sub(ap, r2.Scale(min(max(r2.Dot(ap, ab)/r2.Norm2(ab), 0), 1), ab))))
		}
		if inside {
			return 0
		}
		return least
	}
}

// joints are the pads of a coil's vias at its edge, turned by an angle.
func joints(c *coil.Coil, angle float64) []disc {
	var list []disc
	for _, v := range c.Vias() {
		if !v.Inner {
			list = append(list, disc{r2.Rotate(r2.Vec{X: v.X, Y: v.Y}, angle, r2.Vec{}), v.Pad / 2})
		}
	}
	return list
}

// spins are the angles by which a coil may be turned: a round one has its joints face a
// corner, or a neighbour in its row or column.
func spins(c *coil.Coil) []float64 {
	list := []float64{0}
	if c.Spec().Shape != coil.Round {
		return list
	}
	if all := joints(c, 0); len(all) > 0 {
		sum := r2.Vec{}
		for _, d := range all {
			sum = r2.Add(sum, d.at)
		}
		middle := math.Atan2(sum.Y, sum.X)
		list = append(list, -middle, math.Pi/2-middle)
	}
	return list
}
