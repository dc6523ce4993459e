package supply

import (
	"fmt"
	"math"

	"lodegrid/field/param"
	"lodegrid/field/quantity"
)

// params names this package in the errors of its parameters.
const params = param.Of("supply")

// Figure is one number of a proposal and how it came about: the formula and the
// numbers that went in.
type Figure struct {
	Key   string  `json:"key"`   // for programs, ends in the unit: "charging_time_s"
	Name  string  `json:"name"`  // for people
	Value float64 `json:"value"` // in Unit
	Unit  string  `json:"unit"`  // SI, empty for a ratio or a count
	Why   string  `json:"why"`
}

// The keys of the figures that no unit tells apart.
const (
	LoadKey    = "load_share"
	DimmingKey = "dimming_share"
)

func (f Figure) String() string {
	if f.Unit == "" {
		return fmt.Sprintf("%s: %s (%s)", f.Name, quantity.Figure(f.Value, 4), f.Why)
	}
	return fmt.Sprintf("%s: %s %s (%s)", f.Name, quantity.Figure(f.Value, 4), f.Unit, f.Why)
}

// next returns the lowest rung of an ascending ladder that is not below v, allowing
// for rounding in v; ok is false when v is above the top.
func next(ladder []float64, v float64) (rung float64, ok bool) {
	for _, r := range ladder {
		if r >= v*(1-1e-12) {
			return r, true
		}
	}
	return ladder[len(ladder)-1], false
}

// nextDecade returns the lowest value of a series repeated in every decade that is
// not below v > 0. The series runs from 1 to below 10.
func nextDecade(series []float64, v float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	for range 3 {
		for _, s := range series {
			if s*decade >= v*(1-1e-9) {
				return s * decade
			}
		}
		decade *= 10
	}
	return v
}
