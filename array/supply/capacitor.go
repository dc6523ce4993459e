package supply

import (
	"math"
)

// BulkCapacitance returns the capacitance in farads that carries a current in
// amperes for a time in seconds while the voltage falls by no more than droop in
// volts, with the capacitor's series resistance esr in ohms, which leaves some of the droop:
//
//	C = I t / (ΔV − I·ESR)
//
// (charge balance, textbook).
func BulkCapacitance(current, time, droop, esr float64) float64 {
	return charged(current*time, current*esr, droop)
}

// charged is the capacitance for a charge, with a voltage lost on the way.
func charged(charge, lost, droop float64) float64 { return charge / (droop - lost) }

// RippleRMS returns the RMS in amperes of what the capacitors carry when the supply
// delivers the average current alone, √(RMS² − average²).
func RippleRMS(rms, average float64) float64 {
	return math.Sqrt(math.Max(0, rms*rms-average*average))
}

// BurstCharge returns the greatest charge in coulombs that a current which repeats
// after a period in seconds can draw above its average: of all currents between 0
// and the peak with that average, the one that is at its peak all at once and zero
// after draws most, and it draws
//
//	Q = I_avg (1 − I_avg/I_peak) T
func BurstCharge(average, peak, period float64) float64 {
	if average <= 0 || peak <= average {
		return 0
	}
	return average * (1 - average/peak) * period
}

// usualCapacitances is the E6 series, of which electrolytic capacitors are sold.
var usualCapacitances = []float64{1, 1.5, 2.2, 3.3, 4.7, 6.8}

// capacitorVoltages are usual ratings of electrolytic capacitors, V. Common practice,
// no source.
var capacitorVoltages = []float64{6.3, 10, 16, 25, 35, 50, 63, 80, 100}
