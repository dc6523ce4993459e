package render

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/quantity"
)

// InductanceSection is the coil's inductance in air, with its steel, and by a simple
// expression of one layer as a check, with the time constants.
func InductanceSection(ctx context.Context, d design.Design, p pixel.Pixel) (Section, error) {
	c := p.Coil
	air := c.Inductance()
	steel, how, err := p.Inductance(ctx, d)
	if err != nil {
		return Section{}, err
	}
	s := Section{Key: "inductance", Title: "Inductance", Facts: []Fact{
		Number("air_h", "in air", air, quantity.Inductance).Because("closed turns, every pair: Maxwell's coaxial loops with the tracks' geometric mean distances, straight sides by Neumann's integral"),
	}}
	if p.Iron.Model != design.IronNone {
		s.Facts = append(s.Facts, Fact{Key: "steel_h", Label: "with its steel", Value: steel,
			Text: fmt.Sprintf("%s (× %.3f), %s", quantity.Format(steel, quantity.Inductance), steel/air, how)})
		if image, unfair := p.ImageInductance(d); unfair != "" {
			s.Facts = append(s.Facts, absent("image_h")...)
			s.Notes = append(s.Notes, "The plain mirror image is no fair model of this steel: "+unfair+".")
		} else {
			s.Facts = append(s.Facts, Number("image_h", "by the plain mirror image", image, quantity.Inductance))
		}
	}
	if p.Iron.Model != design.IronNone || p.Eddy != nil {
		s.addEddy(p)
	}
	s.Notes = append(s.Notes, inductanceError(p, steel))
	if c.Spec().ParallelGroups > 1 {
		s.Facts = append(s.Facts, Number("fast_h", "in air, first moments of a step", c.InductanceFast(), quantity.Inductance).Because("parallel groups share the current by equal voltage"))
	}
	one, checks := c.LayerCheck()
	s.Facts = append(s.Facts, Number("layer_h", "its front layer alone", one, quantity.Inductance).Because("by the same sums"))
	for _, e := range checks {
		s.Facts = append(s.Facts, Fact{Key: "layer_expression_" + string(e.Outline) + "_h", Label: fmt.Sprintf("the same by expression, %s", e.Outline), Value: e.Henries,
			Text: fmt.Sprintf("%s (%+.1f %%), Mohan et al. 1999, said to be good to 2–3 %%", quantity.Format(e.Henries, quantity.Inductance), 100*(e.Henries/one-1)),
			Why:  "µ0 n² d_avg c1/2 [ln(c2/ρ) + c3 ρ + c4 ρ²], paper not seen, coefficients partly from memory"})
	}
	tau := p.TimeConstant(d, field.RoomTemperature, air)
	s.Facts = append(s.Facts, By("tau_air_s", "time constant L/R in air, cold", tau, quantity.Time))
	if p.Iron.Model != design.IronNone {
		tau = p.TimeConstant(d, field.RoomTemperature, steel)
		s.Facts = append(s.Facts, By("tau_steel_s", "time constant L/R with steel, cold", tau, quantity.Time))
	}
	return s, nil
}

// addEddy lists what eddy currents make of inductance, resistance and field by frequency.
func (s *Section) addEddy(p pixel.Pixel) {
	e := p.Eddy
	if e == nil {
		s.Notes = append(s.Notes, "Eddy currents in solid steel undo its part as the frequency rises, which is solved for round coils: expect the value with steel at a bench meter's low frequencies and one nearer to that in air at the switching frequency.")
		return
	}
	title := "With eddy currents in the " + e.Of
	if p.Iron.Model != design.IronNone {
		title += ", steel taken as linear"
	}
	t := Table{Key: "by_frequency", Title: title, Columns: []Column{
		{"frequency_hz", "frequency"}, {"inductance_h", "inductance"}, {"eddy_resistance_ohm", "resistance by them"},
		{"field_gain", "field at the fluid, of air's"}, {"field_of_dc", "of that at DC"}, {"field_lag_rad", "behind the current"}}}
	for k, f := range e.Frequencies {
		size, lag := cmplx.Abs(e.Gain[k]), 0-cmplx.Phase(e.Gain[k]) // no −0
		t.Rows = append(t.Rows, []Cell{
			In(f, quantity.Frequency), In(e.Inductance[k], quantity.Inductance), In(e.Resistance[k], quantity.Resistance),
			{size, fmt.Sprintf("× %.3f", size)}, {size / cmplx.Abs(e.Gain[0]), fmt.Sprintf("%.1f %%", 100*size/cmplx.Abs(e.Gain[0]))}, {lag, fmt.Sprintf("%.1f°", lag*180/math.Pi)}})
	}
	s.Tables = append(s.Tables, t)
	i := p.Full.On.Average
	if kick := p.Full.Kick; kick.Seconds > 0 {
		i = kick.Average
	}
	heat, lag := e.Ladder.Step()
	s.Notes = append(s.Notes, fmt.Sprintf("When the current comes on or goes off, %s at most heats the %s (½ ΔL I² at %s), and the field follows in about %s.",
		quantity.Format(heat*i*i, quantity.Energy), e.Of, quantity.Format(i, quantity.Current), quantity.Format(lag, quantity.Time)))
}
