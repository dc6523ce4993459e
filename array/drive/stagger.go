package drive

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// stagger is the working memory of the search for start times.
type stagger struct {
	slots   int       // start times on offer
	fine    int       // cells of the profile per slot
	order   []int     // drawers, most charge first
	best    []int     // slot per drawer
	trial   []int     // slot per drawer
	profile []float64 // A per cell, the period twice over: an upper bound of the summed current
	shape   []float64 // A per cell from a pixel's start
	phase   []float64 // A per slot: peak of what starts there
	start   []float64 // per pixel, share of the period
	scratch []float64
	random  rand.PCG
}

// leastCells is the least number of cells of the profile: pulses do not end where
// slots do, so few slots need finer cells.
const leastCells = 128

func newStagger(pixels, slots int) stagger {
	fine := (leastCells + slots - 1) / slots
	cells := slots * fine
	return stagger{
		slots: slots, fine: fine,
		order: make([]int, 0, pixels), best: make([]int, pixels), trial: make([]int, pixels),
		profile: make([]float64, 2*cells), shape: make([]float64, cells), phase: make([]float64, slots),
		start: make([]float64, pixels), scratch: make([]float64, 0, pixels),
	}
}

// DefaultEffort is the Effort of a new Meter: some tens of milliseconds a frame at most.
const DefaultEffort = 5e6

// patience is how many restarts in a row that lower no peak end the search, triedShare the
// like over the number of pixels, of which few are quick to try. In pictures of the demo's tide
// forty restarts found peaks 0.05 % lower on average, 1.1 % at most: no more than the last digit
// of a resistance changes.
const (
	patience   = 12
	triedShare = 150
)

// closeEnough ends the search: a peak this near to the least possible.
const closeEnough = 1.002

// Stagger returns the start of each pixel's PWM period for a frame, as a share
// 0…1 of the period, and what it achieves. Unlit pixels start at 0. The slice is
// the Meter's own and is overwritten by its next call. The drive's mode must be
// Direct or Stagger.
//
// The least peak over all start times is a circular packing problem; tried are all
// together, evenly in the order of the pixels, end to end, and greatest charge
// first into the lowest gap, the last two improved by moving single pixels while
// that lowers the peaks. The best by the exact peak is returned, so it is never
// worse than even spacing. The result depends on nothing but the arguments. It
// gives up when the context is done.
func (m *Meter) Stagger(ctx context.Context, levels, resistance []float64) ([]float64, Spread, error) {
	if m.d.p.Mode != Direct && m.d.p.Mode != Stagger {
		return nil, Spread{}, params.Refuse("mode", m.d.p.Mode, "has no periods to stagger", string(Direct)+" or "+string(Stagger))
	}
	if err := m.d.check(levels); err != nil {
		return nil, Spread{}, err
	}
	m.settle(levels, resistance)
	spread := m.search(ctx)
	if err := ctx.Err(); err != nil {
		return nil, Spread{}, fmt.Errorf("drive: looking for start times: %w", err)
	}
	clear(m.plan.start)
	for i := range m.drawers {
		w := &m.drawers[i]
		from, to := m.d.string(w.pixel)
		for k := from; k < to; k++ {
			m.plan.start[k] = float64(w.slot) / float64(m.plan.slots)
		}
	}
	return m.plan.start, spread, nil
}

// staggered is the load of the settled drawers with their best start times.
func (m *Meter) staggered(ctx context.Context) Load {
	spread := m.search(ctx)
	var t tally
	m.sum(m.d.period, 0, &t)
	clear(m.plan.phase)
	for i := range m.drawers {
		w := &m.drawers[i]
		m.plan.phase[w.slot] += w.high()
	}
	t.phase = slices.Max(m.plan.phase)
	return Load{
		Supply: t.rail(m.d.p.Voltage, m.bound(0)),
		Boost:  Rail{Voltage: m.d.boost},
		Time:   m.d.period,
		Spread: spread,
	}
}

// search finds start times for the settled drawers and leaves them scheduled.
func (m *Meter) search(ctx context.Context) Spread {
	p := &m.plan
	n := len(m.drawers)
	m.prepare(m.d.period)
	var s Spread
	if n == 0 {
		return s
	}
	trial := p.trial[:n]
	budget, work := m.Effort, m.sorted()
	if m.Known > 0 {
		if left := budget; 2*work <= budget {
			m.greatestFirst(ctx, trial)
			m.improve(ctx, trial, &left)
		} else {
			m.endToEnd(trial, true)
		}
		var t tally
		if s.Best = m.peakOf(trial, &t); s.Best <= m.Known {
			return s
		}
	}
	var all tally
	clear(trial)
	s.InPhase = m.peakOf(trial, &all)
	s.Floor = all.q / all.time
	for i := range m.drawers {
		s.Floor = math.Max(s.Floor, m.drawers[i].high())
	}
	s.Best = s.InPhase
	best := p.best[:n]
	copy(best, trial)
	try := func() {
		var t tally
		if peak := m.peakOf(trial, &t); peak < s.Best {
			s.Best = peak
			copy(best, trial)
		}
	}
	for i := range m.drawers {
		trial[i] = m.drawers[i].pixel * p.slots / m.d.Pixels()
	}
	var t tally
	s.Uniform = m.peakOf(trial, &t)
	if s.Uniform < s.Best {
		s.Best = s.Uniform
		copy(best, trial)
	}

	for _, roundUp := range []bool{true, false} {
		if s.Best <= closeEnough*s.Floor {
			break
		}
		m.endToEnd(trial, roundUp)
		try()
		if 2*work <= budget {
			m.improve(ctx, trial, &budget)
			try()
		}
	}
	if 2*work <= budget && s.Best > closeEnough*s.Floor {
		m.greatestFirst(ctx, trial)
		budget -= work
		try()
		m.improve(ctx, trial, &budget)
		try()
	}
	// With the effort left over, throw some pixels of the best placement elsewhere and
	// improve again.
	p.random.Seed(1, 1)
	for vain := 0; vain < max(patience, triedShare/n); vain++ {
		if ctx.Err() != nil || 2*work > budget || s.Best <= closeEnough*s.Floor {
			break
		}
		copy(trial, best)
		for i := range trial {
			if p.random.Uint64()%3 == 0 {
				trial[i] = int(p.random.Uint64() % uint64(p.slots))
			}
		}
		m.improve(ctx, trial, &budget)
		was := s.Best
		if try(); s.Best < was {
			vain = -1
		}
	}
	m.place(best)
	return s
}

// sorted lists the drawers in the plan's order, most charge first, and returns how many cells
// are looked at to try every one at every start.
func (m *Meter) sorted() (work float64) {
	p := &m.plan
	p.order, p.scratch = p.order[:0], p.scratch[:len(m.drawers)]
	for i := range m.drawers {
		p.order = append(p.order, i)
		p.scratch[i] = m.drawers[i].high() * m.drawers[i].train.on.t
		work += float64(p.slots) * float64(m.length(i))
	}
	slices.SortFunc(p.order, func(a, b int) int {
		if c := cmp.Compare(p.scratch[b], p.scratch[a]); c != 0 {
			return c
		}
		return cmp.Compare(a, b)
	})
	return work
}

// place schedules the drawers at slots.
func (m *Meter) place(slots []int) {
	for i := range m.drawers {
		w := &m.drawers[i]
		w.slot = slots[i]
		w.begin = m.d.period * float64(w.slot) / float64(m.plan.slots)
	}
	m.schedule(m.d.period)
}

// peakOf returns the exact peak with the drawers at slots.
func (m *Meter) peakOf(slots []int, t *tally) float64 {
	m.place(slots)
	m.sum(m.d.period, 0, t)
	return t.peak
}

// endToEnd starts each pixel's pulse where the one before ended. For pulses of one
// height that is the best possible: at any instant the number that are on is the
// total duty, rounded down or up.
func (m *Meter) endToEnd(slots []int, roundUp bool) {
	k := float64(m.plan.slots)
	at := 0.0
	for _, i := range m.plan.order {
		if roundUp {
			at = math.Ceil(at - 1e-9)
		}
		slots[i] = int(math.Floor(math.Mod(at+0.5, k)+1e-9)) % m.plan.slots
		if roundUp {
			slots[i] = int(math.Mod(at, k))
		}
		at += m.drawers[i].train.on.t / m.d.period * k
	}
}

// length is the number of cells in which drawer i is on.
func (m *Meter) length(i int) int {
	n := len(m.plan.shape)
	return max(1, min(n, int(math.Ceil(m.drawers[i].train.on.t/m.d.period*float64(n)-1e-9))))
}

// outline fills shape with the highest current of drawer i in each cell from its
// start and returns the cells used.
func (m *Meter) outline(i int) []float64 {
	w := &m.drawers[i]
	shape := m.plan.shape[:m.length(i)]
	cell := m.d.period / float64(len(m.plan.shape))
	asym := w.train.on.asym
	gap := asym - w.now
	shrink := math.Exp(-cell * w.rate)
	for k := range shape {
		gap *= shrink
		shape[k] = asym - gap + w.steel
	}
	shape[len(shape)-1] = w.high()
	return shape
}

// under returns the profile's cells under a pulse of n cells that starts at a slot.
func (p *stagger) under(slot, n int) []float64 { return p.profile[slot*p.fine:][:n] }

// add puts a shape on the profile, or takes it off.
func (p *stagger) add(shape []float64, slot int, sign float64) {
	cells := len(p.shape)
	for k, v := range shape {
		c := (slot*p.fine + k) % cells
		p.profile[c] += sign * v
		p.profile[c+cells] = p.profile[c]
	}
}

// peak is the profile's greatest value; slices.Max minds NaN and takes four times as long.
func (p *stagger) peak() float64 {
	peak := p.profile[0]
	for _, v := range p.profile[:len(p.shape)] {
		if v > peak {
			peak = v
		}
	}
	return peak
}

// greatestFirst places the pixels in order, each where the profile under it stays
// lowest; of equal places the one with least under the whole pulse.
func (m *Meter) greatestFirst(ctx context.Context, slots []int) {
	p := &m.plan
	clear(p.profile)
	for _, i := range p.order {
		if ctx.Err() != nil {
			return
		}
		shape := m.outline(i)
		best, bestPeak, bestArea := 0, math.Inf(1), 0.0
		for s := range p.slots {
			peak := p.peakUnder(shape, s, 0, bestPeak)
			if peak > bestPeak {
				continue
			}
			if area := p.overlap(shape, s); peak < bestPeak || area < bestArea {
				best, bestPeak, bestArea = s, peak, area
			}
		}
		slots[i] = best
		p.add(shape, best, 1)
	}
}

// overlap returns the sum over a shape's cells of shape times profile.
func (p *stagger) overlap(shape []float64, slot int) float64 {
	var area float64
	for k, v := range p.under(slot, len(shape)) {
		area += v * shape[k]
	}
	return area
}

// improve moves one pixel at a time to where the profile's peak becomes lowest and,
// among equals, the sum over cells of the eighth power of the current: a smooth
// stand-in for the peak, which single moves seldom lower by themselves. Each move
// lowers one or the other, so the search ends; it also ends, after a pixel, when the
// budget does.
func (m *Meter) improve(ctx context.Context, slots []int, budget *float64) {
	p := &m.plan
	clear(p.profile)
	for i := range m.drawers {
		p.add(m.outline(i), slots[i], 1)
	}
	scale := 1 / p.peak()
	for range 6 {
		moved := false
		for _, i := range p.order {
			if *budget <= 0 || ctx.Err() != nil {
				return
			}
			shape := m.outline(i)
			*budget -= float64(p.slots * len(shape))
			p.add(shape, slots[i], -1)
			others := p.peak()
			best := slots[i]
			least := p.peakUnder(shape, best, others, math.Inf(1)) * (1 - 1e-9)
			sum := p.eighthsUnder(shape, best, scale) * (1 - 1e-9)
			for s := range p.slots {
				if s == slots[i] {
					continue
				}
				enough := least * (1 + 2e-9)
				l := p.peakUnder(shape, s, others, enough)
				if l > enough {
					continue
				}
				if c := p.eighthsUnder(shape, s, scale); l < least || c < sum {
					best, least, sum = s, l, c
				}
			}
			moved = moved || best != slots[i]
			slots[i] = best
			p.add(shape, best, 1)
		}
		if !moved {
			return
		}
	}
}

// peakUnder returns the greater of others and the peak of the profile under a shape
// with the shape on it, or, where that is more than enough, some value that is too.
func (p *stagger) peakUnder(shape []float64, slot int, others, enough float64) float64 {
	under := p.under(slot, len(shape))
	for k := len(under) - 1; k >= 0; k-- { // a pulse is highest at its end
		if sum := under[k] + shape[k]; sum > others {
			if others = sum; sum > enough {
				return sum
			}
		}
	}
	return others
}

// eighthsUnder returns what a shape adds to the sum of eighth powers.
func (p *stagger) eighthsUnder(shape []float64, slot int, scale float64) float64 {
	var sum float64
	for k, v := range p.under(slot, len(shape)) {
		sum += eighth((v+shape[k])*scale) - eighth(v*scale)
	}
	return sum
}

func eighth(x float64) float64 {
	x *= x
	x *= x
	return x * x
}
