package drive

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/interp"
)

// leastPulse and mostPulse are the shortest and the longest duty that a ladder's answer is worked
// out for: shorter pulses are taken as the shortest.
const leastPulse, mostPulse = 0.02, 0.98

// responses is how many duties an answer is tabulated at, from leastPulse to a half: it is the same
// of a duty and of what is left of the period. A cubic through them, over the duty's logarithm, is
// within responseError of it.
const (
	responses     = 12
	responseError = 1e-3
)

// Response is what Ladder.PWM tells of any duty, from a table that is worked out at once.
func Response(under func(duty float64) (inductance, steel float64)) func(duty float64) (inductance, steel float64) {
	at := floats.Span(make([]float64, responses), math.Log(leastPulse), math.Log(0.5))
	l, r := make([]float64, responses), make([]float64, responses)
	for k, x := range at {
		l[k], r[k] = under(math.Exp(x))
	}
	var inductance, steel interp.NotAKnotCubic
	if err := errors.Join(inductance.Fit(at, l), steel.Fit(at, r)); err != nil {
		panic(err) // ascending places, as many values
	}
	return func(duty float64) (float64, float64) {
		x := math.Log(max(leastPulse, min(duty, 1-duty)))
		return inductance.Predict(x), steel.Predict(x)
	}
}
