package design

import (
	"math"

	"lodegrid/array/pane"
	"lodegrid/field/quantity"
)

// tankSettings are the panes round the fluid. fluid.height and tank.rear follow from each
// other: the one that is given decides.
var tankSettings = []of{
	{
		key: "tank.air_gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Tank.AirGap }, within("0 mm", "100 mm")),
		preset: "0 mm", sentence: "Air from the board's front face to the rear pane; 0 mm where the pane leans on the board.",
	}, {
		key: "tank.rear", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Tank.Rear }, within("0 mm", "100 mm")),
		source: "what fluid.height leaves, 1.5 mm without it", derive: func(d *Design) {
			d.Tank.Rear = usualRear
			if d.Fluid.Height > 0 {
				d.Tank.Rear = picometres(d.Fluid.Height - d.Fluid.TankGap/2 - d.Tank.AirGap)
			}
		},
		sentence: "Thickness of the rear pane, the one at the board; 0 mm where the board itself holds the fluid.",
	}, {
		key: "tank.rear_material", kind: choiceOf(func(d *Design) *string { return &d.Tank.RearMaterial }, pane.Names()...),
		preset: "glass", sentence: "What the rear pane is made of.",
	}, {
		key: "tank.front", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Tank.Front }, above("0 mm", "100 mm")),
		preset: "3 mm", sentence: "Thickness of the front pane.",
	}, {
		key: "tank.front_material", kind: choiceOf(func(d *Design) *string { return &d.Tank.FrontMaterial }, pane.Names()...),
		preset: "glass", sentence: "What the front pane is made of.",
	}, {
		key: "tank.spacers", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Tank.Spacers }, within("0 mm", "10 m")),
		preset: "0 mm", sentence: "From spacer to spacer, glued to both panes in rows and columns between the pixels; 0 mm for none.",
	}, {
		key: "tank.bottom", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Tank.Bottom }, within("0 mm", "500 mm")),
		source: "grid.pitch", derive: func(d *Design) { d.Tank.Bottom = Surround * d.Grid.Pitch },
		sentence: "Room below the lowest row of pixels, down to the tank's floor, grid.pitch at most: there the fluid's pool lies that drops are drawn from. Beside and above the grid the tank goes on for a pitch.",
	}, {
		key: "tank.room", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Tank.Room }, within("0 %", "90 %")),
		preset: "5 %", sentence: "Share of the tank left to air, at fluid.temperature, into which the liquids grow as they warm (common practice, no source).",
	},
}

// usualRear is the rear pane of a design that gives neither it nor the fluid's height, m.
const usualRear = 1.5e-3

// picometres rounds a sum of lengths to what a person could have written.
func picometres(v float64) float64 { return math.Round(v*1e12) / 1e12 }

// middle is how far in front of the board the middle of the fluid is, m.
func (t Tank) middle(gap float64) float64 { return picometres(t.AirGap + t.Rear + gap/2) }
