package verdict

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/field/root"
	"lodegrid/scenes/player"
)

// kicked is a kick and a hold so many times as strong; nil where the supply gives no such
// kick, or the hold would be none.
func kicked(d design.Design, kick, hold float64) []design.Change {
	if duty, level := d.Drive.MaxDuty*kick, d.Scene.HoldLevel*hold/kick; duty <= 1 && level < 1 {
		set := []design.Change{{Key: "scene.hold_level", Value: fmt.Sprintf("%.3g", level)}}
		if kick != 1 {
			set = append(set, design.Change{Key: "drive.max_duty", Value: fmt.Sprintf("%.3g %%", 100*duty)})
		}
		return set
	}
	return nil
}

// firmer is the hold that the drops of a carried scene need, nil for none: their hold goes
// with the square of the current at most.
func (x *played) firmer() []design.Change {
	d := x.player.Grid().Design
	if x.plan == nil || !(x.summary.LeastHold > 0) {
		return nil
	}
	return kicked(d, 1, 1.05*math.Max(1, d.Limits.Hold/x.summary.LeastHold))
}

// coolTolerance is the width to which a cooler speed is solved, in the logarithm: each trial
// plans the moves anew and takes them through a loop's heat.
const coolTolerance = 0.15

// cooler is a speed of a carried scene at which its heat keeps the limits, since each move
// costs the same: the greatest but for coolTolerance. nil for a scene that is not carried, or
// when one as slow as is tried is too hot.
func (x *played) cooler(ctx context.Context) ([]design.Change, error) {
	if x.plan == nil {
		return nil, nil
	}
	d := x.player.Grid().Design
	at := func(times float64) []design.Change {
		v := d.Scene.Speed * times
		digit := math.Pow(10, math.Floor(math.Log10(v))-1)
		return []design.Change{{Key: "scene.speed", Value: quantity.Figure(math.Floor(v/digit+1e-9)*digit, 2)}}
	}
	var best []design.Change
	cool := func(log float64) (bool, error) {
		set := at(math.Exp(log))
		slow, err := d.With(set...)
		if err != nil {
			return false, nil // slower than a design may be
		}
		p, s, _, err := x.on(ctx, slow)
		if err != nil {
			return false, ctx.Err()
		}
		board, touch, err := p.LoopPeaks(ctx, s)
		if player.Restless(err) {
			return false, nil
		}
		ok := err == nil && board <= d.Limits.Board && touch <= d.Limits.Touch
		if ok {
			best = set
		}
		return ok, err
	}
	most, err := x.slowed(func(times float64) (bool, error) { return cool(math.Log(times)) })
	if most == 0 || err != nil {
		return nil, err
	}
	_, _, err = root.Edge(ctx, cool, -math.Log(most), math.Log(slowest/most), coolTolerance)
	return best, err
}
