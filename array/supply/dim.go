package supply

import (
	"context"
	"fmt"

	"lodegrid/field/quantity"
	"lodegrid/field/root"
)

// Dim returns the greatest scale 0…1 of all drive levels at which power(scale) in
// watts stays within a limit in watts. power is what the grid really draws for its
// levels times the scale; it must not fall when the scale grows. The answer is within
// 1e-9 of the true scale and never above it.
//
// Nothing about the power law is assumed: with smooth current power goes with the
// square of the level, with a current that dies out in every period nearly so, with
// one that follows the voltage at once in proportion.
func Dim(ctx context.Context, limit float64, power func(scale float64) (float64, error)) (Figure, error) {
	f := Figure{Key: DimmingKey, Name: "global dimming"}
	full, err := power(1)
	if err != nil {
		return f, err
	}
	if full <= limit {
		f.Value = 1
		f.Why = fmt.Sprintf("full levels draw %s W, within %s W", quantity.Figure(full, 4), quantity.Figure(limit, 4))
		return f, nil
	}
	pLow, err := power(0)
	if err != nil {
		return f, err
	}
	if pLow > limit {
		return f, params.Refuse("power limit", limit, fmt.Sprintf("a dark picture draws %s W", quantity.Figure(pLow, 4)), fmt.Sprintf("at least %s W", quantity.Figure(pLow, 4)))
	}
	low, _, err := root.Find(ctx, func(scale float64) (float64, error) {
		p, err := power(scale)
		return p - limit, err
	}, 0, 1, 1e-9)
	if err != nil {
		return f, err
	}
	if pLow, err = power(low); err != nil {
		return f, err
	}
	f.Value = low
	guess := limit / full
	linear, err := power(guess)
	if err != nil {
		return f, err
	}
	f.Why = fmt.Sprintf("levels × %.4f draw %s W, the most within %s W (full levels draw %s W; found on the grid's own power law: the linear guess %.4f would draw %s W)",
		low, quantity.Figure(pLow, 4), quantity.Figure(limit, 4), quantity.Figure(full, 4), guess, quantity.Figure(linear, 4))
	return f, nil
}
