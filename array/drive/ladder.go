package drive

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"

	"lodegrid/field/root"
)

// Ladder is what conducting steel makes of a coil's inductance: L in series with
// sections of an inductance and a resistance in parallel, each a loop of eddy currents
// (the ladder of Foster; from memory),
//
//	Z(ω) = jωL + Σ jωL_k/(1 + jωτ_k)
//
// so that inductance falls and resistance rises with the frequency, passively.
type Ladder struct {
	Inductance float64   // H, at infinite frequency
	Sections   []float64 // H, L_k
	Times      []float64 // s, τ_k
	// Error is the largest difference between the ladder and what it was fitted to, over
	// the impedance.
	Error float64
}

// FitLadder fits a ladder to an inductance in henries and a resistance in ohms at some
// frequencies in hertz, the first of them 0, by least squares with L_k ≥ 0.
func FitLadder(frequencies, inductance, resistance []float64) Ladder {
	n := len(frequencies)
	var l Ladder
	low, high := frequencies[1]/4, frequencies[n-1]*4
	const perDecade = 2.0
	steps := max(1, int(math.Ceil(math.Log10(high/low)*perDecade)))
	for k := range steps + 1 {
		l.Times = append(l.Times, 1/(2*math.Pi*low*math.Pow(high/low, float64(k)/float64(steps))))
	}
	l.Sections = make([]float64, len(l.Times))
	// Unknowns: L and all L_k. Equations: the inductance and R/ω at each frequency, in
	// units of the first inductance.
	var rows [][]float64
	var right []float64
	for i, f := range frequencies {
		re, im := make([]float64, len(l.Times)+1), make([]float64, len(l.Times)+1)
		re[0] = 1
		for k, tau := range l.Times {
			x := 2 * math.Pi * f * tau
			re[k+1], im[k+1] = 1/(1+x*x), x/(1+x*x)
		}
		rows, right = append(rows, re), append(right, inductance[i]/inductance[0])
		if f > 0 {
			rows, right = append(rows, im), append(right, resistance[i]/(2*math.Pi*f)/inductance[0])
		}
	}
	x := make([]float64, len(l.Times)+1)
	left := append([]float64(nil), right...)
	// One unknown after the other, each at its best while the others stand.
	for range 20_000 {
		moved := 0.0
		for k := range x {
			var up, down float64
			for i, row := range rows {
				up += row[k] * left[i]
				down += row[k] * row[k]
			}
			to := max(0, x[k]+up/down)
			for i, row := range rows {
				left[i] -= row[k] * (to - x[k])
			}
			moved = max(moved, math.Abs(to-x[k]))
			x[k] = to
		}
		if moved < 1e-9 {
			break
		}
	}
	l.Inductance = x[0] * inductance[0]
	for k := range l.Sections {
		l.Sections[k] = x[k+1] * inductance[0]
	}
	for i, f := range frequencies {
		if f == 0 {
			l.Error = max(l.Error, math.Abs(l.At(0)-inductance[0])/inductance[0])
			continue
		}
		want := complex(resistance[i], 2*math.Pi*f*inductance[i])
		l.Error = max(l.Error, cmplx.Abs(l.Impedance(f)-want)/cmplx.Abs(want))
	}
	return l
}

// Impedance is the ladder's at a frequency in hertz, Ω.
func (l Ladder) Impedance(frequency float64) complex128 {
	s := complex(0, 2*math.Pi*frequency)
	z := s * complex(l.Inductance, 0)
	for k, v := range l.Sections {
		z += s * complex(v, 0) / (1 + s*complex(l.Times[k], 0))
	}
	return z
}

// At is the inductance at a frequency, H.
func (l Ladder) At(frequency float64) float64 {
	sum := l.Inductance
	for k, v := range l.Sections {
		x := 2 * math.Pi * frequency * l.Times[k]
		sum += v / (1 + x*x)
	}
	return sum
}

// Step is what a step of the current by 1 A leaves as heat in the eddy currents, J, ½ Σ L_k, and
// the mean time in seconds in which they fade, by their part of the inductance. A slower change
// leaves less.
func (l Ladder) Step() (heat, fades float64) {
	sum := floats.Sum(l.Sections)
	if sum == 0 {
		return 0, 0
	}
	return sum / 2, floats.Dot(l.Sections, l.Times) / sum
}

// ripples is the number of harmonics that a PWM waveform is summed over.
const ripples = 400

// PWM returns what stands for the ladder under PWM of a duty and a frequency through a
// resistance in ohms, with which the current is an exponential again: the inductance
// that leaves the same ripple, in its mean square, and the resistance by which that
// ripple's mean square heats the steel.
//
// The voltage's harmonics 2V sin(πnD)/(πn), each over its impedance, give the ripple; the
// inductance is found by bisection on the closed form.
func (l Ladder) PWM(duty, frequency, resistance float64) (inductance, steel float64) {
	duty = min(max(duty, leastPulse), mostPulse)
	var square, heat float64
	for n := 1; n <= ripples; n++ {
		z := l.Impedance(float64(n) * frequency)
		v := 2 * math.Sin(math.Pi*float64(n)*duty) / (math.Pi * float64(n))
		size := cmplx.Abs(complex(resistance, 0) + z)
		i2 := v * v / 2 / (size * size)
		square += i2
		heat += real(z) * i2
	}
	ripple := func(inductance float64) float64 {
		c := Circuit{Bridge: FullBridge, Voltage: 1, Resistance: resistance, Inductance: inductance}
		p := c.PWM(duty, 1/frequency)
		return p.RMS*p.RMS - p.Average*p.Average
	}
	inductance, _ = root.Boundary(func(l float64) bool { return ripple(l) > square }, l.At(0)*1e-3, l.At(0)*1.001, l.At(0)*1e-14)
	return inductance, heat / square
}
