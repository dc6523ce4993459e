package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/verdict"
)

// LiquidsSection is what to fill the tank with for a scene, and the liquids as cold and as
// warm as they get.
func LiquidsSection(d design.Design, v *verdict.Verdict) Section {
	t := Table{Key: "ends", Columns: []Column{
		{"temperature_k", "liquids at"}, {"density_difference_kg_per_m3", "fluid minus liquid round it"}, {"viscosity_pa_s", "viscosity"}, {"carrier_viscosity_pa_s", "of the liquid round it"}, {"least_hold", "least hold"},
	}}
	for _, l := range v.Liquids {
		hold := Cell{finite(l.Hold, Infinite), needed(l.Hold)}
		t.Rows = append(t.Rows, []Cell{{l.Fluid.Temperature, celsius(l.Fluid.Temperature)}, In(l.Fluid.DensityDifference, quantity.Density), In(l.Fluid.Viscosity, quantity.Viscosity), In(l.Fluid.CarrierViscosity, quantity.Viscosity), hold})
	}
	warm := v.Liquids[1].Fluid
	f := v.Fill
	ml := func(v float64) string { return quantity.Format(v, quantity.Volume) }
	rest, pool := ", the rest in the pool", quantity.Format(f.Depth, quantity.Length)+" deep at the start, "+ml(f.Pool)
	if f.Pool == 0 {
		rest, pool = "", "none at the start"
	}
	closed := Fact{Key: "closed_tank_pa", Label: "pressure in a closed tank", Value: Infinite, Text: "no room left"}
	if p := v.Closed(d); !math.IsInf(p, 1) {
		closed.Value, closed.Text = p, fmt.Sprintf("%s, %s times the air's outside, at %s", quantity.Format(p, quantity.Pressure), quantity.Figure(p/field.Atmosphere, 3), celsius(warm.Temperature))
	}
	s := Section{Key: "liquids", Title: "Filling the tank; its liquids cold and warm", Tables: []Table{t}, Facts: []Fact{
		{Key: "fluid_m3", Label: "fluid", Value: f.Fluid(), Text: fmt.Sprintf("%s: %s of %s on pixels at the start%s", ml(f.Fluid()), quantity.Count(len(f.On), "drop"), ml(f.Drop), rest)},
		{Key: "pool_depth_m", Label: "pool at the bottom", Value: f.Depth, Text: pool},
		{Key: "carrier_m3", Label: "liquid round it", Value: f.Carrier(), Text: ml(f.Carrier())},
		{Key: "room_m3", Label: "air left for them to grow into", Value: f.Room, Text: fmt.Sprintf("%s of the tank's %s", ml(f.Room), ml(f.Inside))},
		{Key: "growth", Label: "the liquids grow", Value: v.Grows, Text: fmt.Sprintf("by %s of the tank from %s to %s", percent(v.Grows), celsius(d.Fluid.Temperature), celsius(warm.Temperature))},
		closed,
		Number("density_drift_kg_per_m3_k", "density difference drifts by", d.Fluid.DensityDrift, quantity.DensityPerKelvin),
	}}
	if kelvin, ok := d.Fluid.EqualWeight(); ok {
		s.Facts = append(s.Facts, Fact{Key: "equal_weight_k", Label: "both weigh the same", Value: kelvin, Text: "at " + celsius(kelvin)})
	} else {
		s.Facts = append(s.Facts, absent("equal_weight_k")...)
	}
	if n := math.Abs(d.Fluid.DensityDrift) * 10; math.Abs(d.Fluid.DensityDifference) < n {
		s.Notes = append(s.Notes, fmt.Sprintf("Ten kelvins change the difference by %s, as much as there is: weigh both liquids cold and warm before the tank is filled.", quantity.Format(n, quantity.Density)))
	}
	if d.Fluid.DensityDifference < 0 && f.Pool > 0 {
		s.Notes = append(s.Notes, "The fluid is the lighter liquid: its pool rises to the top.")
	}
	if over := f.Depth - d.Grid.Pitch; over > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("The pool stands %s over the lower edge of the lowest pixels: they look lit. Less fluid.volume, or more of it in drops (fluid.start).", quantity.Format(over, quantity.Length)))
	}
	if f.Left > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("%s of fluid.volume is left out of the film: each pixel has a drop, or it is less than one.", ml(f.Left)))
	}
	if f.Short() && d.Fluid.Volume == 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("The fullest picture needs %s; a display that lies has no pool to take it from: tell fluid.volume, or fluid.start.", ml(f.Need)))
	}
	s.Notes = append(s.Notes, "A tank that is closed must bear the pressure of its air: let it breathe through a vent that keeps dust out, or leave more room.")
	s.Notes = append(s.Notes, "Cold: in the coldest air, before the display warms them. Warm: as the warmest coil is on average over the scene, which they do not exceed. Moves take longer in the cold as the viscosities do; film and hand-over are computed at fluid.temperature.")
	return s
}
