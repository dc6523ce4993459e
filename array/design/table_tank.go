package design

import (
	"math"

	"lodegrid/array/pane"
	"lodegrid/field/quantity"
)

// tankSettings are the panes round the fluid. fluid.height and tank.rear follow from each
// other: the one that is given decides.
var tankSettings = []of{
	given("tank.air_gap", quantityOf(quantity.Length, within("0 mm", "100 mm")), "0 mm", "Air from the board's front face to the rear pane; 0 mm where the pane leans on the board."),
	follows("tank.rear", quantityOf(quantity.Length, within("0 mm", "100 mm")), "what fluid.height leaves, 1.5 mm without it",
		"Thickness of the rear pane, the one at the board; 0 mm where the board itself holds the fluid.", func(d *Design) {
			d.Tank.Rear = usualRear
			if d.Fluid.Height > 0 {
				d.Tank.Rear = picometres(d.Fluid.Height - d.Fluid.TankGap/2 - d.Tank.AirGap)
			}
		}),
	given("tank.rear_material", choiceOf(pane.Names()...), "glass", "What the rear pane is made of."),
	given("tank.front", quantityOf(quantity.Length, above("0 mm", "100 mm")), "3 mm", "Thickness of the front pane."),
	given("tank.front_material", choiceOf(pane.Names()...), "glass", "What the front pane is made of."),
	given("tank.spacers", quantityOf(quantity.Length, within("0 mm", "10 m")), "0 mm", "From spacer to spacer, glued to both panes in rows and columns between the pixels; 0 mm for none."),
	follows("tank.bottom", quantityOf(quantity.Length, within("0 mm", "500 mm")), "grid.pitch",
		"Room below the lowest row of pixels, down to the tank's floor, grid.pitch at most: there the fluid's pool lies that drops are drawn from. Beside and above the grid the tank goes on for a pitch.", func(d *Design) { d.Tank.Bottom = Surround * d.Grid.Pitch }),
	given("tank.room", quantityOf(quantity.Ratio, within("0 %", "90 %")), "5 %", "Share of the tank left to air, at fluid.temperature, into which the liquids grow as they warm (common practice, no source)."),
}

// usualRear is the rear pane of a design that gives neither it nor the fluid's height, m.
const usualRear = 1.5e-3

// picometres rounds a sum of lengths to what a person could have written.
func picometres(v float64) float64 { return math.Round(v*1e12) / 1e12 }

// middle is how far in front of the board the middle of the fluid is, m.
func (t Tank) middle(gap float64) float64 { return picometres(t.AirGap + t.Rear + gap/2) }
