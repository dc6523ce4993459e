package fit

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
)

// Expect fills in what each reading of a display as designed comes to, and its standard
// deviation: the values in doubt, each moved by its own, and the instrument's.
func Expect(ctx context.Context, d design.Design, readings []Reading) error {
	m, err := NewModel(d, readings)
	if err != nil {
		return err
	}
	x := make([]float64, len(m.Doubts))
	values, err := m.Predict(ctx, x)
	if err != nil {
		return err
	}
	// By a whole standard deviation each way, the larger change: a gap cannot be less than none.
	squares := make([]float64, len(readings))
	for k := range x {
		most := make([]float64, len(readings))
		for _, x[k] = range []float64{1, -1} {
			moved, err := m.Predict(ctx, x)
			if err != nil {
				return fmt.Errorf("finding how far readings may be off: %w", err)
			}
			for i, v := range moved {
				most[i] = max(most[i], math.Abs(v-values[i]))
			}
		}
		x[k] = 0
		for i, v := range most {
			squares[i] += v * v
		}
	}
	for i := range readings {
		r := &readings[i]
		r.Value = values[i]
		square := squares[i]
		for _, c := range columns {
			if c.kind == r.Kind {
				square += math.Pow(c.share*math.Abs(r.Value)+c.amount, 2)
			}
		}
		r.Error = math.Sqrt(square)
	}
	return nil
}

// Incoming are the readings that tell on the bench, in minutes, whether a board is the one
// that was ordered: a coil's resistance and inductance, its field at the board's face at a
// current that hardly warms it, and its copper's temperature after a minute at a voltage,
// the air at a temperature in kelvin. Current and voltage are rounded to what is set.
func Incoming(air, amperes, volts float64) []Reading {
	return []Reading{
		{Kind: Ohms, Setup: Setup{Air: air}},
		{Kind: Henries, Setup: Setup{Air: air, Frequency: 1e3}},
		{Kind: Tesla, Setup: Setup{Air: air, Current: twoDigits(amperes)}},
		{Kind: Kelvin, Setup: Setup{Air: air, Voltage: twoDigits(volts), Time: 60, Place: Coil}},
	}
}
