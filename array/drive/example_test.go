package drive_test

import (
	"fmt"

	"lodegrid/array/drive"
)

// A coil of 3 Ω and 20 µH at 5 V, PWM of 20 kHz at duty 0.4, a diode of 0.7 V: its
// L/R of 6.7 µs is far below the period, so the current dies out in every period.
func ExampleCircuit_PWM() {
	c := drive.Circuit{Bridge: drive.LowSide, Voltage: 5, Resistance: 3, Inductance: 20e-6, DiodeDrop: 0.7}
	p := c.PWM(0.4, 1/20e3)
	fmt.Printf("average %.3f A, RMS %.3f A, ripple %.3f A\n", p.Average, p.RMS, p.Ripple())
	fmt.Printf("%.3f W = copper %.3f W + diode %.3f W\n", p.Power, p.Copper, p.Diode)
	// Output:
	// average 0.603 A, RMS 0.851 A, ripple 1.584 A
	// 2.278 W = copper 2.174 W + diode 0.103 W
}
