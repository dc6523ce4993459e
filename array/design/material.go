package design

import (
	"math"

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

// fromLaminate returns the derivation of a setting from board.laminate.
func fromLaminate(fill func(*Design, material.Laminate)) func(*Design) {
	return func(d *Design) {
		if m, err := material.LaminateNamed(d.Board.Laminate); err == nil {
			fill(d, m)
		}
	}
}

// fromSteel returns the derivation of a setting from iron.steel.
func fromSteel(fill func(*Design, material.Steel)) func(*Design) {
	return func(d *Design) {
		if m, err := material.SteelNamed(d.Iron.Steel); err == nil {
			fill(d, m)
		}
	}
}

// fromGrade returns the derivation of a setting from magnet.grade.
func fromGrade(fill func(*Design, material.Grade)) func(*Design) {
	return func(d *Design) {
		if m, err := material.GradeNamed(d.Magnet.Grade); err == nil {
			fill(d, m)
		}
	}
}

// relaxation is the time in which grains of a diameter in m follow a field in the fluid at
// room temperature, s.
func relaxation(grain float64, f Fluid) float64 {
	return ferrofluid.Brownian(grain, f.Viscosity, field.RoomTemperature)
}

// RelaxationRange is between what times in s the fluid's relaxation lies: both the same
// where the design gives it, or where it follows from the class of fluid, which is no more
// than a guess, from small grains whose moments turn inside them to clusters that turn in
// the liquid.
func (f Fluid) RelaxationRange() (least, most float64) {
	m, err := material.FluidNamed(f.Kind)
	if guess := relaxation(m.Grain, f); err != nil || math.Abs(f.Relaxation-guess) > 1e-6*guess {
		return f.Relaxation, f.Relaxation
	}
	return min(material.QuickestGrain, f.Relaxation), max(relaxation(material.LargestGrain, f), f.Relaxation)
}

// fromFluid returns the derivation of a setting from fluid.kind.
func fromFluid(fill func(*Design, material.Fluid)) func(*Design) {
	return func(d *Design) {
		if m, err := material.FluidNamed(d.Fluid.Kind); err == nil {
			fill(d, m)
		}
	}
}
