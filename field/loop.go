package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// turnOut gives the Cartesian vector of cylindrical components (br, bz) at the
// offset d from the axis, r = √(d.X² + d.Y²).
func turnOut(d r3.Vec, r, br, bz float64) r3.Vec {
	if r == 0 {
		return r3.Vec{Z: bz}
	}
	br /= r
	return r3.Vec{X: br * d.X, Y: br * d.Y, Z: bz}
}

// LoopField returns the radial and axial flux density, in tesla per ampere, of a
// circular loop of radius a (metres) at the cylindrical point (rho, z), z measured
// from the loop's plane.
//
// Both components keep full relative accuracy on and near the axis and far away.
// At a distance d from the wire the rounding of a and rho themselves costs some
// 1e-16 a/d. On the wire the components are NaN.
func LoopField(a, rho, z float64) (br, bz float64) {
	rho = math.Abs(rho)
	t := loop(a, rho, z)
	return t.field(a, rho, z)
}

func (t *loopTerms) field(a, rho, z float64) (br, bz float64) {
	q := (a - rho) * (a + rho) // a² − r² to full accuracy at the wire
	return t.g * rho * z * (2 - t.w*t.sum),
		t.g * (z*z + q + rho*rho*(z*z-q)*t.sum)
}

// LoopVectorPotential returns the azimuthal vector potential, in T·m per ampere,
// of a circular loop of radius a at the cylindrical point (rho, z). The flux through
// a coaxial circle of radius rho is 2π·rho times it, which is the mutual
// inductance of the two (J. C. Maxwell, Treatise, art. 701).
func LoopVectorPotential(a, rho, z float64) float64 {
	rho = math.Abs(rho)
	t := loop(a, rho, z)
	return Mu0 / 2 * a * a * rho * t.sum * t.perMean
}

// loopTerms are what every quantity of a loop is made of.
//
// With α² = (a−r)² + z² and β² = (a+r)² + z² the textbook forms are
//
//	Bz = µ0/(2πβ) [K + (a² − r² − z²)/α² E]
//	Br = µ0 z/(2πrβ) [−K + (a² + r² + z²)/α² E]
//
// at m = 4ar/β² (W. R. Smythe, Static and Dynamic Electricity, sec. 7.10; J.
// Simpson et al., Simple Analytic Expressions for the Magnetic Field of a Circular
// Current Loop, NASA 2001; both from memory). They cancel near the axis and far
// away. Here K and E come from the arithmetic-geometric mean A of α and β and
// its differences c₁, c₂, …, K = πβ/(2A) and, from E = K(1 − Σ 2ⁿ⁻¹ cₙ²/β²),
//
//	∫ (sin²θ − cos²θ)/√(1 − m sin²θ) dθ = K Σₙ₌₁ 2ⁿ cₙ² / (m β²) ≥ 0.
//
// cₙ = 2ar eₙ with e₁ = 1/(α+β) and eₙ₊₁ = 2ar eₙ²/(4aₙ₊₁) never subtracts, so with
// sum = Σ 2ⁿ eₙ², w = a² + r² + z² and g = µ0 a²/(2 A α² β²)
//
//	Br = g r z (2 − w sum)
//	Bz = g [a² − r² + z² + r² (r² + z² − a²) sum]
//	Aφ = µ0 a² r sum/(2A),
//
// in which nothing cancels on the axis (w sum → 1/2) or far off.
type loopTerms struct {
	g, w, sum, perMean float64 // perMean is 1/A
	alpha2, beta2      float64
}

// meanTolerance is the relative difference of the two means at which the series
// for their common limit, used to its fourth power, leaves an error below 1e-17.
const meanTolerance = 4e-3

// loop is written for a processor whose divisions and roots are what costs: four
// roots and one division away from the wire, closer than about a third of the
// radius one root and one division more for each further step.
func loop(a, r, z float64) loopTerms {
	u := a * r / 2 // a quarter of the 2ar above
	w := a*a + r*r + z*z
	d := a - r
	alpha2 := d*d + z*z
	s := a + r
	beta2 := s*s + z*z

	// Two steps of the mean: the first, (α+β)/2 and √(αβ), from the squares.
	q := alpha2 * beta2
	if !(q > 0) {
		nan := math.NaN() // on the wire, or not a number to begin with
		return loopTerms{g: nan, w: w, sum: nan, perMean: nan, alpha2: alpha2, beta2: beta2}
	}
	p := math.Sqrt(q)
	x1, y1 := math.Sqrt((w+p)/2), math.Sqrt(p)
	x2, y2 := (x1+y1)/2, math.Sqrt(x1*y1)

	x, y, more := x2, y2, 0
	for x-y > meanTolerance*x {
		x, y = (x+y)/2, math.Sqrt(x*y)
		more++
	}
	mid := (x + y) / 2
	x12, mq := x1*x2, mid*q
	inverse := 1 / (x12 * mq)
	i1, i2, im := x2*mq*inverse, x1*mq*inverse, x12*q*inverse

	e := i1 / 2
	e *= e
	sum := 2 * e
	e *= u * i2
	weight := 4.0
	sum += weight * e * e
	if more > 0 {
		x, y = x2, y2
		for range more {
			x, y = (x+y)/2, math.Sqrt(x*y)
			e *= u * e / x
			weight *= 2
			sum += weight * e * e
		}
	}
	e *= u * e * im
	sum += 2 * weight * e * e
	e *= u * e * im
	sum += 4 * weight * e * e

	// Limit of the means: M(1+δ, 1−δ) = 1 − δ²/4 − 5δ⁴/64 − …
	delta := (x - y) * im / 2
	delta *= delta
	perMean := im * (1 + delta*(0.25+delta*(9./64)))
	return loopTerms{
		g: Mu0 / 2 * a * a * perMean * (x12 * mid * inverse), w: w, sum: sum, perMean: perMean,
		alpha2: alpha2, beta2: beta2,
	}
}
