package drive

import "math"

// Ripple returns the difference between the highest and the lowest current, A.
func (p PixelState) Ripple() float64 { return p.Max - p.Min }

// DerivativeOfPowerByTemperature returns dP/dT in W/K at a temperature in kelvin.
// It is negative where the coil has more resistance than its switches: a pixel on a
// fixed voltage cools its own fever.
func (l PowerLaw) DerivativeOfPowerByTemperature(temperature float64) float64 {
	_, slope := l.At(temperature)
	return slope
}

// RippleRMS returns the RMS of the current's departure from its average, A: what a
// capacitor on the rail carries when the supply delivers the average alone.
func (r Rail) RippleRMS() float64 {
	return math.Sqrt(math.Max(0, r.RMS*r.RMS-r.Average*r.Average))
}

// Power returns the mean power taken from both rails, W.
func (l Load) Power() float64 { return l.Supply.Power() + l.Boost.Power() }

// Frame computes one frame of FrameTime; see FrameFor.
func (d *Drive) Frame(dst []PixelState, levels, resistance []float64) error {
	return d.FrameFor(dst, levels, resistance, d.p.FrameTime)
}

// RiseTime returns the time in seconds from rest to a share of the final current,
// τ ln(1/(1 − share)), for 0 ≤ share < 1; +Inf at 1, NaN outside.
func (c Circuit) RiseTime(share float64) float64 {
	if share < 0 || share > 1 {
		return math.NaN()
	}
	return -c.TimeConstant() * math.Log1p(-share)
}

// Rise returns the current in amperes a time t in seconds after a coil at rest is
// switched on and left on.
func (c Circuit) Rise(t float64) float64 {
	return -c.FinalCurrent() * math.Expm1(-t/c.TimeConstant())
}

// FreewheelTime returns the time in seconds in which a current in amperes dies out
// after the switch opens: τ ln(1 + I R/Vd) with τ = L/R through the diode of a
// low-side driver; +Inf where nothing but resistance opposes the current.
func (c Circuit) FreewheelTime(current float64) float64 {
	if current <= 0 {
		return 0
	}
	if c.Bridge == FullBridge || c.DiodeDrop == 0 {
		return math.Inf(1)
	}
	return c.Inductance / c.Resistance * math.Log1p(current*c.Resistance/c.DiodeDrop)
}

// StoredEnergy returns the energy in joules that a current in amperes keeps in the
// coil, L I²/2.
func (c Circuit) StoredEnergy(current float64) float64 {
	return c.Inductance * current * current / 2
}

// Run returns the current over a time in seconds that begins with a period of
// PWM, from a start current in amperes: the averages over that time and the
// current reached at its end, in closed form whatever the number of periods. duty
// is −1…1, its sign the direction of the current; a low-side driver takes 0…1 and
// a start of at least 0.
func (c Circuit) Run(start, duty, period, duration float64) PixelState {
	sign := 1.0
	if duty < 0 {
		sign = -1
	}
	n := math.Floor(duration/period + 1e-9)
	t := newTrain(&c, math.Abs(duty), period)
	var s sums
	end := t.run(sign*start, n, &s)
	if rest := duration - n*period; rest > 1e-9*period {
		end = t.part(end, rest, &s)
	}
	return c.state(&s, sign, sign*start, end)
}

// part counts the first rest seconds of a period.
func (t *train) part(start, rest float64, s *sums) float64 {
	s.time += rest
	s.reach(start)
	c := t.on
	if rest < c.t {
		c.t = rest
		c = newPiece(rest, t.on.x/t.on.t, t.on.asym)
	}
	q, q2 := c.mean(start)
	s.addOn(q*c.t, q2*c.t)
	i := c.end(start)
	if c.t > 0 {
		s.reach(i)
	}
	rest -= c.t
	if rest <= 0 {
		return i
	}
	if t.clips && i <= 0 {
		s.died = true
		return 0
	}
	off, end := t.wheel(i, rest)
	q, q2 = off.mean(i)
	s.addOff(q*off.t, q2*off.t)
	s.reach(end)
	s.died = s.died || t.clips && end == 0 && i > 0
	return end
}
