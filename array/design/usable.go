package design

import "math"

// lessPerKelvin is what a supply gives less per kelvin above supply.full_to, and leastShare
// what is counted on in any air (common practice, no source: 50 % at 70 °C).
const lessPerKelvin, leastShare = 0.025, 0.1

// UsableShare is the share of a supply's rating that a picture may take for long in the
// warmest air.
func (d Design) UsableShare() float64 {
	return d.Supply.Derating * d.Limits.SupplyLoad * d.AirShare()
}

// AirShare is what the warmest air leaves of a supply's rating.
func (d Design) AirShare() float64 {
	return min(1, math.Max(leastShare, 1-lessPerKelvin*(d.Heat.Ambient-d.Supply.FullTo)))
}

// UsablePower is what the supply on hand gives for long, W; 0 without one.
func (d Design) UsablePower() float64 { return d.Supply.Power * d.UsableShare() }
