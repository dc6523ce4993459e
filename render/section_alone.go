package render

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// aloneKeys are the keys of AloneSection.
var aloneKeys = []string{"copper_w", "temperature_k", "rise_k_per_w", "resistance_ohm", "current_a", "field_t", "tau_s"}

// oneOutput is what the least that can be lit is called.
func oneOutput(d design.Design) string {
	if n := d.Coils(); n > 1 {
		return fmt.Sprintf("%d in series", n)
	}
	return "one pixel"
}

// AloneSection is one pixel held at full level, every other dark: its
// temperature, and what of the coil follows it.
func AloneSection(ctx context.Context, p *player.Player) (Section, error) {
	d := p.Grid().Design
	s := Section{Key: "alone", Title: "One pixel on continuously, the others dark"}
	if d.Coils() > 1 {
		s.Title = fmt.Sprintf("One pixel on continuously with the %d in series with it, the others dark", d.Coils()-1)
	}
	one, err := studies.Settle(ctx, p, p.Single(1))
	switch {
	case err != nil:
		return s, err
	case one.Runaway != nil:
		s.Facts, s.Notes = absent(aloneKeys...), []string{"It has no steady state: " + runaway(one.Runaway) + "."}
		return s, nil
	case one.Copper == 0:
		s.Facts, s.Notes = absent(aloneKeys...), []string{"It carries no current at full level once its kick is over, and stays at the ambient temperature."}
		return s, nil
	}
	s.Facts = []Fact{
		Number("copper_w", "heat in its copper", one.Copper, quantity.Power).Because("at the temperature it settles at, mean over the PWM"),
		{Key: "temperature_k", Label: "temperature of the coil", Value: one.Coil, Text: fmt.Sprintf("%s, %s K over the ambient %s", celsius(one.Coil), quantity.Figure(one.Coil-d.Heat.Ambient, 3), celsius(d.Heat.Ambient)),
			Why: "heat network of the board, steel and air; see Heat in the report"},
		{Key: "rise_k_per_w", Label: "rise per watt", Value: one.Rise, Text: fmt.Sprintf("%s K/W", quantity.Figure(one.Rise, 3))},
		{Key: "resistance_ohm", Label: "resistance then", Value: one.Resistance, Text: fmt.Sprintf("%s (× %.3f of 20 °C)", quantity.Format(one.Resistance, quantity.Resistance), one.Warmer)},
		Number("current_a", "mean current then", one.Current, quantity.Current),
		{Key: "field_t", Label: "field at the fluid then", Value: one.Field, Text: quantity.Format(one.Field, quantity.FluxDensity) + ", the coil with its steel"},
		By("tau_s", "time constant L/R then", one.TimeConstant, quantity.Time),
	}
	return s, nil
}
