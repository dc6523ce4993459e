package heat

import "math"

// Lumped is one isolated pixel as a single node with a constant thermal
// resistance to the air: the closed form to check the network against and to
// reason with.
//
//	C dT/dt = P0 + k (T − T_air) − (T − T_air)/R
//
// P0 is the power at the temperature of the air and k its slope in W/K.
type Lumped struct {
	Resistance float64 // R, K/W
	Capacity   float64 // C, J/K
	Ambient    float64 // T_air, K
}

// TimeConstant returns R·C in seconds, without feedback.
func (l Lumped) TimeConstant() float64 { return l.Resistance * l.Capacity }

// rate returns how fast a difference from the final temperature dies, 1/s;
// negative if it grows.
func (l Lumped) rate(perKelvin float64) float64 {
	return (1/l.Resistance - perKelvin) / l.Capacity
}

// Temperature returns the temperature in kelvin after t seconds from start under
// the power watts + perKelvin·(T − Ambient). It holds for growing feedback too.
func (l Lumped) Temperature(t, start, watts, perKelvin float64) float64 {
	z := -l.rate(perKelvin) * t
	grown := t // ∫ e^{−r(t−s)} ds
	if z != 0 {
		grown = t * math.Expm1(z) / z
	}
	return l.Ambient + (start-l.Ambient)*math.Exp(z) + watts/l.Capacity*grown
}

// Final returns the steady temperature in kelvin, +Inf if the feedback runs away.
func (l Lumped) Final(watts, perKelvin float64) float64 {
	loss := 1/l.Resistance - perKelvin
	if loss <= 0 {
		return math.Inf(1)
	}
	return l.Ambient + watts/loss
}

// TimeTo returns the seconds from start until the temperature is limit, both in
// kelvin, under the power watts + perKelvin·(T − Ambient), warming or cooling. It
// is +Inf if that never happens.
func (l Lumped) TimeTo(limit, start, watts, perKelvin float64) float64 {
	r := l.rate(perKelvin)
	a, b := start-l.Ambient, limit-l.Ambient
	if a == b {
		return 0
	}
	// d(rise)/dt = s − r·rise keeps its sign on the way, so it must point to the
	// limit here and still not have died there.
	s := watts / l.Capacity
	va, vb := s-r*a, s-r*b
	if (b-a)*va <= 0 || va*vb <= 0 {
		return math.Inf(1)
	}
	if r == 0 {
		return (b - a) / s
	}
	return -math.Log1p(-r*(b-a)/va) / r
}

// SelfHeating returns the steady rise over the air in kelvin of a coil carrying a
// constant current, and +Inf from the runaway current on:
//
//	ΔT = x/(1 − α x'),  x = I² R(T_air) R_th,  x' = I² R20 R_th
func (l Lumped) SelfHeating(amps float64, c Copper) float64 {
	i2 := amps * amps
	return l.Final(i2*c.Resistance(l.Ambient), i2*c.Resistance20*c.Alpha) - l.Ambient
}

// RunawayCurrent returns the current in amperes from which a coil has no steady
// temperature, 1/√(α R20 R_th).
func (l Lumped) RunawayCurrent(c Copper) float64 {
	return 1 / math.Sqrt(c.Alpha*c.Resistance20*l.Resistance)
}

// RepeatPeriod returns the shortest period in seconds at which pulses of a given
// power and width may repeat for ever without passing limit, in kelvin: the
// solution of
//
//	limit − T_air = P R (1 − e^{−width/RC})/(1 − e^{−period/RC})
//
// It is +Inf if a single pulse from the air's temperature already passes it, and
// width if the power may stay on.
func (l Lumped) RepeatPeriod(limit, watts, width float64) float64 {
	rise := limit - l.Ambient
	x := watts * l.Resistance * -math.Expm1(-width/l.TimeConstant()) / rise
	if x >= 1 {
		return math.Inf(1)
	}
	return math.Max(width, -l.TimeConstant()*math.Log1p(-x))
}
