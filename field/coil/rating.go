package coil

import "math"

// The current chart of IPC-2221 as the fit I = k ΔT^0.44 A^0.725 with A in square
// mils, k = 0.048 for a track on a face of the board and 0.024 inside it (quoted by a
// secondary source). It holds for one straight track alone: a coil's many tracks heat
// each other, so this is a plausibility check and no coil temperature.

const (
	chartOutside = 0.048
	chartInside  = 0.024
	chartRise    = 0.44
	chartArea    = 0.725
)

func chart(internal bool) float64 {
	if internal {
		return chartInside
	}
	return chartOutside
}

// TrackCurrent returns the current in amperes that warms a single track of
// cross-section area (m²) by rise kelvin; NaN for negative arguments.
func TrackCurrent(rise, area float64, internal bool) float64 {
	return chart(internal) * math.Pow(rise, chartRise) * math.Pow(area/(mil*mil), chartArea)
}

// TrackRise returns how many kelvin the current (A) warms a single track of
// cross-section area (m²), the inverse of TrackCurrent.
func TrackRise(current, area float64, internal bool) float64 {
	return math.Pow(math.Abs(current)/(chart(internal)*math.Pow(area/(mil*mil), chartArea)), 1/chartRise)
}
