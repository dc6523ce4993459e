package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/verdict"
)

// LiquidsSection is the fluid and the liquid round it as cold and as warm as they get.
func LiquidsSection(d design.Design, v *verdict.Verdict) Section {
	t := Table{Key: "ends", Columns: []Column{
		{"temperature_k", "liquids at"}, {"density_difference_kg_per_m3", "fluid minus liquid round it"}, {"viscosity_pa_s", "viscosity"}, {"carrier_viscosity_pa_s", "of the liquid round it"}, {"least_hold", "least hold"},
	}}
	for _, l := range v.Liquids {
		hold := Cell{finite(l.Hold, Infinite), needed(l.Hold)}
		t.Rows = append(t.Rows, []Cell{{l.Fluid.Temperature, celsius(l.Fluid.Temperature)}, In(l.Fluid.DensityDifference, quantity.Density), In(l.Fluid.Viscosity, quantity.Viscosity), In(l.Fluid.CarrierViscosity, quantity.Viscosity), hold})
	}
	cold, warm := v.Liquids[0].Fluid, v.Liquids[1].Fluid
	grows := d.Fluid.CarrierExpansion * (warm.Temperature - cold.Temperature)
	s := Section{Key: "liquids", Title: "Cold and warm liquids", Tables: []Table{t}, Facts: []Fact{
		Number("density_drift_kg_per_m3_k", "density difference drifts by", d.Fluid.DensityDrift, quantity.DensityPerKelvin),
		{Key: "growth", Label: "the liquid round the fluid grows", Value: grows, Text: "by " + percent(grows) + " between the two"},
	}}
	if drift := d.Fluid.DensityDrift; drift != 0 {
		s.Facts = append(s.Facts, Fact{Key: "equal_weight_k", Label: "both weigh the same", Value: d.Fluid.Temperature - d.Fluid.DensityDifference/drift, Text: "at " + celsius(d.Fluid.Temperature-d.Fluid.DensityDifference/drift)})
	} else {
		s.Facts = append(s.Facts, absent("equal_weight_k")...)
	}
	if n := math.Abs(d.Fluid.DensityDrift) * 10; math.Abs(d.Fluid.DensityDifference) < n {
		s.Notes = append(s.Notes, fmt.Sprintf("Ten kelvins change the difference by %s, as much as there is: weigh both liquids cold and warm before the tank is filled.", quantity.Format(n, quantity.Density)))
	}
	s.Notes = append(s.Notes, "Cold: in the coldest air, before the display warms them. Warm: as the warmest coil is on average over the scene, which they do not exceed. Moves take longer in the cold as the viscosities do; film and hand-over are computed at fluid.temperature.")
	return s
}
