package choreograph

import (
	"context"
	"math"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// pushed is how long a kick takes to bring a drop to a side after the kick before has brought
// another past it, to a pixel beside it and going the same way, s; +Inf where it does not arrive, 0
// where no pixel lies beside it. The liquid that flows back round the one that passes pushes the other
// back, guarded as it is, and it stands there until its hold has drawn it to its pixel's middle: from
// farther off the next kick pulls far less.
func (t *Timing) pushed(ctx context.Context, p *player.Player, side int) (float64, error) {
	hand := left // where the other passes
	if sidesOf[side].row == 0 {
		hand = 0
	}
	if t.none(hand) {
		return 0, nil
	}
	at := func(v, side int) int { return v + tryPixels*sidesOf[side].row + sidesOf[side].col }
	const from = tryPixels * tryPixels / 2
	to, beside, hold := at(from, side), at(from, hand), t.HoldLevel.Value
	behind := at(beside, len(sidesOf)-1-side)
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
	for _, v := range []int{from, behind} {
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
		{stand, map[int]float64{from: hold, behind: hold}},
		{t.Kick[side].Value, map[int]float64{from: t.Guard.Value, beside: 1}},
		{t.Settle, map[int]float64{from: hold, beside: hold}},
	} {
		if err := move(b, f.seconds, f.levels); err != nil {
			return 0, err
		}
	}
	place, cell := make([]float64, tryPixels*tryPixels), make([]float64, tryPixels*tryPixels)
	step := t.Kick[side].Value / tryParts
	for n := 1; n <= tryParts*tryMost; n++ {
		if err := move(b, step, map[int]float64{to: 1, beside: hold}); err != nil {
			return 0, err
		}
		if b.Cover(place, cell); place[to] < shown.Full {
			continue
		}
		settled.Inherit(b)
		if err := move(settled, t.Settle, map[int]float64{to: hold, beside: hold}); err != nil {
			return 0, err
		}
		if settled.Cover(place, cell); place[to] >= shown.Full && cell[from] < remnant {
			return float64(n) * step, nil
		}
	}
	return math.Inf(1), nil
}
