package design

import (
	"math"
	"slices"

	"lodegrid/field"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/material"
)

// This file is the only link to the tables of materials: their names, and the values
// a name fills in where the design gives none. A name that is not in its table fills
// in nothing; the key that holds it has been refused by then.

const (
	usualLaminate = "fr4"
	usualSteel    = "low-carbon"
	usualGrade    = "n35"
	usualFluid    = "oil-medium"
)

// from returns a way to derive settings from what a table has under the name that a key
// holds.
func from[M any](names func() []string, named func(string) M, name func(*Design) string) func(fill func(*Design, M)) func(*Design) {
	return func(fill func(*Design, M)) func(*Design) {
		return func(d *Design) {
			if is := name(d); slices.Contains(names(), is) {
				fill(d, named(is))
			}
		}
	}
}

var (
	fromLaminate = from(material.LaminateNames, material.LaminateNamed, func(d *Design) string { return d.Board.Laminate })
	fromSteel    = from(material.SteelNames, material.SteelNamed, func(d *Design) string { return d.Iron.Steel })
	fromGrade    = from(material.GradeNames, material.GradeNamed, func(d *Design) string { return d.Magnet.Grade })
	fromFluid    = from(material.FluidNames, material.FluidNamed, func(d *Design) string { return d.Fluid.Kind })
)

// relaxation is the time in which grains of a diameter in m follow a field in the fluid at
// room temperature, s.
func relaxation(grain float64, f Fluid) float64 {
	return ferrofluid.Brownian(grain, f.Viscosity, field.RoomTemperature)
}

// EqualWeight is the temperature in K at which the fluid and the liquid round it weigh the same;
// ok is false where their difference does not drift.
func (f Fluid) EqualWeight() (kelvin float64, ok bool) {
	return f.Temperature - f.DensityDifference/f.DensityDrift, f.DensityDrift != 0
}

// RelaxationRange is between what times in s the fluid's relaxation lies: both the same
// where the design gives it, or where it follows from the class of fluid, which is no more
// than a guess, from small grains whose moments turn inside them to clusters that turn in
// the liquid.
func (f Fluid) RelaxationRange() (least, most float64) {
	m := material.FluidNamed(f.Kind)
	if guess := relaxation(m.Grain, f); math.Abs(f.Relaxation-guess) > 1e-6*guess {
		return f.Relaxation, f.Relaxation
	}
	return min(material.QuickestGrain, f.Relaxation), max(relaxation(material.LargestGrain, f), f.Relaxation)
}
