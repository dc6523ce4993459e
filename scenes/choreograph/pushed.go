package choreograph

import (
	"context"
	"math"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// pushed is how long a kick takes to bring a drop to a side after the kick before has brought others
// past it on both hands, going the same way, s; +Inf where it does not arrive, 0 where no pixel lies
// beside it. They came to the pixels beside it, it kept by a guard, or ahead went from these, it only
// held. The liquid that flows back round those that pass pushes it back, and it stands there until its
// hold has drawn it to its pixel's middle: from farther off the next kick pulls far less.
func (t *Timing) pushed(ctx context.Context, p *player.Player, side int, ahead bool) (float64, error) {
	hands := [2]int{left, right} // where the others pass
	if sidesOf[side].row == 0 {
		hands = [2]int{0, len(sidesOf) - 1}
	}
	if t.none(hands[0]) {
		return 0, nil
	}
	at := func(v, side int) int { return v + tryPixels*sidesOf[side].row + sidesOf[side].col }
	const from = tryPixels * tryPixels / 2
	to, hold, guard := at(from, side), t.HoldLevel.Value, min(crossed*t.Guard.Value, 1)
	rest, pass := map[int]float64{from: hold}, map[int]float64{from: guard}
	settle, kick := map[int]float64{from: hold}, map[int]float64{to: 1}
	arrived := map[int]float64{to: hold}
	drops := []int{from}
	for _, hand := range hands {
		starts, ends := at(at(from, hand), len(sidesOf)-1-side), at(from, hand)
		kept := hold
		if ahead {
			starts, ends, kept, pass[from] = ends, at(to, hand), t.Guard.Value, hold
		}
		kick[ends] = kept
		drops = append(drops, starts)
		rest[starts], pass[ends], settle[ends], arrived[ends] = hold, 1, hold, hold
	}
	secure, err := newSecure(p.Grid())
	if err != nil {
		return 0, err
	}
	b, err := player.NewTank(p.Grid(), tryCells, 0)
	if err != nil {
		return 0, err
	}
	settled, err := player.NewTank(p.Grid(), tryCells, 0)
	if err != nil {
		return 0, err
	}
	for _, v := range drops {
		if err := b.Add(v/tryPixels, v%tryPixels, 1); err != nil {
			return 0, err
		}
	}
	move := func(b *player.Tank, seconds float64, levels map[int]float64) error {
		all := make([]float64, tryPixels*tryPixels)
		for v, level := range levels {
			all[v] = t.sign * level
		}
		if err := secure.hold(all, t.sign); err != nil {
			return err
		}
		if _, err := p.Push(ctx, scenes.Frame{Levels: all, Duration: seconds}); err != nil {
			return err
		}
		return p.Move(0, seconds, b.Step)
	}
	p.Reset()
	p.Network().Start(warmest(p.Grid().Design))
	for _, f := range []struct {
		seconds float64
		levels  map[int]float64
	}{
		{stand, rest},
		{t.Kick[side].Value, pass},
		{t.Settle, settle},
	} {
		if err := move(b, f.seconds, f.levels); err != nil {
			return 0, err
		}
	}
	place, cell := make([]float64, tryPixels*tryPixels), make([]float64, tryPixels*tryPixels)
	step := t.Kick[side].Value / tryParts
	for n := 1; n <= tryParts*tryMost; n++ {
		if err := move(b, step, kick); err != nil {
			return 0, err
		}
		if b.Cover(place, cell); place[to] < shown.Full {
			continue
		}
		settled.Inherit(b)
		if err := move(settled, t.Settle, arrived); err != nil {
			return 0, err
		}
		if settled.Cover(place, cell); place[to] >= shown.Full && cell[from] < remnant {
			return float64(n) * step, nil
		}
	}
	return math.Inf(1), nil
}
