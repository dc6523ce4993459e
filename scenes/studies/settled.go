package studies

import (
	"context"
	"errors"

	"lodegrid/array/heat"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// Settled is the hottest pixel of a pattern held until no temperature changes any more.
type Settled struct {
	// Runaway is set, and all else zero, where the pattern has no steady state.
	Runaway *heat.RunawayError
	Power   float64 // W, from the supply
	Coil    float64 // K, the mean of its copper
	Turn    float64 // K, its hottest turn
	Copper  float64 // W, heat in the pixel's copper
	// Rise is the coil's rise over the ambient temperature per watt of Copper and of the diode beside it, K/W; 0
	// where there is no heat, as in mode kick once a kick without hold is over.
	Rise         float64
	Resistance   float64 // Ω
	Warmer       float64 // Resistance over that at 20 °C
	Current      float64 // A, mean
	Field        float64 // T, Bz at the fluid by that current, steel included
	TimeConstant quantity.Derived
}

// Settle holds levels.
func Settle(ctx context.Context, p *player.Player, levels []float64) (Settled, error) {
	st, err := p.Steady(ctx, levels)
	var s Settled
	if errors.As(err, &s.Runaway) {
		return s, nil
	}
	if err != nil {
		return s, err
	}
	g, k := p.Grid(), st.Heat.Pixel
	inductance, _, err := g.Pixel.Inductance(ctx, g.Design)
	if err != nil {
		return s, err
	}
	s.Power, s.Coil, s.Turn = st.Power, st.Heat.Coils[k], st.Heat.Turns[k]
	s.Copper, s.Current = st.Pixels[k].Copper, st.Pixels[k].Average
	if watts := s.Copper + st.Pixels[k].OnBoard; watts > 0 {
		s.Rise = (s.Coil - g.Design.Heat.Ambient) / watts
	}
	s.Resistance = g.Pixel.Coil.Resistance(s.Coil)
	s.Warmer = s.Resistance / g.Pixel.Coil.Cold().Value
	s.Field = g.Kernel.At(0, 0).Z * s.Current
	s.TimeConstant = g.Pixel.TimeConstant(g.Design, s.Coil, inductance)
	return s, nil
}
