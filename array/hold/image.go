package hold

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field"
)

// ImageBound is the greatest share by which the image of the reference drop in the steel
// strengthens its magnetisation, and so its pull, which leave it out; 0 without steel.
//
// The drop, magnetised all over by M, sees its mirror image's field k M, the mean over its
// volume, k/2 across the axis; M = χ(H − N M + k M) then grows by 1/(1 − kχ/(1 + Nχ)). The
// steel is taken for wide and of endless permeability from its foremost part on, a core's
// top where there is one: any other steel behind there answers less.
func ImageBound(g *grid.Grid) float64 {
	d := g.Design
	if d.Iron.Model == design.IronNone {
		return 0
	}
	front := d.IronFront()
	if d.Iron.CoreRadius > 0 {
		front = 0
	}
	f, s := d.Fluid, g.Fluid
	k := imageFactor(f.DropDiameter, f.TankGap, f.Height-front)
	grows := func(k, n float64) float64 {
		x := k * s.Susceptibility / (1 + n*s.Susceptibility)
		return x / (1 - x)
	}
	return max(grows(k, s.Axial), grows(k/2, s.Across))
}

// imageFactor is the mean field of a disc's mirror image over the disc along the axis, over
// the magnetisation: diameter, depth and the height of its middle over the mirror in metres.
func imageFactor(diameter, depth, height float64) (k float64) {
	image := field.CylinderMagnet{Radius: diameter / 2, Length: depth, Remanence: 1, Center: r3.Vec{Z: -height}}
	const n = 8
	square, share := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(square, share, 0, 1)
	for i, s := range square {
		for j, z := range square {
			k += share[i] * share[j] * image.B(r3.Vec{X: diameter / 2 * math.Sqrt(s), Z: height + depth*(z-0.5)}).Z
		}
	}
	return k
}
