package verdict

import (
	"fmt"
	"math"

	"lodegrid/array/design"
)

// stuck is the greatest hold ratio of a dark pixel where the pane's grip is greatest: of a
// vertical display, where the grip adds to the pull.
func (x *played) stuck() float64 {
	g := x.player.Grid()
	f, drop := g.Design.Fluid, g.Drop()
	if drop.Weight == 0 || x.summary.FalseOnPixel < 0 {
		return 0
	}
	return x.summary.GreatestFalseOn + (f.ContactLineMost-f.ContactLine)*f.DropDiameter/drop.Weight
}

// looser are settings with which dark pixels let go all the same: a pane that holds no more
// than they bear, or a heavier drop.
func (x *played) looser() [][]design.Change {
	g := x.player.Grid()
	d, f, drop := g.Design, g.Design.Fluid, g.Drop()
	bears := d.Limits.FalseOn - x.summary.GreatestFalseOn // over the weight
	if !(bears > 0) {
		return nil
	}
	most := f.ContactLine + bears*drop.Weight/f.DropDiameter
	grip := fmt.Sprintf("%.4g mN/m", math.Floor(most*1e5)/100)
	if f.ContactLine > 0 {
		grip = fmt.Sprintf("%.6g mN/m to %s", f.ContactLine*1e3, grip)
	} else {
		grip = "0 mN/m to " + grip
	}
	heavier := f.DensityDifference * x.stuck() / d.Limits.FalseOn
	heavier = math.Copysign(math.Ceil(math.Abs(heavier)*1.001), heavier)
	return [][]design.Change{{{Key: string(Sticks), Value: grip}}, {{Key: "fluid.density_difference", Value: fmt.Sprintf("%g kg/m3", heavier)}}}
}
