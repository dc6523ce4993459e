package render

import (
	"fmt"
	"math"

	"lodegrid/array"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
)

// FluidSection is what one pixel at full level does to the ferrofluid: pull on the
// reference drop two ways, the raised meniscus, and peaks on a free surface.
func FluidSection(g *array.Grid) Section {
	d, fluid := g.Design, g.Fluid.Fluid
	pull := g.Pull()
	b, point, whole := pull.Flux, pull.Point.Value, pull.Whole.Value
	s := Section{Key: "fluid", Title: "What one pixel does to the fluid"}
	s.Facts = append(s.Facts,
		By("pull_point_n", "pull towards the board, drop taken as a point", pull.Point, quantity.Force),
		By("pull_n", "pull towards the board, over the drop", pull.Whole, quantity.Force))
	if pull.Alone != 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_gain", Label: "gain of that pull by steel and magnet", Value: whole / pull.Alone, Text: fmt.Sprintf("× %.2f of %s", whole/pull.Alone, quantity.Format(pull.Alone, quantity.Force))})
	}
	if weight := g.Weight().Value; weight > 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_weights", Label: "over the drop's apparent weight", Value: whole / weight, Text: fmt.Sprintf("× %.3g of %s", whole/weight, quantity.Format(weight, quantity.Force))})
	}
	if whole != 0 && math.Abs(point/whole-1) > 0.2 {
		s.Notes = append(s.Notes, fmt.Sprintf("The drop of %s is not small against the coil: the point form is %+.0f %% off.", quantity.Format(d.Fluid.DropDiameter, quantity.Length), 100*(point/whole-1)))
	}

	normal := ferrofluid.Body{Fluid: fluid, Demagnetisation: ferrofluid.Layer}
	if rho := d.Fluid.Density; rho > 0 {
		s.Facts = append(s.Facts, rise("rise_air_m", "raised meniscus, surface to air", ferrofluid.Rise(normal, b, rho), d.Fluid.TankGap))
	}
	if rho := d.Fluid.DensityDifference; rho > 0 {
		s.Facts = append(s.Facts, rise("rise_carrier_m", "raised meniscus, in its carrier", ferrofluid.Rise(normal, b, rho), d.Fluid.TankGap))
		s.peaks(fluid, rho, d.Fluid.SurfaceTension, b, "in its carrier", "peaks_carrier_onset_t")
	}
	s.peaks(fluid, d.Fluid.Density, d.Fluid.SurfaceTension, b, "surface to air", "peaks_air_onset_t")
	return s
}

// rise is the height that the pressure would raise the surface, and what it means where
// that is more than the tank holds.
func rise(key, label string, h quantity.Derived, gap float64) Fact {
	f := By(key, label, h, quantity.Length)
	if h.Value > gap {
		f.Text += fmt.Sprintf(", more than the tank's depth of %s: the fluid reaches the other pane", quantity.Format(gap, quantity.Length))
	}
	return f
}

// peaks adds the onset and the spacing of surface peaks, and whether the field is over
// the onset.
func (s *Section) peaks(f ferrofluid.Fluid, rho, tension, b float64, where, key string) {
	onset, reached, err := f.Peaks(rho, tension)
	if err != nil {
		return // no density or no tension: no such surface
	}
	label := "surface peaks, " + where
	if !reached {
		s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: None, Text: "no field raises them: the fluid saturates before"})
		return
	}
	verdict := "not reached"
	if b > onset.B {
		verdict = "exceeded"
	}
	s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: onset.B,
		Text: fmt.Sprintf("from %s: %s by %s; spacing %s", quantity.Format(onset.B, quantity.FluxDensity), verdict, quantity.Format(b, quantity.FluxDensity), quantity.Format(onset.Spacing, quantity.Length)),
		Why:  "onset of the normal-field instability of a deep layer (Cowley & Rosensweig 1967); a thin layer or a small patch needs more"})
}
