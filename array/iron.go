package array

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/field"
)

// chooseIron returns the image factor, the model that runs and a sentence on
// its limit.
func chooseIron(d design.Design) (factor float64, model design.IronModel, note string) {
	switch d.Iron.Model {
	case design.IronNone:
		return 0, design.IronNone, "no steel behind the board"
	default:
		factor = d.Iron.Factor
		if factor == 0 {
			factor = field.ImageFactor(d.Iron.MuR)
		}
		note = fmt.Sprintf("mirror image times κ = %.4f in a plane; exact for a thick, wide, unsaturated plate", factor)
		if d.Iron.Radius > 0 {
			note += "; a disc behind each pixel gives up to 30 % less than this at the fluid"
		}
		// The thin-sheet length µr·t/2 decides how good a mirror a sheet is.
		if sheet := d.Iron.MuR * d.Iron.Thickness / 2; sheet < 10*d.Coil.Outer/2 {
			note += fmt.Sprintf("; at µr·t/2 = %.0f mm against a coil radius of %.1f mm the sheet is too thin for a full mirror", sheet*1e3, d.Coil.Outer/2*1e3)
		}
		return factor, design.IronImage, note
	}
}
