package choose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/heat"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
)

// The moves of a carried scene are planned once, with the design that is started from: all
// candidates are kicked as weakly as the same time allows, so that their plans differ little.
// A supply without bound is planned for; one that gives less only takes more rounds.

// mostDoublings is how often the supply's voltage is doubled for a design that carries no drop.
const mostDoublings = 5

// plan finds the time of a hop, by how much the quick one is off, and what a plan of the scene
// asks of pixels.
func (q *quick) plan(ctx context.Context, d design.Design, s scenes.Scene) error {
	d.Supply.Power = 0
	g, err := grid.New(ctx, d, 0)
	if err != nil {
		return err
	}
	time, err := slowest(ctx, g, handover.Kick)
	if err != nil {
		return err
	}
	if q.move = q.offer.Move; q.move == 0 {
		if q.move = time; math.IsInf(time, 1) {
			q.move = choreograph.UsualHop
		}
	}
	timing, err := choreograph.Solve(ctx, g, choreograph.ForLiquid(), q.move, 0)
	var weak *choreograph.NoHopError
	for range mostDoublings {
		if !errors.As(err, &weak) {
			break
		}
		d.Supply.Voltage *= 2 // so that there is a plan to tell what moves ask
		g = g.With(d)
		timing, err = choreograph.Solve(ctx, g, choreograph.ForLiquid(), q.move, 0)
	}
	if err != nil {
		return err
	}
	var torn *choreograph.TornError
	if err := timing.InTank(ctx, g); err != nil && !errors.As(err, &torn) { // torn ones are timed as rigid ones
		return err
	}
	p, err := choreograph.Scene(ctx, g, s, timing, choreograph.Defaults())
	if err != nil {
		return err
	}
	q.asks(p.Scene, timing.HoldLevel.Value)
	g = g.With(choreograph.Planned(d, timing.Duty))
	return q.compare(ctx, g)
}

// asks tells what a planned scene asks, its pixels held at a level.
func (q *quick) asks(s scenes.Scene, hold float64) {
	u, lit, total := &q.use, 0.0, s.Duration()
	clear(u.share)
	u.most = 0
	u.part = total / parts
	u.lit, u.busy = make([][]float64, parts), nil
	for b := range u.lit {
		u.lit[b] = make([]float64, len(u.share))
	}
	at, kicks := 0.0, make([]scenes.Frame, len(s.Frames))
	for i, f := range s.Frames {
		n, squares := 0.0, 0.0
		kicks[i] = scenes.Frame{Levels: make([]float64, len(f.Levels)), Duration: f.Duration}
		for k, v := range f.Levels {
			if v = math.Abs(v); v == 0 {
				continue
			}
			n++
			u.share[k] += f.Duration / total
			for b := int(at / u.part); b < parts && float64(b)*u.part < at+f.Duration; b++ {
				u.lit[b][k] += max(0, min(at+f.Duration, float64(b+1)*u.part)-max(at, float64(b)*u.part)) / u.part
			}
			if v > hold*(1+1e-9) {
				squares += v * v
				kicks[i].Levels[k] = v * v
			} else {
				u.holds += f.Duration
			}
		}
		at += f.Duration
		lit += n * f.Duration
		u.moves += squares * f.Duration
		u.most, u.peak = max(u.most, n), max(u.peak, squares)
	}
	u.holds, u.moves = u.holds/lit, u.moves/lit
	most := 0.0
	for i := range kicks { // the stretch of a part's length with most kicks
		sum, lasts, n := 0.0, 0.0, i
		for ; n < len(kicks) && lasts < u.part; n++ {
			sum, lasts = sum+floats.Sum(kicks[n].Levels)*kicks[n].Duration, lasts+kicks[n].Duration
		}
		if sum > most {
			most, u.busy = sum, kicks[i:n]
		}
	}
}

// parts are those of a carried scene over which what a pixel makes is averaged.
const parts = 60

// peaks works out how much warmer a display gets than in a carried scene's mean: as a factor,
// since drops stand in one region for long, and in K for each watt of a kick.
func (a *anchor) peaks(ctx context.Context, n *heat.Network, u use, mean float64) error {
	load := &heat.FixedPower{Watts: make([]float64, len(u.share))}
	for p, share := range u.share {
		load.Watts[p] = mean * share
	}
	r, err := n.Steady(ctx, load)
	if err != nil {
		return nil // the table says so
	}
	n.StartFrom(r.State())
	touch, turn := n.Touch(), r.Hottest
	peak := [2]float64{touch, turn}
	step := func(seconds float64) error {
		if err := n.Step(ctx, seconds, load); err != nil {
			return fmt.Errorf("warming the display: %w", err)
		}
		hottest, _ := n.HottestTurn()
		peak = [2]float64{max(peak[0], n.Touch()), max(peak[1], hottest)}
		return nil
	}
	for range 2 {
		for _, lit := range u.lit {
			for p, share := range lit {
				load.Watts[p] = mean * share
			}
			if err := step(u.part); err != nil {
				return err
			}
		}
	}
	a.region = [2]float64{(peak[0] - a.air) / (touch - a.air), (peak[1] - a.air) / (turn - a.air)}
	n.StartFrom(r.State())
	peak = [2]float64{touch, turn}
	for _, f := range u.busy {
		for p, share := range u.share {
			load.Watts[p] = mean*share + f.Levels[p]
		}
		if err := step(f.Duration); err != nil {
			return err
		}
	}
	a.pulse = [2]float64{peak[0] - touch, peak[1] - turn}
	return nil
}

// hung is by how much the quick time of a hop is off, from where a drop hangs that is held with
// a force in N.
type hung struct{ force, slow float64 }

// compare holds the quick times of a planned design's hops against those in full. A drop that
// is held weakly hangs lower than the pressure along its rim tells.
func (q *quick) compare(ctx context.Context, g *grid.Grid) error {
	drv := g.Drive(0)
	magnet, unit, drop := make([]r3.Vec, radii), q.along(g.Pixel.CoilField()), g.Drop()
	if m := g.Pixel.MagnetField(); m != nil {
		magnet = q.along(m)
	}
	pulled := func(level float64) []float64 {
		c := drv.Course(0, level, g.Pixel.Coil.Resistance(field.RoomTemperature))
		return q.pulled(g, unit, magnet, grid.Amps{Mean: c.Mean()}, drop.Volume)
	}
	kick := pulled(1)
	mobility, drag := handover.Motion(g.Design.Fluid)
	weight := max(drop.Weight, 0)
	for k := -4; k <= 4; k++ {
		level := min(g.Design.Scene.HoldLevel*math.Exp2(float64(k)/4), 1)
		held := pulled(level)
		time, err := beside(g, func(from, to int) (handover.Passage, error) {
			return handover.Hopped(ctx, g, from, to, handover.Hop{Rest: level, Kick: 1})
		})
		if err != nil {
			return err
		}
		told := drag + hop(held, kick, math.Inf(1), weight, drop.Pinning, g.Design.Grid.Pitch/perPitch, mobility/drop.Volume)
		if !math.IsInf(time, 1) && !math.IsInf(told, 1) {
			q.slow = append(q.slow, hung{floats.Max(held[:perPitch]), time / told})
		}
	}
	return nil
}

// slower is by how much a hop takes longer than the quick one tells, held with a force in N.
func (q *quick) slower(force float64) float64 {
	if len(q.slow) == 0 {
		return 1
	}
	k := slices.IndexFunc(q.slow, func(h hung) bool { return h.force >= force })
	switch {
	case k < 0:
		return q.slow[len(q.slow)-1].slow
	case k == 0:
		return q.slow[0].slow
	}
	a, b := q.slow[k-1], q.slow[k]
	return a.slow + (b.slow-a.slow)*math.Log(force/a.force)/math.Log(b.force/a.force)
}

// ladder is the part of a current that the next weaker one is.
const ladder = 0.9

// weakest is the least current in A, up to a full one, with which a hop takes the time that it
// may; time tells that of the powers of ladder. It is the full one where none does.
func (q *quick) weakest(full float64, time func(k int) float64) float64 {
	last, before := 0.0, full
	for k := int(math.Ceil(math.Log(full) / math.Log(ladder))); k < 100; k++ {
		amps, t := math.Pow(ladder, float64(k)), time(k)
		if t > q.move {
			if last == 0 || math.IsInf(t, 1) {
				return before
			}
			return before * math.Pow(amps/before, math.Log(q.move/last)/math.Log(t/last))
		}
		last, before = t, amps
	}
	return before
}

// kickAt is the current of a kick at a duty, and its heat in W, cold.
func (q *quick) kickAt(a *anchor, d design.Design, w *made, duty float64) (drive.Course, float64) {
	duty = min(math.Ceil(duty*200)/200, 1) // as kicks are planned
	d.Drive.Mode, d.Drive.MaxDuty = choreograph.Planned(d, duty).Drive.Mode, duty
	drv := pixel.DriveOf(d, func(duty float64) (inductance, steel float64) { return a.underPWM(d, w, duty) }, nil, 1, d.Scene.FrameTime)
	c := drv.Course(0, 1, w.resistance)
	return c, c.MeanSquare()*w.resistance + c.On.Steel()
}
