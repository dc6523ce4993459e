package hold

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The raised meniscus by hand in a weak field, where the fluid is linear: normal to the
// surface Π = χ/(1 + χ) B²/(2µ0), and the height Π/(ρ g). Against air and against its
// carrier only the density differs.
func TestSurfacesByHand(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "supply.voltage=1 V", "fluid.susceptibility=1", "fluid.saturation=40 kA/m", "fluid.density=1200 kg/m3", "fluid.density_difference=50 kg/m3")
	air, carrier := Surfaces(g)
	b := PullOf(g).Flux
	pi := 0.5 * b * b / (2 * 4e-7 * math.Pi)
	if trial.Off(air.Rise.Value, pi/(1200*9.80665)) > 1e-3 || trial.Off(carrier.Rise.Value, pi/(50*9.80665)) > 1e-3 {
		t.Errorf("raised by %g m in air, %g m in its carrier; by hand %g m, %g m", air.Rise.Value, carrier.Rise.Value, pi/(1200*9.80665), pi/(50*9.80665))
	}
	if air.Fills || air.Exceeded || air.Reached != (air.Onset.B > 0) {
		t.Errorf("1 V on the coil: %+v", air)
	}
	strong := trial.Build(t, grid.New, 4)
	if _, c := Surfaces(strong); !c.Fills || c.Exceeded != (PullOf(strong).Flux > c.Onset.B) {
		t.Errorf("12 V on the coil: %+v", c)
	}
	if air, carrier := Surfaces(trial.Build(t, grid.New, 4, "fluid.density_difference=-20 kg/m3")); carrier != nil || air == nil {
		t.Error("a fluid lighter than its carrier has a meniscus in it")
	}
}
