package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// CoaxialLoop is one turn of a Coaxial source.
type CoaxialLoop struct {
	Radius  float64 // metres, > 0
	Z       float64 // height above the source's Center, metres
	Current float64 // amperes, counter-clockwise seen from +z
}

// Coaxial is a set of circular turns on one vertical axis: the field of a whole
// round coil at a point in one call.
type Coaxial struct {
	Loops  []CoaxialLoop
	Center r3.Vec // a point of the axis; its Z is the zero of every loop's Z
}

// B implements Source. On a wire the field of a thin filament does not exist: NaN.
func (c Coaxial) B(p r3.Vec) r3.Vec {
	d := r3.Sub(p, c.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	br, bz := c.Field(r, d.Z)
	return turnOut(d, r, br, bz)
}

// Potential returns the azimuthal vector potential in T·m at (rho, z) relative to Center.
func (c Coaxial) Potential(rho, z float64) (a float64) {
	for _, l := range c.Loops {
		a += l.Current * LoopVectorPotential(l.Radius, rho, z-l.Z)
	}
	return a
}

// coaxialBatch is how many turns go through the roots before the first of them
// goes on: the roots of one turn wait for each other, those of several do not.
const coaxialBatch = 8

// Field returns the radial and axial flux density in tesla at the cylindrical
// point (rho, z) relative to Center. It is LoopField summed over the turns, with
// the same accuracy.
func (c Coaxial) Field(rho, z float64) (br, bz float64) {
	// The formulas are those of type loopTerms, with three steps of the mean for
	// every turn; the few turns that pass closer than some hundredth of their
	// radius go to LoopField.
	rho = math.Abs(rho)
	rho2 := rho * rho
	var nearR, nearZ float64
	var x1s, x2s, x3s, y3s, qs, ws [coaxialBatch]float64
	for start := 0; start < len(c.Loops); start += coaxialBatch {
		turns := c.Loops[start:min(start+coaxialBatch, len(c.Loops))]
		for i := range turns {
			l := &turns[i]
			a, h := l.Radius, z-l.Z
			h2 := h * h
			d, s := a-rho, a+rho
			w := a*a + rho2 + h2
			q := (d*d + h2) * (s*s + h2)
			p := math.Sqrt(q)
			x1, y1 := math.Sqrt((w+p)/2), math.Sqrt(p)
			x2, y2 := (x1+y1)/2, math.Sqrt(x1*y1)
			i &= coaxialBatch - 1
			ws[i], qs[i], x1s[i], x2s[i] = w, q, x1, x2
			x3s[i], y3s[i] = (x2+y2)/2, math.Sqrt(x2*y2)
		}
		for i := range turns {
			l := &turns[i]
			a, h := l.Radius, z-l.Z
			i &= coaxialBatch - 1
			x1, x2, x3, y3, q, w := x1s[i], x2s[i], x3s[i], y3s[i], qs[i], ws[i]
			if !(x3-y3 <= meanTolerance*x3) {
				r, v := LoopField(a, rho, h)
				nearR += l.Current * r
				nearZ += l.Current * v
				continue
			}
			u := a * rho / 2
			mid := (x3 + y3) / 2
			x12, x3m := x1*x2, x3*mid
			x3mq := x3m * q
			inverse := 1 / (x12 * x3mq)
			i2, i3, im := x1*x3mq*inverse, x12*mid*q*inverse, x12*x3*q*inverse

			e := x2 * x3mq * inverse / 2
			e *= e
			sum := 2 * e
			e *= u * i2
			sum += 4 * e * e
			e *= u * e * i3
			sum += 8 * e * e
			e *= u * e * im
			sum += 16 * e * e
			e *= u * e * im
			sum += 32 * e * e

			delta := (x3 - y3) * im / 2
			delta *= delta
			g := l.Current * (a * a) * im * (1 + delta*(0.25+delta*(9./64))) * (x12 * x3m * inverse)
			t := (a - rho) * (a + rho)
			h2 := h * h
			br += g * h * (2 - w*sum)
			bz += g * (h2 + t + rho2*(h2-t)*sum)
		}
	}
	return Mu0/2*br*rho + nearR, Mu0/2*bz + nearZ
}

// Gradient implements Differentiable.
func (c Coaxial) Gradient(p r3.Vec) [3][3]float64 {
	d := r3.Sub(p, c.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	var sum AxialGradient
	for _, l := range c.Loops {
		g := LoopGradient(l.Radius, r, d.Z-l.Z)
		g.scale(l.Current)
		sum.add(g)
	}
	return sum.cartesian(d, r)
}
