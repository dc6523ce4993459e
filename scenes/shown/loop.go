package shown

import (
	"context"
	"math"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Looped plays a scene of just switched pixels a second time, its fluid where the first time left
// it, and returns what judges a loop: the record of that second time where it shows too little and
// the first does not, else the first. A fluid that stands as it did when the first picture ended, at
// dark pixels too, is enough: the loop has closed, and the rest is not played. The player goes on from
// its present temperatures.
func (r *Recorder) Looped(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	first, limits := r.Record(), p.Grid().Design.Limits
	if asked := limits.Shown > 0 || limits.Stray < 1; !asked || len(first.Delays) == 0 || !first.Keeps(limits.Shown, limits.Stray) {
		return first, nil // no limit, one picture, or too little already
	}
	last := first.Delays[0].Frame - 1 // of the first picture
	closed := false
	again, err := r.again(ctx, p, s, func(second *Recorder) bool {
		closed = closed || len(second.record.Sights) == last+1 && second.back()
		return !closed
	})
	if err == nil && !closed && !again.Keeps(limits.Shown, limits.Stray) {
		return again, nil
	}
	return first, err
}

// Switched is what judges a looping scene of just switched pixels by the drop model: as Looped, and
// every hop that it asks for.
func (r *Recorder) Switched(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	seen, err := r.Looped(ctx, p, s)
	if err == nil {
		err = seen.Hops(ctx, p.Grid(), s)
	}
	return seen, err
}

// Second is the record of the second time, whatever it shows, to be compared with another's.
func (r *Recorder) Second(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	return r.again(ctx, p, s, func(*Recorder) bool { return true })
}

// again plays a scene once more with the fluid where it is, as long as after every frame says so.
func (r *Recorder) again(ctx context.Context, p *player.Player, s scenes.Scene, on func(*Recorder) bool) (*Record, error) {
	second := *r
	second.record = Record{Model: r.record.Model, Looped: true, Delays: []Delay{{0, math.Inf(1)}}}
	second.Closed, second.at, second.frame, second.picture, second.arrived, second.bare = nil, 0, 0, 0, false, 0
	second.lit, second.ends = player.Wanted(r.grid, r.wanted.Frames[0].Levels, nil), r.wanted.Frames[0].Duration
	run := NewRun(p, s, &second)
	run.show = p.Push
	err := run.Each(ctx, func() bool { return on(&second) })
	return second.Record(), err
}

// astray is by how much of a reference drop a pixel's square may differ and its fluid count as back.
const astray = 0.1

// back tells whether the fluid stands, as a frame ends, as it did when the first picture ended.
func (r *Recorder) back() bool {
	for k, v := range r.cell {
		if math.Abs(v-r.home[k]) > astray || r.place[k] >= Full != r.there[k] {
			return false
		}
	}
	return true
}
