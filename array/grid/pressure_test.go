package grid

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/ferrofluid"
)

// The table against the body it stands for, in every direction, from far below its first
// step to beyond its end.
func TestPressureTable(t *testing.T) {
	for _, body := range []ferrofluid.Spheroid{
		{Fluid: ferrofluid.Fluid{Susceptibility: 1, Saturation: 20e3}, Axial: 0.6, Across: 0.2},
		ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 3, Saturation: 48e3}, 0.25),
		{Fluid: ferrofluid.Fluid{Susceptibility: 3.5, Saturation: 45e3}, Axial: 1},
		ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 10, Saturation: 70e3}, 0.05),
		{Fluid: ferrofluid.Fluid{Susceptibility: 0.05, Saturation: 2e3}},
		ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 1, Saturation: math.Inf(1)}, 1),
		{Fluid: ferrofluid.Fluid{Susceptibility: 0, Saturation: 20e3}},
	} {
		table := newPressureTable(body)
		worst := 0.0
		for b := 1e-7; b < 5; b *= 1.013 {
			for k := range 24 {
				sin, cos := math.Sincos(math.Pi / 2 * float64(k) / 23)
				at := r3.Vec{X: b * sin, Z: b * cos}
				want := body.PiOf(at)
				if e := math.Abs(table.Pi(at.Z*at.Z, at.X*at.X) - want); e > 0 {
					worst = max(worst, e/want)
				}
			}
		}
		t.Logf("%+v: %.2g", body, worst)
		if worst > 2e-6 {
			t.Errorf("%+v: table differs by %.2g of the pressure, want at most 2e-6", body, worst)
		}
		if p := table.Pi(0, 0); p != 0 {
			t.Errorf("%+v: pressure without field is %g Pa, want 0", body, p)
		}
	}
}

func BenchmarkPressure(b *testing.B) {
	body := ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 1, Saturation: 20e3}, 0.25)
	table := newPressureTable(body)
	for _, c := range []struct {
		name string
		pi   func(along, across float64) float64
	}{
		{"body", func(along, across float64) float64 { return body.PiOf(r3.Vec{X: across, Z: along}) }},
		{"table", func(along, across float64) float64 { return table.Pi(along*along, across*across) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			sum, k := 0.0, 0
			for b.Loop() {
				sum += c.pi(float64(k%4096)*1e-5, float64(k%1024)*1e-5)
				k++
			}
			if math.IsNaN(sum) {
				b.Fatal("not a number")
			}
		})
	}
}
