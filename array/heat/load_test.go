package heat

import (
	"testing"
)

// By hand: 12 V less 0.8 V over 10 Ω of coil and 4 Ω of switches are 0.8 A, of which coil and
// diode turn 6.4 W + 0.64 W to heat, at half the time half of it; the slope is that of the
// heat itself.
func TestVoltageDriveWithADiode(t *testing.T) {
	d := &VoltageDrive{Copper: Copper{10, 0.00393}, Volts: 12, Series: 4, Diode: 0.8, Share: []float64{0.5, 0.5, 0.5}}
	watts, slope := make([]float64, 3), make([]float64, 3)
	const h = 1e-3
	d.Power(watts, slope, []float64{293.15, 293.15 - h, 293.15 + h})
	near(t, "heat", watts[0], 3.52, 1e-12)
	near(t, "slope", slope[0], (watts[2]-watts[1])/(2*h), 1e-7)
	d.Diode = 13
	d.Power(watts, slope, []float64{293.15, 293.15, 293.15})
	if watts[0] != 0 || slope[0] != 0 {
		t.Errorf("a diode that takes the whole voltage: %g W, %g W/K", watts[0], slope[0])
	}
}
