package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sources that only tests place; the product's own are made of many at once.

// Loop is a thin circular turn in a plane of constant z.
type Loop struct {
	Radius  float64 // metres, > 0
	Current float64 // amperes, counter-clockwise seen from +z
	Center  r3.Vec  // metres
}

// B implements Source. On the wire itself the field of a thin filament does not
// exist: NaN.
func (l Loop) B(p r3.Vec) r3.Vec {
	d := r3.Sub(p, l.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	br, bz := LoopField(l.Radius, r, d.Z)
	return turnOut(d, r, l.Current*br, l.Current*bz)
}

// Gradient implements Differentiable.
func (l Loop) Gradient(p r3.Vec) [3][3]float64 {
	d := r3.Sub(p, l.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	g := LoopGradient(l.Radius, r, d.Z)
	g.scale(l.Current)
	return g.cartesian(d, r)
}

// Segment is a straight thin conductor between two points.
//
// Alone it is no circuit: only the sum over a closed path is a field that can be
// measured, and only that sum is free of curl.
type Segment struct {
	From, To r3.Vec  // metres
	Current  float64 // amperes, from From to To
}

// B implements Source with the closed form of the Biot–Savart integral.
func (s Segment) B(p r3.Vec) r3.Vec {
	a, b := r3.Sub(p, s.From), r3.Sub(p, s.To)
	f := segment(r3.Sub(s.To, s.From), a, b, length(a), length(b))
	return r3.Scale(Mu0/(4*math.Pi)*s.Current, f)
}

// Length returns the length of the conductor in metres.
func (s Path) Length() float64 {
	sum := 0.0
	for i := 1; i < len(s.Points); i++ {
		sum += r3.Norm(r3.Sub(s.Points[i], s.Points[i-1]))
	}
	return sum
}

// Contains reports whether p lies inside the magnet or on its surface.
func (c CylinderMagnet) Contains(p r3.Vec) bool {
	d := r3.Sub(p, c.Center)
	return math.Abs(d.Z) <= c.Length/2 && d.X*d.X+d.Y*d.Y <= c.Radius*c.Radius
}

// Contains reports whether p lies inside the magnet or on its surface.
func (c CuboidMagnet) Contains(p r3.Vec) bool {
	d := r3.Sub(p, c.Center)
	return math.Abs(d.X) <= c.Size.X/2 && math.Abs(d.Y) <= c.Size.Y/2 && math.Abs(d.Z) <= c.Size.Z/2
}

// Moment returns the magnetic moment in A·m².
func (c CuboidMagnet) Moment() r3.Vec {
	return r3.Vec{Z: c.Remanence / Mu0 * c.Size.X * c.Size.Y * c.Size.Z}
}

// segment returns the integral ∫ dl × R/R³ of a straight conductor along l, seen
// from a point that lies a from its start and b from its end, |a| = ra, |b| = rb:
//
//	(ra + rb)/(ra rb (ra rb + a·b)) · l × a
//
// (J. D. Hanson & S. P. Hirshman, "Compact expressions for the Biot–Savart fields
// of a filamentary segment", Phys. Plasmas 9 (2002) 4410, from memory). Where
// a·b < 0, beside the conductor, (ra rb + a·b)(ra rb − a·b) = |a × b|² takes the
// subtraction out; the cross product is taken with the nearer end, so that it
// does not cancel far away.
func segment(l, a, b r3.Vec, ra, rb float64) r3.Vec {
	near := a
	if rb < ra {
		near = b
	}
	c := r3.Cross(l, near)
	product, dot := ra*rb, r3.Dot(a, b)
	if dot >= 0 {
		if product == 0 {
			return r3.Vec{}
		}
		return r3.Scale((ra+rb)/(product*(product+dot)), c)
	}
	c2 := r3.Norm2(c)
	if c2 == 0 {
		return r3.Vec{}
	}
	return r3.Scale((ra+rb)*(product-dot)/(product*c2), c)
}

// length is |v| without the care for overflow that metres do not need.
func length(v r3.Vec) float64 {
	return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z)
}
