package supply

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

func TestLadderEdges(t *testing.T) {
	for _, c := range []struct {
		volts, power, derating float64
		want                   Rung
	}{
		{12, 0, 0.8, Rung{12, 15, 1}},
		{12, 12, 0.8, Rung{12, 15, 1}},         // 15 W exactly
		{12, 12.001, 0.8, Rung{12, 25, 1}},     // a hair above
		{12, 80, 0.8, Rung{12, 100, 1}},        // 80 W at 80 % is 100 W
		{12, 80, 1, Rung{12, 100, 1}},          // no derating: 75 W is too little
		{12, 75, 1, Rung{12, 75, 1}},           // just enough
		{12, 800, 0.8, Rung{12, 1000, 1}},      // the top at 12 V: 100 A is 1200 W
		{12, 801, 0.8, Rung{12, 600, 2}},       // 1001.25 W: two of 500.6 W
		{5, 360, 0.8, Rung{5, 450, 1}},         // the top at 5 V: 100 A is 500 W
		{5, 361, 0.8, Rung{5, 300, 2}},         // two of 225.6 W
		{48, 1200, 0.8, Rung{48, 1500, 1}},     // the top of all
		{48, 12000, 0.8, Rung{48, 1500, 10}},   // ten of them exactly
		{48, 12000.1, 0.8, Rung{48, 1500, 11}}, // and one more
	} {
		got := Usual.Rate(c.volts, c.power, c.derating)
		if got != c.want {
			t.Errorf("%v W at %v V, derating %v: %+v; want %+v", c.power, c.volts, c.derating, got, c.want)
		}
	}
	for _, c := range [][2]float64{{3.3, 5}, {5, 5}, {5.01, 12}, {12, 12}, {24, 24}, {48, 48}} {
		if v, usual := Usual.nominal(c[0]); !usual || v != c[1] {
			t.Errorf("nominal for %v V: %v V, usual %t; want %v V", c[0], v, usual, c[1])
		}
	}
	if v, usual := Usual.nominal(60); usual || v != 60 {
		t.Errorf("nominal for 60 V: %v V, usual %t", v, usual)
	}
}

// A rung bears its load, and a greater load never gets a smaller supply.
func TestGreaterLoadNeverGetsLess(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 20000 {
		volts := Voltages[r.IntN(len(Voltages))]
		derating := 0.5 + 0.5*r.Float64()
		a := math.Pow(10, 8*r.Float64()-0.5) // up to what a wall of a million pixels takes
		b := a * (1 + math.Pow(10, -4*r.Float64()))
		small := Usual.Rate(volts, a, derating)
		great := Usual.Rate(volts, b, derating)
		if great.Total() < small.Total() || great.Count < small.Count {
			t.Fatalf("%v V: %v W gets %+v, %v W gets %+v", volts, a, small, b, great)
		}
		if small.Total()*derating < a*(1-1e-9) || small.Power > MostCurrent*volts {
			t.Fatalf("%v V: %+v does not bear %v W at %v", volts, small, a, derating)
		}
	}
}
