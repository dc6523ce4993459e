package hold

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/grid"
	"lodegrid/array/ownfield"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
)

// Surface is what one pixel at FullCurrent, alone on, does to a level surface of the
// fluid at the fluid's height.
type Surface struct {
	// Rise is the height of the raised meniscus, m: hydrostatics against magnetic
	// pressure, the field normal to the surface. Fills tells that it is more than the
	// tank is deep.
	Rise  quantity.Derived
	Fills bool
	// Peaked tells whether the onset of surface peaks is known (it takes a tension),
	// Reached that some field raises them, Exceeded that the pixel's does. Onset is for
	// a deep layer.
	Peaked, Reached, Exceeded bool
	Onset                     ferrofluid.Onset
}

// Surfaces are the fluid's surface to air and that to its carrier, nil where the density
// or the difference of densities is not given or the carrier is the heavier.
func Surfaces(g *grid.Grid) (air, carrier *Surface) {
	f := g.Design.Fluid
	flux := flux(g)
	surface := func(density float64) *Surface {
		if !(density > 0) {
			return nil
		}
		s := &Surface{Rise: ferrofluid.Rise(ferrofluid.Body{Fluid: g.Fluid.Fluid, Demagnetisation: ferrofluid.Layer}, flux, density)}
		s.Fills = s.Rise.Value > f.TankGap
		var err error
		s.Onset, s.Reached, err = g.Fluid.Peaks(density, f.SurfaceTension)
		s.Peaked = err == nil
		s.Exceeded = s.Reached && flux > s.Onset.B
		return s
	}
	return surface(f.Density), surface(f.DensityDifference)
}

// Rim is the edge of a round drop on its lit pixel, alone on: the mean of eight places.
func Rim(g *grid.Grid) ownfield.Rim {
	f, p := g.Design.Fluid, g.Between()
	lit, felt := p.Lit(p.Full.On.Average), g.FeltBy(p)
	rim := ownfield.Rim{Radius: f.DropDiameter / 2, Depth: f.TankGap, Tension: f.SurfaceTension}
	const places, step = 8, 0.05 // of the radius
	for k := range places {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / places)
		at := func(r float64) r3.Vec { return r3.Vec{X: r * cos, Y: r * sin, Z: f.Height} }
		rim.M += math.Abs(g.Fluid.MOf(lit.B(at(rim.Radius))).Z) / places
		inner, outer := g.Fluid.PiOf(felt.B(at(rim.Radius*(1-step)))), g.Fluid.PiOf(felt.B(at(rim.Radius*(1+step))))
		rim.Fall += (inner - outer) / (2 * step * rim.Radius) / places
	}
	return rim
}
