package ferrofluid

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
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

// sphereRule is a set of directions with weights that sum to 4π: Gauss–Legendre in the
// height, equal steps around.
type sphereRule struct {
	normal []r3.Vec
	weight []float64
}

var sphereRules = [...]func() *sphereRule{
	sync.OnceValue(func() *sphereRule { return newSphereRule(6) }),
	sync.OnceValue(func() *sphereRule { return newSphereRule(10) }),
	sync.OnceValue(func() *sphereRule { return newSphereRule(18) }),
	sync.OnceValue(func() *sphereRule { return newSphereRule(34) }),
	sync.OnceValue(func() *sphereRule { return newSphereRule(66) }),
}

func newSphereRule(n int) *sphereRule {
	r := &sphereRule{}
	height, share := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(height, share, -1, 1)
	for i, z := range height {
		rho := math.Sqrt((1 - z) * (1 + z))
		for k := range 2 * n {
			sin, cos := math.Sincos(math.Pi * (float64(k) + 0.5) / float64(n))
			r.normal = append(r.normal, r3.Vec{X: rho * cos, Y: rho * sin, Z: z})
			r.weight = append(r.weight, share[i]*math.Pi/float64(n))
		}
	}
	return r
}

// force returns the force and the sum of the pressures' sizes that it is the small rest
// of.
func (r *sphereRule) force(p Directed, s field.Source, center r3.Vec, radius float64) (force r3.Vec, size float64) {
	for i, n := range r.normal {
		push := p.PiOf(s.B(r3.Add(center, r3.Scale(radius, n)))) * r.weight[i]
		force = r3.Add(force, r3.Scale(push, n))
		size += push
	}
	area := radius * radius
	return r3.Scale(area, force), area * size
}
