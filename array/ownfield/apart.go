package ownfield

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"lodegrid/field"
)

// Rim is the edge of a round drop in a field: its radius, m, the depth between the panes, m,
// what the fluid's magnetisation along the axis is there, A/m, the tension of its surface, N/m,
// and how steeply the magnetic pressure falls outwards, Pa/m.
type Rim struct{ Radius, Depth, M, Tension, Fall float64 }

// Apart is what the drop's own field pushes its edge apart with, over what holds it round, for
// edges with 2 to 12 lobes the one with the most, and how many lobes that has. From 1 on the
// drop does not stay round: it grows arms or falls apart, as films in a strong field break up
// into labyrinths. An edge moved out by ε cos nθ is held back by the pressure
//
//	ε [σ(n² − 1)/R² + fall − µ0 M² R ∮ G(2R sin θ/2) (cos θ − cos nθ) dθ]
//
// (after A. O. Tsebers & M. M. Maiorov, Magnetohydrodynamics 16 (1980) 21, and Langer and
// others 1992, from memory; derived here afresh).
func (r Rim) Apart() (share float64, lobes int) {
	for n := 2; n <= 12; n++ {
		f := float64(n)
		held := r.Tension*(f*f-1)/(r.Radius*r.Radius) + r.Fall
		if held <= 0 {
			return math.Inf(1), n
		}
		if s := r.push(n) / held; s > share {
			share, lobes = s, n
		}
	}
	return share, lobes
}

// push is the last term for n lobes, over ε, Pa/m.
func (r Rim) push(n int) float64 {
	return field.Mu0 * r.M * r.M * r.Radius * quad.Fixed(func(angle float64) float64 {
		d := 2 * r.Radius * math.Sin(angle/2)
		return 2 * between(d, r.Depth) * (math.Cos(angle) - math.Cos(float64(n)*angle))
	}, 0, math.Pi, 64, nil, 0)
}

// between is G, 1/m³ per area: see the package's comment.
func between(r, depth float64) float64 {
	return (1/r - 1/math.Hypot(r, depth)) / (2 * math.Pi * depth)
}
