package array

import (
	"math"
	"testing"
)

// The raised meniscus by hand in a weak field, where the fluid is linear: normal to the
// surface Π = χ/(1 + χ) B²/(2µ0), and the height Π/(ρ g). Against air and against its
// carrier only the density differs.
func TestSurfacesByHand(t *testing.T) {
	g := testGrid(t, 4, "supply.voltage=1 V", "fluid.susceptibility=1", "fluid.saturation=40 kA/m", "fluid.density=1200 kg/m3", "fluid.density_difference=50 kg/m3")
	air, carrier := g.Surfaces()
	b := g.Pull().Flux
	pi := 0.5 * b * b / (2 * 4e-7 * math.Pi)
	if off(air.Rise.Value, pi/(1200*9.80665)) > 1e-3 || off(carrier.Rise.Value, pi/(50*9.80665)) > 1e-3 {
		t.Errorf("raised by %g m in air, %g m in its carrier; by hand %g m, %g m", air.Rise.Value, carrier.Rise.Value, pi/(1200*9.80665), pi/(50*9.80665))
	}
	if air.Fills || air.Exceeded || air.Reached != (air.Onset.B > 0) {
		t.Errorf("1 V on the coil: %+v", air)
	}
	strong := testGrid(t, 4)
	if _, c := strong.Surfaces(); !c.Fills || c.Exceeded != (strong.Pull().Flux > c.Onset.B) {
		t.Errorf("12 V on the coil: %+v", c)
	}
	if air, carrier := testGrid(t, 4, "fluid.density_difference=-20 kg/m3").Surfaces(); carrier != nil || air == nil {
		t.Error("a fluid lighter than its carrier has a meniscus in it")
	}
}
