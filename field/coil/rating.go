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

// ChartEnds is the rise in K at which the curves end; from memory.
const ChartEnds = 100

// LoneTrack returns the rise in kelvin of the coil's hottest track by the chart, were it
// alone inside the board, and the current in amperes it carries then, for a current
// through the terminals: parallel groups share it.
func (c *Coil) LoneTrack(current float64) (rise, amps float64) {
	for i, share := range c.share {
		if r := TrackRise(current*share, c.spec.Track*c.spec.Layers[i].Copper, true); r >= rise {
			rise, amps = r, math.Abs(current*share)
		}
	}
	return rise, amps
}

// TrackRise returns how many kelvin the current (A) warms a single track of
// cross-section area (m²): ΔT = (I / (k A^0.725))^(1/0.44).
func TrackRise(current, area float64, internal bool) float64 {
	return math.Pow(math.Abs(current)/(chart(internal)*math.Pow(area/(mil*mil), chartArea)), 1/chartRise)
}

// TrackArea returns the cross-section (m²) of a single track that a current (A) warms by
// rise kelvin: A = (I / (k ΔT^0.44))^(1/0.725).
func TrackArea(current, rise float64, internal bool) float64 {
	return mil * mil * math.Pow(math.Abs(current)/(chart(internal)*math.Pow(rise, chartRise)), 1/chartArea)
}
