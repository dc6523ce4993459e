package drive

import "math"

// FrameFor computes every pixel's current over one frame of a duration in seconds.
// levels are −1…1 (0…1 for a low-side driver), resistance is each coil's in ohms at
// its temperature. dst holds the frame before and receives this one, so that a
// current starts where it ended and a pixel newly lit is kicked; zero values are
// pixels at rest. All three slices hold one entry per pixel. Nothing is allocated.
//
// A frame counts whole PWM periods: the number nearest to the duration, at least
// one, so its end lies within half a period of the duration. On an error dst is
// left as it was.
func (d *Drive) FrameFor(dst []PixelState, levels, resistance []float64, duration float64) error {
	if err := d.check(levels); err != nil {
		return err
	}
	for i := range dst {
		if levels[i] == 0 && dst[i].End == 0 {
			dst[i] = PixelState{} // dark and at rest
			continue
		}
		switch ohms := d.mean(resistance, i); d.p.Mode {
		case Scan:
			d.scanFrame(&dst[i], i, levels[i], ohms, duration)
		case Kick:
			d.kickFrame(&dst[i], i, levels[i], ohms, duration)
		default:
			d.plainFrame(&dst[i], i, levels[i], ohms, duration)
		}
		d.own(&dst[i], i, resistance)
	}
	return nil
}

// Steady computes every pixel's current for levels held continuously: one PWM period,
// or one scan, once it repeats. In mode Kick the kick is long over.
func (d *Drive) Steady(dst []PixelState, levels, resistance []float64) error {
	if err := d.check(levels); err != nil {
		return err
	}
	for i := range dst {
		d.steady(&dst[i], i, levels[i], d.mean(resistance, i))
		d.own(&dst[i], i, resistance)
	}
	return nil
}

// own gives a coil in a string the heat of its own resistance, where its state is that of
// the string's mean.
func (d *Drive) own(p *PixelState, i int, resistance []float64) {
	if d.p.Series > 1 {
		more := (p.Copper - p.Steel) * (resistance[i]/d.mean(resistance, i) - 1)
		p.Copper += more
		p.Power += more
	}
}

func (d *Drive) steady(dst *PixelState, i int, level, resistance float64) {
	if d.p.Mode == Scan {
		duty, sign := d.Duty(level)
		c := d.Boosted(i, level, resistance)
		n, period := d.slot(d.p.ScanTime)
		slot := newTrain(&c, duty, period)
		dark := offTrain(&c, d.p.ScanTime-n*period)
		start := repeats(&slot, n, &dark)
		var s sums
		end := d.darkRun(&dark, slot.stretch(start, n, &s), &s)
		*dst = c.state(&s, sign, start, end)
		d.onBoost(dst)
		dst.Level = level
		return
	}
	c := d.Circuit(i, level, resistance)
	_, sign := d.Duty(level)
	t := newTrain(&c, d.holdDuty(level), d.period)
	var s sums
	start := t.settled()
	end := t.run(start, 1, &s)
	*dst = c.state(&s, sign, start, end)
	dst.Level = level
}

// onBoost books a state's rail current on the boost rail when there is one.
func (d *Drive) onBoost(p *PixelState) {
	if d.boost != d.p.Voltage {
		p.BoostAverage, p.RailAverage = p.RailAverage, 0
	}
}

func (d *Drive) plainFrame(dst *PixelState, i int, level, resistance, duration float64) {
	c := d.Circuit(i, level, resistance)
	duty, sign := d.Duty(level)
	t := newTrain(&c, duty, d.period)
	var s sums
	start := sign * dst.End
	end := t.run(start, math.Max(1, math.Round(duration/d.period)), &s)
	*dst = c.state(&s, sign, start, end)
	dst.Level = level
}

// turn is the turn of a scan that a pixel is on in.
func (d *Drive) turn(pixel int) int { return pixel / d.p.Cols % d.p.Turns }

// slot divides a row's share of a scan into PWM periods.
func (d *Drive) slot(scan float64) (n, period float64) {
	return d.periods(scan / float64(d.p.Turns))
}

// repeats returns the current at the start of a slot that repeats after a dark
// time. What a slot and a dark time make of a start current never falls when the
// start grows, is linear as long as the current does not die out, and does not
// depend on the start once it does: from rest it ends at c. If it ends at c from c
// too, that is the answer; else no start above c dies out either, and the rest is a
// straight line.
func repeats(slot *train, n float64, dark *train) float64 {
	pass := func(start float64) float64 {
		var s sums
		end := slot.run(start, n, &s)
		if dark.off.t > 0 {
			end = dark.next(end)
		}
		return end
	}
	c := pass(0)
	if c == 0 {
		return 0
	}
	shrink := math.Exp(-n*slot.decay - dark.decay)
	again := pass(c)
	if again <= c || shrink == 0 {
		return again
	}
	return (again - shrink*c) / (1 - shrink)
}

// darkRun counts a time off, which may be no time at all.
func (d *Drive) darkRun(dark *train, start float64, s *sums) float64 {
	if dark.off.t <= 0 {
		return start
	}
	return dark.stretch(start, 1, s)
}

// stretch counts periods as a stretch of their own.
func (t *train) stretch(start, n float64, s *sums) (end float64) {
	var own sums
	end = t.run(start, n, &own)
	s.join(&own)
	return end
}

func (d *Drive) scanFrame(dst *PixelState, i int, level, resistance, duration float64) {
	c := d.Boosted(i, level, resistance)
	duty, sign := d.Duty(level)
	scans := math.Max(1, math.Round(duration/d.p.ScanTime))
	scan := duration / scans
	n, period := d.slot(scan)
	slot := newTrain(&c, duty, period)
	rowTime := n * period
	row := float64(d.turn(i))
	before := offTrain(&c, row*rowTime)
	after := offTrain(&c, math.Max(0, scan-(row+1)*rowTime))
	if d.turn(i) == d.p.Turns-1 {
		after = offTrain(&c, 0)
	}

	start := sign * dst.End
	i0 := start
	var s sums
	for done := 0.0; done < scans; {
		was := s
		end := d.darkRun(&before, i0, &s)
		end = slot.stretch(end, n, &s)
		end = d.darkRun(&after, end, &s)
		done++
		if math.Abs(end-i0) <= 1e-14*(math.Abs(s.max)+math.Abs(s.min)) {
			s.repeat(&was, scans-done)
			i0 = end
			break
		}
		i0 = end
	}
	*dst = c.state(&s, sign, start, i0)
	d.onBoost(dst)
	dst.Level = level
}

func (d *Drive) kickFrame(dst *PixelState, i int, level, resistance, duration float64) {
	duty, sign := d.Duty(level)
	left := d.kickLeft(dst, level)
	kick := math.Min(left, duration)
	start := sign * dst.End
	at := start

	hold := d.Circuit(i, level, resistance)
	var boost PixelState
	var kicked float64
	if kick > 0 {
		c := d.Boosted(i, level, resistance)
		n, period := d.periods(kick)
		t := newTrain(&c, duty, period)
		var s sums
		end := t.run(at, n, &s)
		boost = c.state(&s, sign, at, end)
		at, kicked = end, s.time
	}
	var s sums
	if n := math.Round((duration - kick) / d.period); n >= 1 || kick == 0 {
		t := newTrain(&hold, d.holdDuty(level), d.period)
		end := t.run(at, math.Max(1, n), &s)
		held := hold.state(&s, sign, at, end)
		*dst = joined(&held, s.time, &boost, kicked, d.boost != d.p.Voltage)
	} else {
		var none PixelState
		*dst = joined(&none, 0, &boost, kicked, d.boost != d.p.Voltage)
	}
	dst.Level = level
	dst.KickLeft = math.Max(0, left-kick)
}

// KickLeft returns how much of a kick, s, a pixel that stood as before has ahead of it at
// a level: all of it when it is newly lit or reversed, the rest when a frame's end cut it
// off; 0 in the other modes.
func (d *Drive) KickLeft(before PixelState, level float64) float64 {
	if d.p.Mode != Kick {
		return 0
	}
	return d.kickLeft(&before, level)
}

func (d *Drive) kickLeft(before *PixelState, level float64) float64 {
	switch {
	case level == 0:
		return 0
	case before.Level*level > 0:
		return before.KickLeft
	}
	return d.p.KickTime
}

// joined puts a kick and the hold after it together into one frame.
func joined(hold *PixelState, holdTime float64, kick *PixelState, kickTime float64, own bool) PixelState {
	if kickTime == 0 {
		return *hold
	}
	total := holdTime + kickTime
	h, k := holdTime/total, kickTime/total
	p := PixelState{
		Average:       h*hold.Average + k*kick.Average,
		RMS:           math.Sqrt(h*hold.RMS*hold.RMS + k*kick.RMS*kick.RMS),
		Min:           kick.Min,
		Max:           kick.Max,
		End:           kick.End,
		RailAverage:   h * hold.RailAverage,
		Power:         h*hold.Power + k*kick.Power,
		Copper:        h*hold.Copper + k*kick.Copper,
		Steel:         h*hold.Steel + k*kick.Steel,
		Switch:        h*hold.Switch + k*kick.Switch,
		Diode:         h*hold.Diode + k*kick.Diode,
		OnBoard:       h*hold.OnBoard + k*kick.OnBoard,
		Stored:        h*hold.Stored + k*kick.Stored,
		Discontinuous: hold.Discontinuous || kick.Discontinuous,
	}
	if own {
		p.BoostAverage = k * kick.RailAverage
	} else {
		p.RailAverage += k * kick.RailAverage
	}
	if holdTime > 0 {
		p.Min = math.Min(p.Min, hold.Min)
		p.Max = math.Max(p.Max, hold.Max)
		p.End = hold.End
	}
	return p
}
