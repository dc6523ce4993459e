package drive

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/field/root"
)

// drawer is one pixel, or string of them, that takes current from a rail.
type drawer struct {
	train train
	rate  float64 // 1/s, of the rise
	now   float64 // A, current at the start of the period
	steel float64 // A while on, for the heat of the steel's eddy currents
	begin float64 // s, its start within the period
	slot  int
	pixel int
	rail  int // 0 supply, 1 boost
}

// high is the highest current while on, in the period that starts with now.
func (w *drawer) high() float64 { return math.Max(w.now, w.train.on.end(w.now)) + w.steel }

// pays is what the steel's eddy currents take from the rail while the coil is on, A, from a
// stretch of its settled course and how long it is on in it: the power that Circuit.PWM books,
// spread over the pulses.
func (c *Circuit) pays(s *sums, on float64) float64 {
	if c.SteelResistance > 0 && c.Voltage > 0 && on > 0 {
		return c.SteelResistance * s.ripple() / c.Voltage * s.time / on
	}
	return 0
}

// pays is that of a circuit's pulses that repeat.
func (t *train) pays(c *Circuit) float64 {
	var s sums
	t.run(t.settled(), 1, &s)
	return c.pays(&s, t.on.t)
}

// event is a pixel switching on or off.
type event struct {
	t  float64
	w  int32 // index of the drawer
	on bool
}

// Meter works out what a grid takes from its rails. It keeps working memory for
// one drive, so that a frame allocates nothing; use one Meter per goroutine.
//
// Between two switching events the current is a sum of exponentials, so averages
// and RMS are exact integrals, and peaks are taken at the events (where they lie
// while currents rise) or where the slope changes sign in between. Pixels at
// different temperatures have different exponentials; they are carried on a small
// common basis whose error bound is given with each result (Rail.Error, usually
// below 1e-9 of the peak).
type Meter struct {
	// Effort bounds the search for start times in mode Stagger, in looks at a cell of a
	// profile of the current; trying every pixel at every start once costs pixels ×
	// slots × cells a pulse lasts. Where even twice that is too much the pixels are
	// placed end to end, which with so many comes within a few pixels' current of the
	// least peak; 0 does so always.
	Effort float64
	// Known is a peak in amperes that the supply's rail is known to reach, in another frame of
	// mode Stagger: start times whose peak is no greater are taken after a short search, and the
	// Spread is only that Best. The greatest peak of all frames is the same with the greatest so
	// far as Known, but for what closeEnough allows.
	Known float64

	d       *Drive
	drawers []drawer
	events  []event
	on      []float64 // per drawer and node: coefficients at switch-on
	off     []float64 // the same decayed to switch-off
	basis   basis
	plan    stagger
}

// NewMeter returns a Meter for a drive.
func (d *Drive) NewMeter() *Meter {
	n := d.Pixels()
	return &Meter{
		Effort:  DefaultEffort,
		d:       d,
		drawers: make([]drawer, 0, n),
		events:  make([]event, 0, 2*n),
		on:      make([]float64, n*maxNodes),
		off:     make([]float64, n*maxNodes),
		plan:    newStagger(n, d.p.Slots),
	}
}

// Load returns what the grid takes for levels held continuously: over one PWM period,
// or one scan in mode Scan. It gives up when the context is done, as FrameLoad does.
func (m *Meter) Load(ctx context.Context, levels, resistance []float64) (Load, error) {
	if err := m.d.check(levels); err != nil {
		return Load{}, err
	}
	switch m.d.p.Mode {
	case Scan:
		return whole(ctx, m.scan(ctx, levels, resistance))
	case Stagger:
		m.settle(levels, resistance)
		return whole(ctx, m.staggered(ctx))
	}
	m.settle(levels, resistance)
	var t tally
	m.prepare(m.d.period)
	m.sum(m.d.period, 0, &t)
	for i := range m.drawers {
		t.phase += m.drawers[i].high()
	}
	return Load{
		Supply: t.rail(m.d.p.Voltage, m.bound(0)),
		Boost:  Rail{Voltage: m.d.boost},
		Time:   m.d.period,
	}, nil
}

// FrameLoad returns what the grid takes over a frame of a duration in seconds that
// follows the states before (nil: all pixels at rest). In mode Kick it spans the
// frame with its kicks; in the other modes it is Load, since the settled period is
// what a supply must bear.
func (m *Meter) FrameLoad(ctx context.Context, before []PixelState, levels, resistance []float64, duration float64) (Load, error) {
	if m.d.p.Mode != Kick {
		return m.Load(ctx, levels, resistance)
	}
	if err := m.d.check(levels); err != nil {
		return Load{}, err
	}
	return whole(ctx, m.kick(ctx, before, levels, resistance, duration))
}

// whole is a load, or the context's error where that has cut the work short.
func whole(ctx context.Context, l Load) (Load, error) {
	if err := ctx.Err(); err != nil {
		return Load{}, fmt.Errorf("drive: working out what the rails carry: %w", err)
	}
	return l, nil
}

// settle lists the lit pixels with their settled currents.
func (m *Meter) settle(levels, resistance []float64) {
	m.drawers = m.drawers[:0]
	for i, level := range levels {
		duty := m.d.holdDuty(level)
		if duty == 0 || !m.d.first(i) {
			continue
		}
		c := m.d.Circuit(i, level, m.d.mean(resistance, i))
		w := drawer{train: newTrain(&c, duty, m.d.period), pixel: i}
		w.rate = (c.Resistance + c.OnResistance) / c.Inductance
		w.now = w.train.settled()
		w.steel = w.train.pays(&c)
		m.drawers = append(m.drawers, w)
	}
}

// prepare sets up the basis and the events for periods of a length in seconds.
func (m *Meter) prepare(period float64) {
	m.events = m.events[:0]
	if len(m.drawers) == 0 {
		return
	}
	low, high := math.Inf(1), 0.0
	for i := range m.drawers {
		low = math.Min(low, m.drawers[i].rate)
		high = math.Max(high, m.drawers[i].rate)
	}
	m.basis.set(low, high, period)
	n := m.basis.n
	last := -1.0
	for i := range m.drawers {
		w := &m.drawers[i]
		on := m.on[i*n : i*n+n]
		off := m.off[i*n : i*n+n]
		m.basis.coefficients(on, w.rate)
		if w.train.on.t != last {
			last = w.train.on.t
			m.basis.advance(last)
		}
		for j := range off {
			off[j] = on[j] * m.basis.decay[j]
		}
	}
	m.schedule(period)
}

// schedule lists the events in the order of time.
func (m *Meter) schedule(period float64) {
	m.events = m.events[:0]
	for i := range m.drawers {
		w := &m.drawers[i]
		stop := w.begin + w.train.on.t
		if stop > period*(1+1e-12) {
			stop -= period
		}
		m.events = append(m.events, event{w.begin, int32(i), true}, event{stop, int32(i), false})
	}
	slices.SortFunc(m.events, func(a, b event) int {
		if c := cmp.Compare(a.t, b.t); c != 0 {
			return c
		}
		return cmp.Compare(a.w, b.w)
	})
}

// bound is the error of the summed current on a rail.
func (m *Meter) bound(rail int) float64 {
	var sum float64
	for i := range m.drawers {
		if w := &m.drawers[i]; w.rail == rail {
			sum += math.Abs(w.now - w.train.on.asym)
		}
	}
	return sum * m.basis.error
}

// sum adds one period of a rail's current to a tally.
func (m *Meter) sum(period float64, rail int, t *tally) {
	n := m.basis.n
	var f current
	f.b = &m.basis
	active := 0
	for i := range m.drawers {
		w := &m.drawers[i]
		if w.rail != rail || w.begin+w.train.on.t <= period*(1+1e-12) {
			continue
		}
		// On across the end of the period: already on when it starts.
		m.basis.advance(period - w.begin)
		f.steady += w.train.on.asym + w.steel
		d := w.now - w.train.on.asym
		for j := range n {
			f.part[j] += d * m.on[i*n+j] * m.basis.decay[j]
		}
		active++
	}
	same := 1e-12 * period
	at := 0.0
	for k := range m.events {
		e := &m.events[k]
		w := &m.drawers[e.w]
		if w.rail != rail {
			continue
		}
		if e.t-at > same {
			f.stretch(e.t-at, active > 0, t)
			at = e.t
		}
		i := int(e.w)
		d := w.now - w.train.on.asym
		if e.on {
			f.steady += w.train.on.asym + w.steel
			for j, c := range m.on[i*n : i*n+n] {
				f.part[j] += d * c
			}
			active++
			continue
		}
		f.steady -= w.train.on.asym + w.steel
		for j, c := range m.off[i*n : i*n+n] {
			f.part[j] -= d * c
		}
		active--
		if active == 0 { // nothing is left, not even rounding
			f.steady = 0
			clear(f.part[:])
		}
	}
	if period-at > same {
		f.stretch(period-at, active > 0, t)
	}
}

// current is a rail's current as a constant and exponentials.
type current struct {
	b      *basis
	steady float64
	part   [maxNodes]float64
}

func (f *current) value() float64 {
	v := f.steady
	for _, p := range f.part[:f.b.n] {
		v += p
	}
	return v
}

func (f *current) slope() float64 {
	var s float64
	for j, p := range f.part[:f.b.n] {
		s -= f.b.rate[j] * p
	}
	return s
}

// stretch counts a time without switching into a tally and moves on to its end.
func (f *current) stretch(dt float64, drawn bool, t *tally) {
	if !drawn {
		t.idle(dt)
		return
	}
	n := f.b.n
	start, rise := f.value(), f.slope()
	t.reach(start)
	f.b.advance(dt)
	q := f.steady * dt
	q2 := f.steady * f.steady * dt
	for j := range n {
		pj := f.part[j]
		area := f.b.decayed[j] / f.b.rate[j]
		q += pj * area
		q2 += 2 * f.steady * pj * area
		q2 += pj * pj * f.b.decayed[j] * (2 - f.b.decayed[j]) / (2 * f.b.rate[j])
		for k := range j {
			both := f.b.decayed[j] + f.b.decayed[k] - f.b.decayed[j]*f.b.decayed[k]
			q2 += 2 * pj * f.part[k] * both / (f.b.rate[j] + f.b.rate[k])
		}
	}
	t.time += dt
	t.q += q
	t.q2 += q2
	was := f.part
	for j := range n {
		f.part[j] *= f.b.decay[j]
	}
	fall := f.slope()
	if small := 1e-9 * math.Abs(start) / dt; math.Abs(rise) > small && math.Abs(fall) > small && (rise > 0) != (fall > 0) {
		t.reach(turn(f, &was, rise, dt))
	}
	t.reach(f.value())
}

// turn returns the extreme value between the start and the end of a stretch whose
// slopes differ in sign, by bisection.
func turn(f *current, part *[maxNodes]float64, rise, dt float64) float64 {
	end := f.part
	var value float64
	root.Boundary(func(t float64) bool {
		for j := range f.b.n {
			f.part[j] = part[j] * math.Exp(-f.b.rate[j]*t)
		}
		value = f.value()
		return (f.slope() > 0) == (rise > 0)
	}, 0, dt, 1e-15*dt)
	f.part = end
	return value
}

// window adds n periods to the tallies, the pixels starting from where they are,
// and leaves them where they end. Once the currents repeat, the rest is counted as
// copies.
func (m *Meter) window(ctx context.Context, n, period float64, rails *[2]tally, bounds *[2]float64) {
	m.prepare(period)
	for r := range rails {
		bounds[r] = math.Max(bounds[r], m.bound(r))
		var phase float64
		for i := range m.drawers {
			if w := &m.drawers[i]; w.rail == r {
				phase += math.Max(w.high(), w.train.on.end(w.train.settled())+w.steel)
			}
		}
		rails[r].phase = math.Max(rails[r].phase, phase)
	}
	for done := 0.0; done < n && ctx.Err() == nil; {
		was := *rails
		for r := range rails {
			m.sum(period, r, &rails[r])
		}
		done++
		var moved, scale float64
		for i := range m.drawers {
			w := &m.drawers[i]
			next := w.train.next(w.now)
			moved = math.Max(moved, math.Abs(next-w.now))
			scale = math.Max(scale, w.train.on.asym)
			w.now = next
		}
		if moved <= 1e-12*scale {
			for r := range rails {
				rails[r].repeat(&was[r], n-done)
			}
			return
		}
	}
}

// scan counts one pass over all rows.
func (m *Meter) scan(ctx context.Context, levels, resistance []float64) Load {
	d := m.d
	n, period := d.slot(d.p.ScanTime)
	rowTime := n * period
	rail := 0
	if d.boost != d.p.Voltage {
		rail = 1
	}
	var rails [2]tally
	var bounds [2]float64
	for turn := range d.p.Turns {
		if ctx.Err() != nil {
			break
		}
		m.drawers = m.drawers[:0]
		for i := range levels {
			duty, _ := d.Duty(levels[i])
			if duty == 0 || d.turn(i) != turn {
				continue
			}
			c := d.Boosted(i, levels[i], resistance[i])
			w := drawer{train: newTrain(&c, duty, period), pixel: i, rail: rail}
			w.rate = (c.Resistance + c.OnResistance) / c.Inductance
			dark := offTrain(&c, d.p.ScanTime-rowTime)
			w.now = repeats(&w.train, n, &dark)
			var s sums
			d.darkRun(&dark, w.train.stretch(w.now, n, &s), &s)
			w.steel = c.pays(&s, n*w.train.on.t)
			m.drawers = append(m.drawers, w)
		}
		m.window(ctx, n, period, &rails, &bounds)
	}
	load := Load{
		Supply: Rail{Voltage: d.p.Voltage}, Boost: Rail{Voltage: d.boost}, Time: d.p.ScanTime,
	}
	if rail == 1 {
		load.Boost = rails[1].rail(d.boost, bounds[1])
	} else {
		load.Supply = rails[0].rail(d.p.Voltage, bounds[0])
	}
	return load
}

// kick counts a frame: pixels newly lit are kicked and join the others when their
// kick is over. The time is cut at the ends of kicks, each part into whole periods.
func (m *Meter) kick(ctx context.Context, before []PixelState, levels, resistance []float64, duration float64) Load {
	d := m.d
	m.drawers = m.drawers[:0]
	rail := 0
	if d.boost != d.p.Voltage {
		rail = 1
	}
	var none PixelState
	left := m.plan.scratch[:0] // of the kick, per drawer
	for i, level := range levels {
		if level == 0 || !d.first(i) {
			continue
		}
		was := &none
		if before != nil {
			was = &before[i]
		}
		_, sign := d.Duty(level)
		m.drawers = append(m.drawers, drawer{pixel: i, now: sign * was.End})
		left = append(left, d.kickLeft(was, level))
	}
	var rails [2]tally
	var bounds [2]float64
	for at := 0.0; at < duration && ctx.Err() == nil; {
		until := duration
		for _, k := range left {
			if k > at && k < until {
				until = k
			}
		}
		if at > 0 && until == duration && duration-at < d.period/2 {
			break // as in FrameFor: no hold period fits any more
		}
		n, period := d.periods(until - at)
		if until == duration && !slices.ContainsFunc(left, func(k float64) bool { return k >= until }) {
			n, period = math.Max(1, math.Round((until-at)/d.period)), d.period
		}
		for i := range m.drawers {
			w := &m.drawers[i]
			level, r := levels[w.pixel], d.mean(resistance, w.pixel)
			c := d.Circuit(w.pixel, level, r)
			duty := d.holdDuty(level)
			w.rail = 0
			if left[i] >= until {
				c = d.Boosted(w.pixel, level, r)
				duty, _ = d.Duty(level)
				w.rail = rail
			}
			w.train = newTrain(&c, duty, period)
			w.steel = w.train.pays(&c)
			w.rate = (c.Resistance + c.OnResistance) / c.Inductance
		}
		m.window(ctx, n, period, &rails, &bounds)
		at = until
	}
	load := Load{
		Supply: rails[0].rail(d.p.Voltage, bounds[0]),
		Boost:  Rail{Voltage: d.boost},
		Time:   rails[0].time,
	}
	if rail == 1 {
		load.Boost = rails[1].rail(d.boost, bounds[1])
	}
	return load
}
