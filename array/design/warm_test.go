package design

import (
	"math"
	"testing"
)

// Andrade's law, with the slope that water has at 20 °C, meets its viscosity at 80 °C (1.002,
// 0.890 and 0.354 mPa·s at 20, 25 and 80 °C: handbook, from memory) within a fifth, where an
// even share a kelvin is a third off; two steps come to the same as one.
func TestLiquidsThin(t *testing.T) {
	f := Fluid{Temperature: 293.15, Viscosity: 1.002e-3, CarrierViscosity: 2e-3, ViscosityDrift: math.Log(0.890/1.002) / 5}
	even := f.Viscosity * math.Exp(f.ViscosityDrift*60)
	got := f.At(353.15)
	if e := math.Abs(got.Viscosity/0.354e-3 - 1); e > 0.2 || e > 0.6*math.Abs(even/0.354e-3-1) {
		t.Errorf("%.4g Pa·s at 80 °C, by an even share %.4g", got.Viscosity, even)
	}
	if twice := f.At(320).At(353.15); math.Abs(twice.Viscosity/got.Viscosity-1) > 1e-12 || math.Abs(twice.CarrierViscosity/got.CarrierViscosity-1) > 1e-12 {
		t.Errorf("in two steps %.12g, in one %.12g", twice.Viscosity, got.Viscosity)
	}
}
