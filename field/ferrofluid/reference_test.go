package ferrofluid

import (
	"lodegrid/field"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pull returns the magnetic force in newtons on a spherical drop of the given diameter
// in metres, centred at center, in the field of s. It is ∫ ∇Π(|B|) dV over the drop,
// taken over its surface as the sum of Π along the outward normal (Gauss), to about
// 1e-9 of the force.
//
// The liquid around the drop is not magnetic, the drop stays round, and it lies
// wholly in air; give p as a Body with Sphere for the drop's effect on the field in
// itself.
func Pull(p Directed, s field.Source, center r3.Vec, diameter float64) r3.Vec {
	var last r3.Vec
	for i := range sphereRules {
		force, size := sphereRules[i]().force(p, s, center, diameter/2)
		if i > 0 && r3.Norm(r3.Sub(force, last)) <= 1e-9*r3.Norm(force)+1e-15*size {
			return force
		}
		last = force
	}
	return last
}
