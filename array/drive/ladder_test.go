package drive

import (
	"math"
	"math/cmplx"
	"testing"
)

// rung is a ladder of two known sections.
var rung = Ladder{Inductance: 90e-6, Sections: []float64{50e-6, 40e-6}, Times: []float64{20e-6, 1e-6}}

// A fit to a ladder's own values meets it at them and between them, falls in inductance,
// rises in resistance, and is passive.
func TestFitLadder(t *testing.T) {
	var f, l, r []float64
	for _, v := range []float64{0, 4e3, 20e3, 100e3, 400e3} {
		f, l, r = append(f, v), append(l, rung.At(v)), append(r, real(rung.Impedance(v)))
	}
	got := FitLadder(f, l, r)
	least, most := 0.0, math.Inf(1)
	for v := 500.0; v < 1e6; v *= 1.3 {
		z, want := got.Impedance(v), rung.Impedance(v)
		if d := cmplx.Abs(z-want) / cmplx.Abs(want); d > 0.02 {
			t.Errorf("at %g Hz: %v Ω, want %v", v, z, want)
		}
		if real(z) < least || imag(z)/v > most {
			t.Errorf("at %g Hz: resistance %g Ω after %g, reactance over frequency %g after %g", v, real(z), least, imag(z)/v, most)
		}
		least, most = real(z), imag(z)/v
	}
	if got.Error > 0.01 {
		t.Errorf("own error %g", got.Error)
	}
}

// stepped is the settled mean square of a ladder's ripple and its steel's heat per volt,
// by the classical fourth-order Runge–Kutta method on coil and section currents: the
// rival of the sum over harmonics. Section k carries i_k through L_k, i − i_k through R_k.
func stepped(l Ladder, duty, frequency, resistance float64) (square, heat float64) {
	n := len(l.Sections)
	slope := func(x []float64, v float64) []float64 {
		d := make([]float64, n+1)
		drop := v - resistance*x[0]
		for k := range n {
			across := l.Sections[k] / l.Times[k] * (x[0] - x[k+1])
			d[k+1] = across / l.Sections[k]
			drop -= across
		}
		d[0] = drop / l.Inductance
		return d
	}
	plus := func(x []float64, f float64, d []float64) []float64 {
		out := make([]float64, n+1)
		for k := range out {
			out[k] = x[k] + f*d[k]
		}
		return out
	}
	const steps, periods = 4000, 60
	x := make([]float64, n+1)
	var sum, sum2, lost float64
	for range periods {
		sum, sum2, lost = 0, 0, 0
		for s := range steps {
			v, h := 0.0, 1/frequency/steps
			if float64(s) < duty*steps {
				v = 1
			}
			k1 := slope(x, v)
			k2 := slope(plus(x, h/2, k1), v)
			k3 := slope(plus(x, h/2, k2), v)
			k4 := slope(plus(x, h, k3), v)
			for k := range x {
				x[k] += h / 6 * (k1[k] + 2*k2[k] + 2*k3[k] + k4[k])
			}
			sum += x[0] / steps
			sum2 += x[0] * x[0] / steps
			for k := range n {
				u := x[0] - x[k+1]
				lost += l.Sections[k] / l.Times[k] * u * u / steps
			}
		}
	}
	return sum2 - sum*sum, lost
}

// What stands for a ladder under PWM leaves its ripple and heats its steel as much,
// against time stepping of all its currents; without sections it is the ladder itself.
func TestLadderUnderPWM(t *testing.T) {
	for _, c := range []struct{ duty, frequency, resistance float64 }{{0.16, 20e3, 12}, {0.5, 20e3, 4}, {0.3, 100e3, 12}} {
		square, heat := stepped(rung, c.duty, c.frequency, c.resistance)
		l, steel := rung.PWM(c.duty, c.frequency, c.resistance)
		p := Circuit{Bridge: FullBridge, Voltage: 1, Resistance: c.resistance, Inductance: l, SteelResistance: steel}.PWM(c.duty, 1/c.frequency)
		if got := p.RMS*p.RMS - p.Average*p.Average; math.Abs(got/square-1) > 2e-3 {
			t.Errorf("%+v: ripple %.5g A², time stepping %.5g", c, got, square)
		}
		if math.Abs(p.Steel/heat-1) > 5e-3 {
			t.Errorf("%+v: %.5g W in the steel, time stepping %.5g", c, p.Steel, heat)
		}
		near(t, "what the rail gives", p.Power, p.Copper+p.Switch, 1e-11)
	}
	l, steel := Ladder{Inductance: 1e-4}.PWM(0.2, 20e3, 10)
	near(t, "plain inductance", l, 1e-4, 1e-3)
	if steel > 1e-12 {
		t.Errorf("plain inductance loses %g Ω", steel)
	}
}

// The heat of a step by stepping the ladder's loops: each has τ di/dt = −i once the current
// stands, from the whole of it, and i² L/τ is its heat.
func TestLadderStep(t *testing.T) {
	l := Ladder{Inductance: 1e-6, Sections: []float64{2e-6, 0, 5e-6}, Times: []float64{3e-5, 1e-5, 4e-6}}
	heat, fades := l.Step()
	want := 0.0
	const dt = 1e-8
	for k, section := range l.Sections {
		i := math.Exp(-dt / 2 / l.Times[k])
		for range 50_000 {
			want += i * i * section / l.Times[k] * dt
			i *= math.Exp(-dt / l.Times[k])
		}
	}
	if math.Abs(heat/want-1) > 1e-5 || math.Abs(fades/((2*3e-5+5*4e-6)/7)-1) > 1e-12 {
		t.Errorf("%g J, stepped %g; fades in %g s", heat, want, fades)
	}
	if heat, fades := (Ladder{Inductance: 1e-6}).Step(); heat != 0 || fades != 0 {
		t.Errorf("a coil in air leaves %g J for %g s", heat, fades)
	}
}

// What is tabulated of a ladder is what it answers, between the table's duties and beyond a half,
// where a duty and what is left of the period are alike.
func TestResponse(t *testing.T) {
	for _, l := range []Ladder{rung, {Inductance: 30e-6, Sections: []float64{9e-6, 5e-6, 4e-6}, Times: []float64{40e-6, 3e-6, 0.4e-6}}} {
		under := Response(func(duty float64) (float64, float64) { return l.PWM(duty, 50e3, 4) })
		off := 0.0
		for duty := 0.005; duty < 1; duty *= 1.037 {
			inductance, steel := l.PWM(duty, 50e3, 4)
			got, heat := under(duty)
			off = max(off, math.Abs(got/inductance-1), math.Abs(heat/steel-1))
		}
		if off > responseError || off < responseError/10 {
			t.Errorf("off by %g, said to be within %g", off, float64(responseError))
		}
	}
}

// A level below the full has the ripple and the steel's heat of its own short pulses, in every mode
// that holds it, against time stepping of all the ladder's currents; what the rail gives is what
// coil, switches and steel take.
func TestLevelsHaveTheirOwnSteel(t *testing.T) {
	const frequency, ohms, duty, level = 50e3, 4.0, 0.4, 0.1
	full, fullSteel := rung.PWM(duty, frequency, ohms+0.5)
	under := Response(func(duty float64) (float64, float64) { return rung.PWM(duty, frequency, ohms+0.5) })
	square, heat := stepped(rung, level*duty, frequency, ohms+0.5)
	for _, mode := range []Mode{Direct, Stagger, Kick} {
		p := Params{
			Mode: mode, Bridge: FullBridge, Rows: 1, Cols: 1, Voltage: 1, Frequency: frequency, Inductance: full, SteelResistance: fullSteel, Under: under,
			OnResistance: 0.5, MaxDuty: duty, FrameTime: 1, KickTime: 0.1, HoldDuty: duty,
		}
		d := mustNew(t, p)
		dst := make([]PixelState, 1)
		if err := d.Steady(dst, []float64{level}, []float64{ohms}); err != nil {
			t.Fatal(err)
		}
		s := dst[0]
		near(t, string(mode)+": ripple", s.RMS*s.RMS-s.Average*s.Average, square, 5e-3)
		near(t, string(mode)+": steel", s.Steel, heat, 1e-2)
		near(t, string(mode)+": what the rail gives", s.Power, s.Copper+s.Switch, 1e-11)
		load, err := d.NewMeter().Load(t.Context(), []float64{level}, []float64{ohms})
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(mode)+": the rail's mean", load.Supply.Average, s.RailAverage, 1e-9)
		p.Under = nil
		if err := mustNew(t, p).Steady(dst, []float64{level}, []float64{ohms}); err != nil {
			t.Fatal(err)
		}
		if dst[0].Steel > 0.9*s.Steel {
			t.Errorf("%s: the steel of full level heats by %g W, its own by %g W: no test", mode, dst[0].Steel, s.Steel)
		}
	}
}
