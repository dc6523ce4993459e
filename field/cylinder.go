package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/elliptic"
)

// CylinderMagnet is a round magnet, uniformly magnetised along its axis, z, with a
// recoil permeability of 1.
type CylinderMagnet struct {
	Radius    float64 // metres
	Length    float64 // metres, along z
	Remanence float64 // tesla; positive: north pole towards +z
	Center    r3.Vec  // metres
}

// B implements Source. Inside the magnet it is B = µ0(H + M), which a fluid or a
// probe outside never sees; on the side face it is the mean of the two sides, and
// on the edges, where B has no bound, NaN or Inf.
func (c CylinderMagnet) B(p r3.Vec) r3.Vec {
	d := r3.Sub(p, c.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	br, bz := solenoid(c.Radius, c.Length/2, r, d.Z)
	return turnOut(d, r, c.Remanence*br, c.Remanence*bz)
}

// Moment returns the magnetic moment in A·m².
func (c CylinderMagnet) Moment() r3.Vec {
	return r3.Vec{Z: c.Remanence / Mu0 * math.Pi * c.Radius * c.Radius * c.Length}
}

// solenoid returns the field of a cylindrical current sheet of radius a and half
// length b, of Remanence 1 T, at (r, z) from its centre.
//
// Form of N. Derby & S. Olbert, "Cylindrical magnets and ideal solenoids", Am. J.
// Phys. 78 (2010) 229, arXiv:0909.3880 (abstract seen, equations from memory). The
// radial part is the difference of the end turns' vector potentials, which keeps
// its digits near the axis.
func solenoid(a, b, r, z float64) (br, bz float64) {
	d := a - r
	if rule := stackFor(d*d+z*z, b); rule != nil {
		for i, at := range rule.at {
			lr, lz := LoopField(a, r, z-b*at)
			br += rule.share[i] * lr
			bz += rule.share[i] * lz
		}
		return br * b / Mu0, bz * b / Mu0
	}
	top, bottom := z-b, z+b
	br = (LoopVectorPotential(a, r, top) - LoopVectorPotential(a, r, bottom)) / Mu0
	bz = (solenoidEnd(a, r, bottom) - solenoidEnd(a, r, top)) / math.Pi
	return br, bz
}

// solenoidEnd is one end's share of Derby and Olbert's Bz, in units of B0, at the
// height z over that end.
func solenoidEnd(a, r, z float64) float64 {
	if z == 0 {
		// In the plane of the end: zero by symmetry, save on the edge.
		if r == a {
			return math.NaN()
		}
		return 0
	}
	s := a + r
	g := (a - r) / s
	beta2 := s*s + z*z
	kc := math.Sqrt((z*z + (a-r)*(a-r)) / beta2)
	f := a * z / (s * math.Sqrt(beta2))
	if g == 0 {
		// r = a: the jump of the current sheet lies between the two ends'
		// terms; its mean is what the limit p = 0 with b = 0 leaves.
		return f * elliptic.KC(kc*kc)
	}
	return f * elliptic.Cel(kc, g*g, 1, g)
}
