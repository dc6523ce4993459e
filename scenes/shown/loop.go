package shown

import (
	"context"
	"math"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Looped plays a scene of just switched pixels a second time, its fluid where the first time left
// it, and returns what judges a loop: the record of that second time where it shows too little and
// the first does not, else the first. A first picture that shows again what it showed is enough: the
// loop has closed, and the rest is not played. The player goes on from its present temperatures.
func (r *Recorder) Looped(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	first, limits := r.Record(), p.Grid().Design.Limits
	if len(first.Delays) == 0 || !first.Keeps(limits.Shown, limits.Stray) {
		return first, nil // one picture, or too little already
	}
	second := *r
	second.record = Record{Model: first.Model, Looped: true, Delays: []Delay{{0, math.Inf(1)}}}
	second.Closed, second.at, second.frame, second.picture, second.arrived, second.bare = nil, 0, 0, 0, false, 0
	second.lit, second.ends = player.Wanted(r.grid, r.wanted.Frames[0].Levels, nil), r.wanted.Frames[0].Duration
	last := first.Delays[0].Frame - 1 // of the first picture
	closed := false
	run := NewRun(p, s, &second)
	run.show = p.Push
	err := run.Each(ctx, func() bool {
		if list := second.record.Sights; len(list) == last+1 {
			closed = list[last].Shown >= first.Sights[last].Shown
		}
		return !closed
	})
	if again := second.Record(); err == nil && !closed && !again.Keeps(limits.Shown, limits.Stray) {
		return again, nil
	}
	return first, err
}
