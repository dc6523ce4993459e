package coil

import (
	"math"

	"lodegrid/field"
)

// LoopMutual returns the mutual inductance in henries of two thin coaxial circular
// loops of radii a and b, their planes d apart, metres (J. C. Maxwell, Treatise on
// Electricity and Magnetism (1873), art. 701):
//
//	M = µ0 √(ab) [(2/k − k) K − (2/k) E],  k² = 4ab/((a+b)² + d²)
//
// in the form of field.LoopVectorPotential, which does not cancel for small k.
func LoopMutual(a, b, d float64) float64 {
	return 2 * math.Pi * b * field.LoopVectorPotential(a, b, d)
}

// LoopSelf returns the self-inductance in henries of a circular turn of radius a
// whose cross-section, small against a, has the geometric mean distance gmd from
// itself:
//
//	L = µ0 a [ln(8a/gmd) − 2]
//
// (E. B. Rosa & F. W. Grover, Bull. Bur. Standards 8 (1912) S169, from memory).
func LoopSelf(a, gmd float64) float64 {
	return field.Mu0 * a * (math.Log(8*a/gmd) - 2)
}

// RectangleGMD returns the geometric mean distance of a rectangle of sides w and t
// from itself, metres (J. C. Maxwell, Treatise, art. 692; from memory). It is close
// to 0.2235 (w + t).
func RectangleGMD(w, t float64) float64 {
	return math.Exp(4 * (gmdTerm(w, t) - gmdTerm(w, 0) - gmdTerm(0, t)) / (w * w * t * t))
}

// gmdTerm is the function whose second derivative twice over, ∂⁴/∂x²∂y², is
// ln √(x²+y²): its second differences are mean logarithms over rectangles.
func gmdTerm(x, y float64) float64 {
	x2, y2 := x*x, y*y
	if x2+y2 == 0 {
		return 0
	}
	sum := (x2*y2/8-(x2*x2+y2*y2)/48)*math.Log(x2+y2) - 25./48*x2*y2
	if x != 0 && y != 0 {
		sum += x * y / 6 * (x2*math.Atan(y/x) + y2*math.Atan(x/y))
	}
	return sum
}

// spread returns ln(GMD/d) of two tracks of width w and thicknesses t1 and t2, side
// by side x apart and y in height, middle to middle, d = √(x²+y²): what the width
// of the tracks adds to the logarithm of their distance.
func spread(w, t1, t2, x, y float64) float64 {
	d2 := x*x + y*y
	if size := max(w, t1, t2); d2 > 64*size*size {
		// Harmonic expansion: the logarithm of a distance has no other term of
		// second order than the difference of the cross-sections' second moments.
		return -(w*w/6 - (t1*t1+t2*t2)/12) * (x*x - y*y) / (2 * d2 * d2)
	}
	sum := 0.0
	for _, i := range [3][2]float64{{-w, 1}, {0, -2}, {w, 1}} {
		for _, j := range [4][2]float64{{(t1 + t2) / 2, 1}, {(t1 - t2) / 2, -1}, {(t2 - t1) / 2, -1}, {-(t1 + t2) / 2, 1}} {
			sum += i[1] * j[1] * gmdTerm(x+i[0], y+j[0])
		}
	}
	return sum/(w*w*t1*t2) - math.Log(d2)/2
}
