package design

import (
	"fmt"

	"lodegrid/array/pane"
	"lodegrid/field"
)

// Surround is how far the tank goes on beside and above the grid, and below it at most, in
// pitches: drops at its edge have surroundings too, and a field is worked out so far.
const Surround = 1

// Inside returns the width and height of the tank inside, m.
func (d Design) Inside() (width, height float64) {
	w, h := d.Size()
	return w + 2*Surround*d.Grid.Pitch, h + Surround*d.Grid.Pitch + d.Tank.Bottom
}

// Panes is the tank as package pane bends it. The liquid is the one round the fluid.
func (d Design) Panes() pane.Tank {
	sheet := 0.0
	if d.Iron.Model != IronNone && d.Iron.Radius == 0 {
		sheet = d.Iron.Thickness
	}
	lie := map[Orientation]pane.Lie{Vertical: pane.Upright, FaceUp: pane.FrontUp, FaceDown: pane.FrontDown}[d.Heat.Orientation]
	width, height := d.Inside()
	return pane.Tank{
		Width: width, Height: height, Gap: d.Fluid.TankGap, Density: d.Fluid.Density - d.Fluid.DensityDifference, Gravity: field.Gravity, Lie: lie,
		Front: pane.Sheet{Material: d.Tank.FrontMaterial, Thickness: d.Tank.Front}, Rear: pane.Sheet{Material: d.Tank.RearMaterial, Thickness: d.Tank.Rear},
		AirGap: d.Tank.AirGap, Backing: pane.Backing(d.Board.Thickness, sheet), Spacers: d.Tank.Spacers,
	}
}

const (
	offered  = 0.1  // of the gap's depth that it changes by at most with the panes of Stiffer
	thickest = 40   // half millimetres of its front pane
	touching = 1e-9 // m
)

// checkPanes refuses panes that touch, or bow as no pane can.
func (r *resolver) checkPanes() {
	d := r.design
	if !r.sectionFine("tank") || !r.sectionFine("fluid") || !r.sectionFine("grid") || !r.sectionFine("board") || !r.sectionFine("iron") || !r.fine("heat.orientation") {
		return
	}
	switch least, most := d.Panes().Bow().Depths(); {
	case least <= touching:
		r.fail("tank.front", fmt.Sprintf("the panes touch: flat they stand %s apart, and one sags by more", mm(d.Fluid.TankGap)), d.Stiffer())
	case most > max(d.Inside()):
		r.fail("tank.front", fmt.Sprintf("the panes, %s apart when flat, bow by more than they are wide", mm(d.Fluid.TankGap)), d.Stiffer())
	}
}

// Stiffer tells the thinnest front pane and the widest spacers between which the gap changes
// by less than a tenth of its depth.
func (d Design) Stiffer() string {
	mends := func(d Design) bool {
		least, most := d.Panes().Bow().Depths()
		return least >= (1-offered)*d.Fluid.TankGap && most <= (1+offered)*d.Fluid.TankGap
	}
	accept, try := "panes that bow less", d
	for n := max(d.Grid.Cols, d.Grid.Rows); n >= 1; n-- {
		if try.Tank.Spacers = float64(n) * d.Grid.Pitch; mends(try) {
			accept = fmt.Sprintf("tank.spacers = \"%.6g mm\" or less, or %s", try.Tank.Spacers*1e3, accept)
			break
		}
	}
	try = d
	for n := int(d.Tank.Front*2e3) + 1; n <= thickest; n++ {
		if try.Tank.Front = float64(n) / 2e3; mends(try) {
			return fmt.Sprintf("tank.front = \"%g mm\" or more, or %s", float64(n)/2, accept)
		}
	}
	return accept
}
