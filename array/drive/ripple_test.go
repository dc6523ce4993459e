package drive

import (
	"math"
	"testing"
)

func courseOf(t *testing.T, p Params, level, resistance float64) Course {
	t.Helper()
	d := New(p)
	c := d.Course(0, level, resistance)
	return c
}

// By hand: a coil slow against the period swings in a triangle, whose mean square is a
// twelfth of its height's; one that is fast makes a rectangle, D(1 − D)I²; in between, V =
// R = 1, L/R a quarter of the period and half duty, the current about its mean is ½ − c e^(−s)
// for s = 0…2 with c = 1/(1 + e^(−2)), then its mirror image: ¼ − c(1 − e^(−2))/2 + c²(1 −
// e^(−4))/4 = ¼ − ¼ tanh 1.
func TestRippleByHand(t *testing.T) {
	base := Params{
		Mode: Direct, Bridge: FullBridge, Rows: 1, Cols: 1, Voltage: 1, Frequency: 1e3, Inductance: 1, MaxDuty: 1,
		FrameTime: 0.1, OnResistance: 0,
	}
	for _, c := range []struct {
		name                       string
		inductance, duty, variance float64
		tol                        float64
	}{
		// The slope is (V − ½V)/L for half a millisecond: 0.25e-3 A high with 1 H.
		{"triangle", 1, 0.5, 0.25e-3 * 0.25e-3 / 12, 1e-5},
		{"rectangle", 1e-9, 0.2, 0.16, 1e-5},
		{"exponential", 0.25e-3, 0.5, 0.25 - 0.25*math.Tanh(1), 1e-9},
	} {
		p := base
		p.Inductance = c.inductance
		s := courseOf(t, p, c.duty, 1).On
		got := s.Ripple(0)
		if math.Abs(got*got/c.variance-1) > c.tol {
			t.Errorf("%s: mean square of the ripple %g A², want %g", c.name, got*got, c.variance)
		}
		if all := s.Average*s.Average + got*got; math.Abs(all/s.MeanSquare-1) > 1e-9 {
			t.Errorf("%s: mean and ripple make %g A², the mean square is %g", c.name, all, s.MeanSquare)
		}
		if s.Ripple(math.Inf(1)) != 0 || s.Ripple(1e9) != 0 {
			t.Errorf("%s: an endless lag sees a ripple", c.name)
		}
	}
	// A rectangle through a lag is the closed form of a capacitor, both ways.
	p := base
	p.Inductance = 1e-10
	s := courseOf(t, p, 0.3, 1).On
	for _, lag := range []float64{1e-5, 1e-4, 1e-3, 1e-2} {
		got := s.Ripple(lag)
		if want := 0.21 * Followed(0.3, 1e-3/lag); math.Abs(got*got/want-1) > 1e-4 {
			t.Errorf("lag %g s: %g A², want %g", lag, got*got, want)
		}
	}
	if a, b := Followed(0.3, 0.99e-3), Followed(0.3, 1.01e-3); Followed(0.3, math.Inf(1)) != 1 || math.Abs(a/b/math.Pow(0.99/1.01, 2)-1) > 1e-4 {
		t.Errorf("the two forms do not meet: %g and %g", a, b)
	}
	if courseOf(t, base, 1, 1).On.Ripple(0) > 1e-9 || courseOf(t, base, 0, 1).On.Ripple(0) != 0 {
		t.Error("a steady current has a ripple")
	}
}

// Against the waveform's own harmonics, Σ |I_n|²/2 / (1 + (nωτ)²), from samples of the
// closed form of Circuit.Rise and its decay: full bridge, a diode that lets the current die
// out, and lags about L/R, where the closed form would divide by nothing.
func TestRippleAgainstHarmonics(t *testing.T) {
	for _, c := range []struct {
		bridge     Bridge
		inductance float64
		duty       float64
	}{{FullBridge, 80e-6, 0.16}, {FullBridge, 300e-6, 0.6}, {LowSide, 60e-6, 0.2}, {LowSide, 400e-6, 0.5}} {
		p := Params{
			Mode: Direct, Bridge: c.bridge, Rows: 1, Cols: 1, Voltage: 12, Frequency: 20e3, Inductance: c.inductance,
			OnResistance: 0.6, DiodeDrop: 0.7, MaxDuty: 1, FrameTime: 0.1,
		}
		const r = 11.0
		s := courseOf(t, p, c.duty, r).On
		// One settled period by small exponential steps of the circuit's equation.
		const n = 1 << 12
		period := 1 / p.Frequency
		i, wave := 0.0, make([]float64, n)
		for range 20 {
			for k := range n {
				total, volts := r+p.OnResistance, 0.0
				switch {
				case float64(k)+0.5 < c.duty*n:
					volts = p.Voltage
				case c.bridge == LowSide:
					total, volts = r, -p.DiodeDrop
				}
				wave[k] = i / 2
				i = volts/total + (i-volts/total)*math.Exp(-period/n*total/c.inductance)
				if c.bridge == LowSide {
					i = max(i, 0)
				}
				wave[k] += i / 2
			}
		}
		for _, lag := range []float64{0, 1e-7, c.inductance / (r + p.OnResistance), c.inductance / r, 5e-6, 30e-6, 1e-3} {
			want := 0.0
			for h := 1; h <= 120; h++ {
				var re, im float64
				for k, v := range wave {
					sin, cos := math.Sincos(2 * math.Pi * float64(h*k%n) / n)
					re, im = re+v*cos, im+v*sin
				}
				x := 2 * math.Pi * float64(h) * p.Frequency * lag
				want += 2 * (re*re + im*im) / (n * n) / (1 + x*x)
			}
			if got := s.Ripple(lag); math.Abs(got*got/want-1) > 2e-3 {
				t.Errorf("%s, %g H, duty %g, lag %g s: ripple %g A², harmonics %g", c.bridge, c.inductance, c.duty, lag, got*got, want)
			}
		}
	}
}

// The frame's ripples are those of the courses, mode by mode, kicked where they are.
func TestRipplesOfAFrame(t *testing.T) {
	for _, mode := range []Mode{Direct, Stagger, Scan, Kick} {
		p := Params{
			Mode: mode, Bridge: FullBridge, Rows: 2, Cols: 2, Voltage: 12, BoostVoltage: 24, Frequency: 20e3, Inductance: 90e-6, MaxDuty: 0.4,
			FrameTime: 0.1, ScanTime: 0.02, KickTime: 0.03, HoldDuty: 0.1,
		}
		d := New(p)
		levels, ohms, got := []float64{1, 0, -0.5, 1}, []float64{11, 11, 12, 13}, make([]float64, 4)
		d.Ripples(got, levels, ohms, 4e-6, []bool{false, false, false, true})
		for k, level := range levels {
			c := d.Course(k, level, ohms[k])
			want := c.On.Ripple(4e-6)
			if mode == Kick && k == 3 {
				want = c.Kick.Ripple(4e-6)
			}
			if got[k] != want || (level != 0) != (want > 0) {
				t.Errorf("%s, pixel %d: %g A, its course says %g", mode, k, got[k], want)
			}
		}
	}
}
