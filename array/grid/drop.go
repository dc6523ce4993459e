package grid

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
)

// Drop is the reference drop: a disc of fluid that fills the gap between the
// panes.
type Drop struct {
	Diameter float64 // m
	Volume   float64 // m³
	// Weight is the force that takes the drop away, N: its apparent weight in the
	// pane's plane; 0 in a level display.
	Weight float64
	// Pinning is the force with which the contact line on the panes holds a resting
	// drop back, N, whichever way it is pushed.
	Pinning float64
}

// Drop returns the design's reference drop.
func (g *Grid) Drop() Drop {
	drop := Drop{Diameter: g.Design.Fluid.DropDiameter, Volume: g.dropVolume(), Pinning: g.Pinning().Value}
	if g.Design.Heat.Orientation == design.Vertical {
		drop.Weight = g.Weight().Value
	}
	return drop
}

func (g *Grid) dropVolume() float64 {
	f := g.Design.Fluid
	return math.Pi / 4 * f.DropDiameter * f.DropDiameter * f.TankGap
}

// DropFluid is the fluid in the shape of the reference drop: a flat disc whose own
// poles weaken the field in it, along its axis far more than along the panes. The disc
// is taken as the spheroid of its diameter and depth.
func DropFluid(d design.Design) ferrofluid.Spheroid {
	return ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: d.Fluid.Susceptibility, Saturation: d.Fluid.Saturation}, d.Fluid.TankGap/d.Fluid.DropDiameter)
}

// Weight is the drop's weight less that of the carrier it displaces, whichever way the
// display lies, N.
func (g *Grid) Weight() quantity.Derived {
	f, v := g.Design.Fluid, g.dropVolume()
	return quantity.Derived{
		Value: math.Abs(f.DensityDifference) * field.Gravity * v,
		Why:   fmt.Sprintf("|Δρ| g V = %.5g kg/m³ × %.5g m/s² × %.5g m³", math.Abs(f.DensityDifference), field.Gravity, v),
	}
}

// Grip is the force with which the panes hold a resting drop back at most, N (Furmidge's law,
// 1962, from memory), and the tilt of the tank at which it slides all the same, rad; +Inf where
// the grip is more than its weight.
func (g *Grid) Grip() (most, slides float64) {
	f := g.Design.Fluid
	if most = f.ContactLineMost * f.DropDiameter; most < g.Weight().Value {
		return most, math.Asin(most / g.Weight().Value)
	}
	return most, math.Inf(1)
}

// Pinning is the force with which the contact line holds a resting drop back, N.
func (g *Grid) Pinning() quantity.Derived {
	f := g.Design.Fluid
	return quantity.Derived{
		Value: f.ContactLine * f.DropDiameter,
		Why:   fmt.Sprintf("both panes together: %.5g N/m × %.5g m", f.ContactLine, f.DropDiameter),
	}
}
