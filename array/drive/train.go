package drive

import "math"

// sums are the integrals over a stretch of time, in the direction of the drive.
type sums struct {
	time     float64 // s
	q, q2    float64 // ∫i, ∫i²
	qOn      float64 // ∫i while on: taken from the rail
	q2On     float64 // ∫i² while on
	qOff     float64 // ∫i while off
	level    float64 // of joined stretches the parts of q2 that their means make; 0 for one stretch
	min, max float64
	died     bool
	begun    bool
}

func (s *sums) reach(i float64) {
	if !s.begun {
		s.min, s.max, s.begun = i, i, true
		return
	}
	s.min = math.Min(s.min, i)
	s.max = math.Max(s.max, i)
}

// addOn and addOff count n stretches, given the integrals of one or of all.
func (s *sums) addOn(q, q2 float64) {
	s.q += q
	s.q2 += q2
	s.qOn += q
	s.q2On += q2
}

func (s *sums) addOff(q, q2 float64) {
	s.q += q
	s.q2 += q2
	s.qOff += q
}

// join adds a stretch that follows, such as a row's turn in a scan or the dark time after it.
func (s *sums) join(o *sums) {
	if o.time == 0 {
		return
	}
	s.time += o.time
	s.q, s.q2, s.qOn, s.q2On, s.qOff = s.q+o.q, s.q2+o.q2, s.qOn+o.qOn, s.q2On+o.q2On, s.qOff+o.qOff
	s.level += o.q * o.q / o.time
	s.reach(o.min)
	s.reach(o.max)
	s.died = s.died || o.died
}

// ripple is the mean square about the means of the stretches, A²: what the PWM makes, and the
// rise and fall at their ends.
func (s *sums) ripple() float64 {
	level := s.level
	if level == 0 {
		level = s.q * s.q / s.time
	}
	return max(0, (s.q2-level)/s.time)
}

// train is a coil under one PWM condition: periods of on, then off.
type train struct {
	on, off piece
	offRate float64
	decay   float64 // (on.x + off.x): start minus fixed point shrinks by e^−decay per period
	loss    float64 // 1 − e^−decay
	fix     float64 // fixed point of the period's start if the current never stopped
	clips   bool    // a diode that stops the current at zero
}

func newTrain(c *Circuit, duty, period float64) train {
	total := c.Resistance + c.OnResistance
	t := train{
		on:      newPiece(duty*period, total/c.Inductance, c.FinalCurrent()),
		offRate: total / c.Inductance,
	}
	var offAsym float64
	if c.Bridge == LowSide {
		t.offRate = c.Resistance / c.Inductance
		offAsym = -(c.DiodeDrop + c.PathDrop) / c.Resistance
		t.clips = true
	}
	t.off = newPiece((1-duty)*period, t.offRate, offAsym)
	t.decay = t.on.x + t.off.x
	t.loss = -math.Expm1(-t.decay)
	if t.loss > 0 {
		t.fix = (t.on.asym*t.on.p*(1-t.off.p) + offAsym*t.off.p) / t.loss
	}
	return t
}

// settled returns the current at the start of a period once it repeats.
func (t *train) settled() float64 {
	if t.clips && t.fix < 0 {
		return 0
	}
	return t.fix
}

// next returns the current one period after a period's start.
func (t *train) next(start float64) float64 {
	i := t.off.end(t.on.end(start))
	if t.clips && i < 0 {
		return 0
	}
	return i
}

// run counts n whole periods from a start current into s and returns the current
// at their end. n is a whole number.
func (t *train) run(start, n float64, s *sums) float64 {
	if n <= 0 {
		s.reach(start)
		return start
	}
	if !t.clips || t.fix >= 0 {
		return t.unbroken(start, n, s)
	}
	// The current dies out in some period from here on: first the periods in which
	// it does not, i(n) = fix + (start − fix) e^(−n·decay) ≥ 0, then one in which it
	// does, then copies of the period from zero to zero.
	if start > 0 {
		whole := math.Min(n, math.Floor(math.Log((start-t.fix)/-t.fix)/t.decay))
		if whole > 0 {
			start = math.Max(0, t.unbroken(start, whole, s))
			n -= whole
		}
	}
	for n > 0 && start > 0 { // once, or twice where rounding left the count one short
		start = t.broken(start, 1, s)
		n--
	}
	if n > 0 {
		start = t.broken(start, n, s)
	}
	return start
}

// unbroken counts n periods in which the current never stops. The starts of the
// periods approach the fixed point as a geometric series, and so do the currents at
// switch-off, so the sums over all periods have closed forms.
func (t *train) unbroken(start, n float64, s *sums) float64 {
	d := start - t.fix
	top := t.on.end(t.fix)            // settled current at switch-off
	dTop := d * (1 - t.on.p)          // its deviation in the first period
	left := -math.Expm1(-n * t.decay) // 1 − a^n
	var s1, s2 float64                // Σ a^k, Σ a^2k for k = 0…n−1
	if t.loss > 0 {
		s1 = left / t.loss
		s2 = s1 * (2 - left) / (2 - t.loss)
	} else {
		s1, s2 = n, n
	}
	count := func(c *piece, fix, d float64) (q, q2 float64) {
		// Σ i and Σ i² of the stretch's start currents fix + d a^k.
		sum := n*fix + d*s1
		square := n*fix*fix + 2*fix*d*s1 + d*d*s2
		q = sum*(1-c.h) + n*c.asym*c.h
		q2 = square*c.e2 + c.asym*(2*sum*c.eh+n*c.asym*c.h2)
		return q * c.t, q2 * c.t
	}
	s.addOn(count(&t.on, t.fix, d))
	s.addOff(count(&t.off, top, dTop))
	s.time += n * (t.on.t + t.off.t)

	end := t.fix + d*(1-left)
	s.reach(start)
	s.reach(end)
	if t.on.t > 0 {
		s.reach(top + dTop)
		if n > 1 && d != 0 {
			s.reach(top + dTop*math.Exp(-(n-1)*t.decay))
		}
	}
	return end
}

// broken counts n equal periods that start with the same current and in which it
// dies out. With start > 0 n must be 1.
func (t *train) broken(start, n float64, s *sums) float64 {
	s.time += n * (t.on.t + t.off.t)
	s.reach(start)
	s.reach(0)
	q, q2 := t.on.mean(start)
	s.addOn(n*q*t.on.t, n*q2*t.on.t)
	top := t.on.end(start)
	s.reach(top)
	if top <= 0 {
		return 0
	}
	s.died = true
	c, end := t.wheel(top, t.off.t)
	q, q2 = c.mean(top)
	s.addOff(n*q*c.t, n*q2*c.t)
	return end
}

// wheel is the stretch after switch-off, cut where the diode stops the current,
// and the current at its end.
func (t *train) wheel(top, limit float64) (piece, float64) {
	c := t.off
	if limit != c.t {
		c = newPiece(limit, t.offRate, c.asym)
	}
	end := c.end(top)
	if !t.clips || end >= 0 {
		return c, end
	}
	stop := math.Log1p(-top/c.asym) / t.offRate
	return newPiece(math.Min(stop, limit), t.offRate, c.asym), 0
}

// offTrain is a coil left off for a time.
func offTrain(c *Circuit, time float64) train { return newTrain(c, 0, time) }

// repeat adds n further copies of what was counted since an earlier state.
func (s *sums) repeat(was *sums, n float64) {
	s.time += n * (s.time - was.time)
	s.q += n * (s.q - was.q)
	s.q2 += n * (s.q2 - was.q2)
	s.qOn += n * (s.qOn - was.qOn)
	s.q2On += n * (s.q2On - was.q2On)
	s.qOff += n * (s.qOff - was.qOff)
	s.level += n * (s.level - was.level)
}
