package ferrofluid

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// PullAxial is the magnetic force along z in newtons on a round disc of fluid on the axis
// x = y = 0 that fills the room between two panes: diameter and depth in metres, its middle
// at z (m). The field turns onto itself by 360°/fold about that axis and is its own mirror
// image about the x–z plane; fold 0 is a round one. It is the sum of Π over both faces along
// the outward normal (the rim's has no part along z), by Gauss places; give p as a Body with
// the disc's demagnetising factor. Half a sector of the two faces stands for all, each as
// finely as it needs: near tracks a face needs many places.
func PullAxial(p Directed, s field.Source, z, diameter, depth float64, fold int) float64 {
	sector := math.Pi
	if fold > 0 {
		sector /= float64(fold)
	}
	radius := diameter / 2
	face := func(z float64, n, around int) (sum float64) {
		place, share := make([]float64, n), make([]float64, n)
		quad.Legendre{}.FixedLocations(place, share, 0, 1)
		for k := range around {
			sin, cos := math.Sincos(sector * (float64(k) + 0.5) / float64(around))
			for i, x := range place {
				rho := radius * x
				sum += p.PiOf(s.B(r3.Vec{X: rho * cos, Y: rho * sin, Z: z})) * share[i] * radius * rho
			}
		}
		return 2 * math.Pi * sum / float64(around)
	}
	const most = 256
	faces := [2]float64{z + depth/2, z - depth/2}
	var sums [2]float64
	var done [2]bool
	for n, around := 6, 1; n <= most && !(done[0] && done[1]); n *= 2 {
		last := sums
		for i, z := range faces {
			if !done[i] {
				sums[i] = face(z, n, around)
			}
		}
		for i := range sums {
			done[i] = done[i] || n > 6 && math.Abs(sums[i]-last[i]) <= 1e-7*math.Abs(sums[0]-sums[1])+1e-13*sums[i]
		}
		if fold > 0 {
			around *= 2
		}
	}
	return sums[0] - sums[1]
}

// PullSmall returns the force in newtons on a drop of the given volume in m³ that is
// small against the distances over which the field changes: volume · Σ M_j ∇B_j at
// center. h is the step in metres of the differences; see field.GradientOf.
func PullSmall(p Directed, s field.Source, center r3.Vec, volume, h float64) r3.Vec {
	m, g := p.MOf(s.B(center)), field.GradientOf(s, center, h)
	pull := func(j int) float64 { return volume * (m.X*g[0][j] + m.Y*g[1][j] + m.Z*g[2][j]) }
	return r3.Vec{X: pull(0), Y: pull(1), Z: pull(2)}
}
