package design

import "lodegrid/field/material"

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

// fromFluid returns the derivation of a setting from fluid.kind.
func fromFluid(fill func(*Design, material.Fluid)) func(*Design) {
	return func(d *Design) {
		if m, err := material.FluidNamed(d.Fluid.Kind); err == nil {
			fill(d, m)
		}
	}
}
