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

// Field returns the radial and axial flux density in tesla at the cylindrical
// point (rho, z) relative to Center.
func (c Coaxial) Field(rho, z float64) (br, bz float64) {
	rho = math.Abs(rho)
	for _, l := range c.Loops {
		r, v := LoopField(l.Radius, rho, z-l.Z)
		br += l.Current * r
		bz += l.Current * v
	}
	return br, bz
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
