package render

import (
	"context"
	"fmt"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/field/coil"
	"lodegrid/field/quantity"
)

// InductanceSection is the coil's inductance in air, with its steel, and by a simple
// expression of one layer as a check, with the time constants.
func InductanceSection(ctx context.Context, d design.Design, p array.Pixel) (Section, error) {
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
		if reason := imageUnfair(d); reason == "" {
			if l, err := c.InductanceOnSteel(d.IronFront(), d.Iron.Factor); err == nil {
				s.Facts = append(s.Facts, Number("image_h", "by the plain mirror image", l, quantity.Inductance))
			}
		} else {
			s.Notes = append(s.Notes, "The plain mirror image is no fair model of this steel: "+reason+".")
		}
		s.Notes = append(s.Notes, "Eddy currents in solid steel undo its part as the frequency rises: expect the value with steel at a bench meter's low frequencies and one nearer to that in air at the switching frequency.")
	}
	if c.Spec().ParallelGroups > 1 {
		s.Facts = append(s.Facts, Number("fast_h", "in air, first moments of a step", c.InductanceFast(), quantity.Inductance).Because("parallel groups share the current by equal voltage"))
	}
	s.Facts = append(s.Facts, crossCheck(c)...)
	s.Facts = append(s.Facts, By("tau_air_s", "time constant L/R in air, cold", p.TimeConstant(d, zeroCelsius+20, air), quantity.Time))
	if p.Iron.Model != design.IronNone {
		s.Facts = append(s.Facts, By("tau_steel_s", "time constant L/R with steel, cold", p.TimeConstant(d, zeroCelsius+20, steel), quantity.Time))
	}
	return s, nil
}

// imageUnfair tells why the plain mirror image does not stand for the design's steel,
// empty when it does.
func imageUnfair(d design.Design) string {
	f, r := d.Iron, d.Coil.Outer/2
	switch {
	case f.CoreRadius > 0:
		return "a core passes through the coil"
	case f.Radius > 0 && f.Radius < 3*r:
		return fmt.Sprintf("the disc reaches out to %.2g coil radii only", f.Radius/r)
	case f.MuR*f.Thickness/2 < 10*r:
		return fmt.Sprintf("µr·t/2 is %.0f mm, not long against the coil's radius of %.1f mm", f.MuR*f.Thickness/2*1e3, r*1e3)
	}
	return ""
}

// crossCheck is one layer by the sums over turns and by the expressions for spirals.
func crossCheck(c *coil.Coil) []Fact {
	s := c.Spec()
	one := c.LayerInductanceMatrix().At(0, 0)
	var outlines []coil.Outline
	switch s.Shape {
	case coil.Round:
		outlines = []coil.Outline{coil.CircleOutline}
	case coil.Square:
		outlines = []coil.Outline{coil.SquareOutline}
	case coil.Hexagon:
		outlines = []coil.Outline{coil.HexagonOutline}
	default: // between the two
		outlines = []coil.Outline{coil.CircleOutline, coil.SquareOutline}
	}
	facts := []Fact{Number("layer_h", "its front layer alone", one, quantity.Inductance).Because("by the same sums")}
	for _, o := range outlines {
		if l, err := coil.CurrentSheet(o, s.Turns, s.Outer, s.Inner); err == nil {
			facts = append(facts, Fact{Key: "layer_expression_" + string(o) + "_h", Label: fmt.Sprintf("the same by expression, %s", o), Value: l,
				Text: fmt.Sprintf("%s (%+.1f %%), Mohan et al. 1999, said to be good to 2–3 %%", quantity.Format(l, quantity.Inductance), 100*(l/one-1)),
				Why:  "µ0 n² d_avg c1/2 [ln(c2/ρ) + c3 ρ + c4 ρ²], paper not seen, coefficients partly from memory"})
		}
	}
	return facts
}
