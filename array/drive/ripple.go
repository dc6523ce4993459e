package drive

import "math"

// pulses is a settled PWM current: a circuit at a duty of each period in seconds.
type pulses struct {
	circuit      Circuit
	duty, period float64
}

// Ripple returns the RMS in amperes of the settled current's swing about its mean, seen
// through a lag in seconds, a low-pass of the first order. A lag of 0 sees all of it,
// √(mean square − square of the mean), one of +Inf nothing.
//
// What lags by τ answers a harmonic ω with 1/(1 + iωτ), whose part in phase is
// 1/(1 + ω²τ²), the square of its size: the mean of the current times what lags behind it
// is the mean square of what lags. So one sum serves both.
func (s Stretch) Ripple(lag float64) float64 { return s.pulses.ripple(lag) }

// Steel is the heat in watts of the steel's eddy currents by the settled ripple; see
// Circuit.SteelResistance.
func (s Stretch) Steel() float64 {
	ripple := s.Ripple(0)
	return ripple * ripple * s.pulses.circuit.SteelResistance
}

// deaf is the lag in periods beyond which nothing is left of a ripple: its mean square
// falls to less than 1/(2π·deaf)².
const deaf = 1e4

func (p pulses) ripple(lag float64) float64 {
	if p.period == 0 || lag > deaf*p.period {
		return 0
	}
	t := newTrain(&p.circuit, p.duty, p.period)
	var s sums
	start := t.settled()
	t.run(start, 1, &s)
	mean, square := s.q/s.time, s.q2/s.time
	if lag > 0 {
		square = t.lagging(start, 1/lag) / p.period
	}
	return math.Sqrt(max(0, square-mean*mean))
}

// lagging is the integral over a settled period of the current times what follows it at
// a rate k in 1/s, y' = k(i − y). In a piece i = A + c e^(−λs) it is
//
//	y = A + c' e^(−λs) + d e^(−ks),  c' = c k/(k − λ),  d = y(0) − A − c'
func (t *train) lagging(start, k float64) float64 {
	on, off := t.on, t.off
	pieces := [3]piece{on, off}
	if top := on.end(start); t.clips && off.end(top) < 0 {
		off, _ = t.wheel(top, off.t)
		// Without a current the rest of the period only lets y die out.
		pieces[1], pieces[2] = off, piece{t: t.off.t - off.t, p: 1}
	}
	pass := func(y float64) (end, integral float64) {
		i := start
		for n := range pieces {
			c := &pieces[n]
			if c.t <= 0 {
				continue
			}
			rate := c.x / c.t
			swing := i - c.asym
			if math.Abs(k-rate) < 1e-6*k {
				rate = k * (1 - 1e-6) // side by side the closed form divides by nothing
			}
			follows := swing * k / (k - rate)
			rest := y - c.asym - follows
			a := c.asym
			integral += a*a*c.t + a*(swing+follows)*decayed(rate, c.t) + a*rest*decayed(k, c.t) +
				swing*follows*decayed(2*rate, c.t) + swing*rest*decayed(rate+k, c.t)
			y = a + follows*math.Exp(-rate*c.t) + rest*math.Exp(-k*c.t)
			i = c.end(i)
		}
		return y, integral
	}
	// y repeats: its end is a straight line in its start, with the slope e^(−kT).
	end, _ := pass(0)
	_, integral := pass(end / -math.Expm1(-k*(t.on.t+t.off.t)))
	return integral
}

// decayed is ∫ e^(−rate·s) ds over a time.
func decayed(rate, time float64) float64 {
	if rate == 0 {
		return time
	}
	return -math.Expm1(-rate*time) / rate
}

// held is pixel i's current at a level −1…1 once it is settled: held, or in its row's turn.
func (d *Drive) held(i int, level, resistance float64) pulses {
	if d.p.Mode == Scan {
		duty, _ := d.Duty(level)
		_, period := d.slot(d.p.ScanTime)
		return pulses{d.Boosted(i, level, resistance), duty, period}
	}
	return pulses{d.Circuit(i, level, resistance), d.holdDuty(level), d.period}
}

// kicked is pixel i's current in a kick to a level.
func (d *Drive) kicked(i int, level, resistance float64) pulses {
	duty, _ := d.Duty(level)
	_, period := d.periods(d.p.KickTime)
	return pulses{d.Boosted(i, level, resistance), duty, period}
}

// Ripples writes the RMS in amperes of every pixel's settled ripple seen through a lag in
// seconds, see Stretch.Ripple: of its hold, or in mode Scan of its row's turn; in mode Kick
// that of the kick for the pixels that kicked names, which may be nil. The levels and
// resistances are those of a frame that was driven.
func (d *Drive) Ripples(dst, levels, resistance []float64, lag float64, kicked []bool) {
	for i, level := range levels {
		switch {
		case level == 0:
			dst[i] = 0
		case d.p.Mode == Kick && kicked != nil && kicked[i] && d.p.KickTime > 0:
			dst[i] = d.kicked(i, level, d.mean(resistance, i)).ripple(lag)
		default:
			dst[i] = d.held(i, level, d.mean(resistance, i)).ripple(lag)
		}
	}
}

// Followed is the mean square about its mean of what lags behind a rectangle that is on for
// a share of each period, over that of the rectangle itself; lags is how many lags long a
// period is. By the closed form of a capacitor that is charged and let go,
//
//	1 − (1 − e^(−Dx))(1 − e^(−(1−D)x))/(D (1 − D) x (1 − e^(−x)))
func Followed(share, lags float64) float64 {
	x, rest := lags, 1-share
	switch {
	case math.IsInf(x, 1) || share <= 0 || share >= 1:
		return 1
	case x < 1e-3: // the closed form cancels; (share·rest·x²)/12 is all that is left
		return share * rest * x * x / 12
	}
	return 1 - math.Expm1(-share*x)*math.Expm1(-rest*x)/(share*rest*x*-math.Expm1(-x))
}
