package choreograph

import (
	"context"
	"fmt"
	"math"

	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// passing is a drop in the middle of a small tank that others have passed on both hands, going to the
// side to which it is kicked next. The liquid that flows back round them pushes it back, and it stands
// there until its hold has drawn it to its pixel's middle: from farther off a kick pulls far less.
type passing struct {
	timing               *Timing
	player               *player.Player
	secure               *secure
	tank, trial          *player.Tank
	from, to             int
	stand, kick, arrived map[int]float64 // levels
	place, cell          []float64
}

// passed is such a drop as the others have settled, nil where no pixel lies beside it. They came to the
// pixels beside it, it kept by a guard, or ahead went from these, it only held.
func (t *Timing) passed(ctx context.Context, p *player.Player, side int, ahead bool) (*passing, error) {
	hands := [2]int{left, right} // where the others pass
	if sidesOf[side].row == 0 {
		hands = [2]int{0, len(sidesOf) - 1}
	}
	if t.none(hands[0]) {
		return nil, nil
	}
	at := func(v, side int) int { return v + tryPixels*sidesOf[side].row + sidesOf[side].col }
	const from = tryPixels * tryPixels / 2
	to, hold, guard := at(from, side), t.HoldLevel.Value, min(crossed*t.Guard.Value, 1)
	rest, pass := map[int]float64{from: hold}, map[int]float64{from: guard}
	o := &passing{timing: t, player: p, from: from, to: to, stand: map[int]float64{from: hold}, kick: map[int]float64{to: 1}, arrived: map[int]float64{to: hold},
		place: make([]float64, tryPixels*tryPixels), cell: make([]float64, tryPixels*tryPixels)}
	drops := []int{from}
	for _, hand := range hands {
		starts, ends := at(at(from, hand), len(sidesOf)-1-side), at(from, hand)
		kept := hold
		if ahead {
			starts, ends, kept, pass[from] = ends, at(to, hand), t.Guard.Value, hold
		}
		o.kick[ends] = kept
		drops = append(drops, starts)
		rest[starts], pass[ends], o.stand[ends], o.arrived[ends] = hold, 1, hold, hold
	}
	var err error
	if o.secure, err = newSecure(p.Grid()); err != nil {
		return nil, err
	}
	if o.tank, err = player.NewTank(p.Grid(), tryCells, 0); err != nil {
		return nil, err
	}
	if o.trial, err = player.NewTank(p.Grid(), tryCells, 0); err != nil {
		return nil, err
	}
	for _, v := range drops {
		if err := o.tank.Add(v/tryPixels, v%tryPixels, 1); err != nil {
			return nil, err
		}
	}
	p.Reset()
	p.Network().Start(warmest(p.Grid().Design))
	for _, f := range []struct {
		seconds float64
		levels  map[int]float64
	}{
		{stand, rest},
		{t.Kick[side].Value, pass},
		{t.Settle, o.stand},
	} {
		if err := o.move(ctx, o.tank, f.seconds, f.levels); err != nil {
			return nil, err
		}
	}
	return o, nil
}

// move moves the fluid of a tank.
func (o *passing) move(ctx context.Context, b *player.Tank, seconds float64, levels map[int]float64) error {
	all := make([]float64, tryPixels*tryPixels)
	for v, level := range levels {
		all[v] = o.timing.sign * level
	}
	if err := o.secure.hold(all, o.timing.sign); err != nil {
		return err
	}
	if _, err := o.player.Push(ctx, scenes.Frame{Levels: all, Duration: seconds}); err != nil {
		return err
	}
	return o.player.Move(0, seconds, b.Step)
}

// comes tells whether the drop has arrived in the tank that is tried, the settling over.
func (o *passing) comes(ctx context.Context) (bool, error) {
	err := o.move(ctx, o.trial, o.timing.Settle, o.arrived)
	o.trial.Cover(o.place, o.cell)
	return o.place[o.to] >= shown.Full && o.cell[o.from] < remnant, err
}

// pushed is how long a kick takes to bring a drop to a side that others have just passed, s; +Inf where it
// does not arrive, 0 where no pixel lies beside it.
func (t *Timing) pushed(ctx context.Context, p *player.Player, side int, ahead bool) (float64, error) {
	o, err := t.passed(ctx, p, side, ahead)
	if o == nil {
		return 0, err
	}
	step := t.Kick[side].Value / tryParts
	for n := 1; n <= tryParts*tryMost; n++ {
		if err := o.move(ctx, o.tank, step, o.kick); err != nil {
			return 0, err
		}
		if o.tank.Cover(o.place, o.cell); o.place[o.to] < shown.Full {
			continue
		}
		o.trial.Inherit(o.tank)
		if ok, err := o.comes(ctx); ok || err != nil {
			return float64(n) * step, err
		}
	}
	return math.Inf(1), nil
}

// How long a drop that others have passed is waited for at least, the first time that is tried, and at
// most, s.
const (
	leastBack = 0.125
	mostBack  = 16
)

// back finds how long a drop that others have passed stands until its kick brings it, to the side where
// a kick has the least to spare; it tells whether it found any.
func (t *Timing) back(ctx context.Context, p *player.Player) (bool, error) {
	side, spare := -1, math.Inf(1)
	for k, kick := range t.Kick {
		if t.arrival[k] > 0 && kick.Value/t.arrival[k] < spare {
			side, spare = k, kick.Value/t.arrival[k]
		}
	}
	if side < 0 {
		return true, nil // the coils burn first
	}
	o, err := t.passed(ctx, p, side, true)
	if o == nil {
		return true, err
	}
	for stood, seconds := 0.0, 0.0; seconds <= mostBack; seconds = max(2*seconds, leastBack) {
		if seconds > 0 {
			if err := o.move(ctx, o.tank, seconds-stood, o.stand); err != nil {
				return false, err
			}
		}
		stood = seconds
		o.trial.Inherit(o.tank)
		if err := o.move(ctx, o.trial, t.Kick[side].Value, o.kick); err != nil {
			return false, err
		}
		if ok, err := o.comes(ctx); err != nil {
			return false, err
		} else if ok {
			t.Back = quantity.Derived{Value: seconds, Why: fmt.Sprintf("the least of 0, %g, %g, … s after which the kick of %.3g s brings a drop %s in the tank that others had pushed back as they passed it on both sides", leastBack, 2*leastBack, t.Kick[side].Value, sidesOf[side].name)}
			return true, nil
		}
	}
	return false, nil
}
