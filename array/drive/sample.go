package drive

import "math"

// Sample writes the rail current in amperes (supply and boost rails together, each
// at its own voltage) at len(dst) equally spaced instants, the k-th at
// (k+½)/len(dst) of the stretch that Load spans: one PWM period, one scan, or in
// mode Kick a frame of FrameTime whose lit pixels were all at rest before. starts
// are the pixels' start times as shares of a period from Meter.Stagger, nil for
// all together. It is for charts: each instant is worked out pixel by pixel.
func (d *Drive) Sample(dst, levels, resistance, starts []float64) error {
	if err := d.check(levels); err != nil {
		return err
	}
	clear(dst)
	for i, level := range levels {
		if level == 0 || !d.first(i) {
			continue
		}
		draw := d.drawn(i, level, d.mean(resistance, i), starts)
		for k := range dst {
			dst[k] += draw((float64(k) + 0.5) / float64(len(dst)))
		}
	}
	return nil
}

// drawn returns a pixel's rail current as a function of the share of the stretch.
func (d *Drive) drawn(i int, level, resistance float64, starts []float64) func(float64) float64 {
	duty, _ := d.Duty(level)
	switch d.p.Mode {
	case Scan:
		c := d.Boosted(i, level, resistance)
		n, period := d.slot(d.p.ScanTime)
		slot := newTrain(&c, duty, period)
		dark := offTrain(&c, d.p.ScanTime-n*period)
		start := repeats(&slot, n, &dark)
		begin := float64(d.turn(i)) * n * period
		var s sums
		d.darkRun(&dark, slot.stretch(start, n, &s), &s)
		steel := c.pays(&s, n*slot.on.t)
		return func(share float64) float64 {
			t := share*d.p.ScanTime - begin
			if t < 0 || t >= n*period {
				return 0
			}
			return slot.drawnAt(start, steel, t, period)
		}
	case Kick:
		c := d.Boosted(i, level, resistance)
		kick := math.Min(d.p.KickTime, d.p.FrameTime)
		var first train
		var period, after, steel float64
		if kick > 0 {
			var n float64
			n, period = d.periods(kick)
			first = newTrain(&c, duty, period)
			var s sums
			after, steel = first.run(0, n, &s), first.pays(&c)
		}
		h := d.Circuit(i, level, resistance)
		hold := newTrain(&h, d.holdDuty(level), d.period)
		held := hold.pays(&h)
		return func(share float64) float64 {
			t := share * d.p.FrameTime
			if t < kick {
				return first.drawnAt(0, steel, t, period)
			}
			return hold.drawnAt(after, held, t-kick, d.period)
		}
	}
	c := d.Circuit(i, level, resistance)
	t := newTrain(&c, duty, d.period)
	begin, steel := 0.0, t.pays(&c)
	if starts != nil {
		begin = starts[i]
	}
	return func(share float64) float64 {
		share -= begin
		if share < 0 {
			share++
		}
		return t.drawnAt(t.settled(), steel, share*d.period, d.period)
	}
}

// drawnAt returns the rail current a time after the start of the first period, with what the
// steel takes while the coil is on.
func (t *train) drawnAt(start, steel, time, period float64) float64 {
	n := math.Floor(time / period)
	time -= n * period
	if time >= t.on.t {
		return 0
	}
	if n > 0 {
		var s sums
		start = t.run(start, n, &s)
	}
	return steel + t.on.asym - (t.on.asym-start)*math.Exp(-time*t.on.x/t.on.t)
}
