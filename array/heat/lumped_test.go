package heat

import (
	"math"
	"testing"

	"lodegrid/field"
)

// The closed form against the worked values of the RC circuit R 20 K/W, C 15 J/K,
// P 2 W, air 25 °C (evaluated with 30 digits outside this program).
func TestLumped(t *testing.T) {
	l := Lumped{Resistance: 20, Capacity: 15, Ambient: 298.15}
	near(t, "time constant", l.TimeConstant(), 300, 1e-15)
	near(t, "T(60 s)", l.Temperature(60, 298.15, 2, 0)-field.ZeroCelsius, 32.250769876881, 1e-12)
	near(t, "T(300 s)", l.Temperature(300, 298.15, 2, 0)-field.ZeroCelsius, 50.284822353142, 1e-12)
	near(t, "final", l.Final(2, 0)-field.ZeroCelsius, 65, 1e-14)
	if !math.IsInf(l.Final(2, 0.05), 1) || !math.IsInf(l.Final(2, 0.06), 1) {
		t.Error("feedback of 1/R and more has no final temperature")
	}
	// Exactly balanced feedback warms at P/C.
	near(t, "balanced", l.Temperature(30, 298.15, 2, 0.05), 298.15+2*30/15.0, 1e-14)
}

// Times are the inverse of temperatures, warming and cooling, with and without
// feedback; what is never reached is told so.
func TestLumpedTimes(t *testing.T) {
	l := Lumped{Resistance: 20, Capacity: 15, Ambient: 298.15}
	for _, k := range []float64{-0.05, 0, 0.01, 0.05, 0.4} {
		for _, start := range []float64{290, 298.15, 310, 500} {
			for _, seconds := range []float64{1e-3, 1, 200} {
				end := l.Temperature(seconds, start, 2, k)
				if end == start {
					continue
				}
				near(t, "time", l.TimeTo(end, start, 2, k), seconds, 1e-8)
			}
		}
	}
	if x := l.TimeTo(400, 298.15, 2, 0); !math.IsInf(x, 1) {
		t.Errorf("400 K is above the final 338.15 K, reached after %g s", x)
	}
	if x := l.TimeTo(298.15, 320, 2, 0); !math.IsInf(x, 1) {
		t.Errorf("the air's temperature is not reached with power on, got %g s", x)
	}
	if x := l.TimeTo(310, 310, 5, 0); x != 0 {
		t.Errorf("already there, got %g s", x)
	}
}

// Pulses for ever: run the closed form pulse by pulse until it repeats.
func TestLumpedRepeatPeriod(t *testing.T) {
	l := Lumped{Resistance: 20, Capacity: 15, Ambient: 298.15}
	const limit, watts = 298.15 + 60, 30.0
	for _, width := range []float64{0.1, 5, 25} {
		period := l.RepeatPeriod(limit, watts, width)
		temp := 298.15
		for range 20000 {
			temp = l.Temperature(width, temp, watts, 0)
			peak := temp
			if peak > limit+1e-9 {
				t.Fatalf("width %g s, period %g s: %g K passes the limit", width, period, peak)
			}
			temp = l.Temperature(period-width, temp, 0, 0)
		}
		near(t, "peak", l.Temperature(width, temp, watts, 0), limit, 1e-9)
	}
	if p := l.RepeatPeriod(limit, watts, 40); !math.IsInf(p, 1) {
		t.Errorf("one pulse of 40 s passes the limit, period %g", p)
	}
	if p := l.RepeatPeriod(limit, 2, 40); p != 40 {
		t.Errorf("2 W may stay on, period %g", p)
	}
}
