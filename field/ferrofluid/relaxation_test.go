package ferrofluid_test

import (
	"math"
	"testing"

	"lodegrid/field/ferrofluid"
)

// By hand: 10 nm in 15 mPa·s at 20 °C, V = 5.236e-25 m³, kT = 4.0474e-21 J: 3 × 5.236e-25
// × 0.015/4.0474e-21 = 5.82 µs, ωτ = 0.73 at 20 kHz; with the cube of the diameter. A body
// with χ 3 and N 0.7036 follows 1 + 3 × 0.7036 = 3.11 times as fast.
func TestRelaxation(t *testing.T) {
	for _, c := range []struct{ diameter, turns float64 }{{10e-9, 0.7315}, {15e-9, 2.469}, {20e-9, 5.852}} {
		if got := 2 * math.Pi * 20e3 * ferrofluid.Brownian(c.diameter, 0.015, 293.15); math.Abs(got/c.turns-1) > 1e-3 {
			t.Errorf("%g nm: ωτ = %g, want %g", c.diameter*1e9, got, c.turns)
		}
	}
	body := ferrofluid.Body{Fluid: ferrofluid.Fluid{Susceptibility: 3, Saturation: 48e3}, Demagnetisation: 0.7036}
	if got := body.Lag(1e-5); math.Abs(got*3.1108/1e-5-1) > 1e-9 || body.Lag(0) != 0 || !math.IsInf(body.Lag(math.Inf(1)), 1) {
		t.Errorf("lag %g s", got)
	}
}
