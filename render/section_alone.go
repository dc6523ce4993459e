package render

import (
	"context"
	"errors"
	"fmt"

	"lodegrid/array"
	"lodegrid/array/heat"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// aloneKeys are the keys of AloneSection.
var aloneKeys = []string{"copper_w", "temperature_k", "rise_k_per_w", "resistance_ohm", "current_a", "field_t", "tau_s"}

// AloneSection is one pixel held at full level for ever, every other dark: its
// temperature, and what of the coil follows it.
func AloneSection(ctx context.Context, p *player.Player) (Section, error) {
	g := p.Grid()
	d, c := g.Design, g.Pixel.Coil
	s := Section{Key: "alone", Title: "One pixel on for ever, the others dark"}
	st, err := p.Steady(ctx, p.Single(1))
	var runaway *heat.RunawayError
	if errors.As(err, &runaway) {
		s.Facts, s.Notes = absent(aloneKeys...), []string{"It has no steady state: " + runaway.Error() + "."}
		return s, nil
	}
	if err != nil {
		return s, err
	}
	i := p.Middle()
	hot, px := st.Heat.Layers[array.CoilLayer][i], st.Pixels[i]
	r := c.Resistance(hot)
	if px.Copper == 0 {
		s.Facts, s.Notes = absent(aloneKeys...), []string{"It carries no current at full level once its kick is over, and stays at the ambient temperature."}
		return s, nil
	}
	l, _, err := g.Pixel.Inductance(ctx, d)
	if err != nil {
		return s, err
	}
	s.Facts = []Fact{
		Number("copper_w", "heat in its copper", px.Copper, quantity.Power).Because("at the temperature it settles at, mean over the PWM"),
		{Key: "temperature_k", Label: "temperature of the coil", Value: hot, Text: fmt.Sprintf("%s, %.3g K over the ambient %s", celsius(hot), hot-d.Heat.Ambient, celsius(d.Heat.Ambient)),
			Why: "heat network of the board, plate and air; see Heat in the report"},
		{Key: "rise_k_per_w", Label: "rise per watt", Value: (hot - d.Heat.Ambient) / px.Copper, Text: fmt.Sprintf("%.3g K/W", (hot-d.Heat.Ambient)/px.Copper)},
		{Key: "resistance_ohm", Label: "resistance then", Value: r, Text: fmt.Sprintf("%s (× %.3f of 20 °C)", quantity.Format(r, quantity.Resistance), r/c.Resistance(zeroCelsius+20))},
		Number("current_a", "mean current then", px.Average, quantity.Current),
		{Key: "field_t", Label: "field at the fluid then", Value: g.Kernel.At(0, 0).Z * px.Average,
			Text: quantity.Format(g.Kernel.At(0, 0).Z*px.Average, quantity.FluxDensity) + ", the coil with its steel"},
		By("tau_s", "time constant L/R then", g.Pixel.TimeConstant(d, hot, l), quantity.Time),
	}
	return s, nil
}
