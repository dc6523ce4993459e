package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// RingMagnet is a cylinder magnet with a round hole along its axis, uniformly
// magnetised along z, recoil permeability 1.
type RingMagnet struct {
	Outer, Inner float64 // radii, metres, Inner < Outer
	Length       float64 // metres, along z
	Remanence    float64 // tesla; positive: north pole towards +z
	Center       r3.Vec  // metres
}

// Contains reports whether p lies inside the magnet's material or on its surface.
func (m RingMagnet) Contains(p r3.Vec) bool {
	d := r3.Sub(p, m.Center)
	r2 := d.X*d.X + d.Y*d.Y
	return math.Abs(d.Z) <= m.Length/2 && r2 <= m.Outer*m.Outer && r2 >= m.Inner*m.Inner
}

// B implements Source: the outer cylinder's field less that of the hole, so it
// holds in the hole too. Inside the material see CylinderMagnet.B.
func (m RingMagnet) B(p r3.Vec) r3.Vec {
	d := r3.Sub(p, m.Center)
	r := math.Sqrt(d.X*d.X + d.Y*d.Y)
	br, bz := solenoid(m.Outer, m.Length/2, r, d.Z)
	if m.Inner > 0 {
		hr, hz := solenoid(m.Inner, m.Length/2, r, d.Z)
		br, bz = br-hr, bz-hz
	}
	return turnOut(d, r, m.Remanence*br, m.Remanence*bz)
}

// Moment returns the magnetic moment in A·m².
func (m RingMagnet) Moment() r3.Vec {
	area := math.Pi * (m.Outer - m.Inner) * (m.Outer + m.Inner)
	return r3.Vec{Z: m.Remanence / Mu0 * area * m.Length}
}
