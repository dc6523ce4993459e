package array

import (
	"math"
	"testing"

	"lodegrid/field/ferrofluid"
)

// The table against the body it stands for, from far below its first step to
// beyond its end.
func TestPressureTable(t *testing.T) {
	for _, body := range []ferrofluid.Body{
		{Fluid: ferrofluid.Fluid{Susceptibility: 1, Saturation: 20e3}, Demagnetisation: 0.6},
		{Fluid: ferrofluid.Fluid{Susceptibility: 3.5, Saturation: 45e3}, Demagnetisation: 1},
		{Fluid: ferrofluid.Fluid{Susceptibility: 0.05, Saturation: 2e3}},
		{Fluid: ferrofluid.Fluid{Susceptibility: 1, Saturation: math.Inf(1)}, Demagnetisation: 1. / 3},
		{Fluid: ferrofluid.Fluid{Susceptibility: 0, Saturation: 20e3}},
	} {
		table := newPressureTable(body)
		worst := 0.0
		for b := 1e-7; b < 5; b *= 1.0037 {
			want := body.Pi(b)
			if e := math.Abs(table.Pi(b) - want); e > 0 {
				worst = max(worst, e/want)
			}
		}
		if worst > 1e-9 {
			t.Errorf("%+v: table differs by %.2g of the pressure, want at most 1e-9", body, worst)
		}
		if p := table.Pi(0); p != 0 {
			t.Errorf("%+v: pressure without field is %g Pa, want 0", body, p)
		}
	}
}

func BenchmarkPressure(b *testing.B) {
	body := ferrofluid.Body{Fluid: ferrofluid.Fluid{Susceptibility: 1, Saturation: 20e3}, Demagnetisation: 0.6}
	table := newPressureTable(body)
	for _, c := range []struct {
		name string
		pi   func(float64) float64
	}{{"body", body.Pi}, {"table", table.Pi}} {
		b.Run(c.name, func(b *testing.B) {
			sum, k := 0.0, 0
			for b.Loop() {
				sum += c.pi(float64(k%4096) * 1e-5)
				k++
			}
			if math.IsNaN(sum) {
				b.Fatal("not a number")
			}
		})
	}
}
