package shown

import (
	"context"
	"math"
	"slices"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Plays is how often a scene of just switched pixels is played at most to judge its loop.
const Plays = 5

// Looped plays a scene of just switched pixels again, its fluid where the time before left it, until it
// goes on as that did: when its first picture ends, the fluid stands as it did then, at dark pixels too.
// It returns what judges the loop: the first time that shows too little, else the first of all, with how
// often it was played. The player goes on from its present temperatures.
func (r *Recorder) Looped(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	first, limits := r.Record(), p.Grid().Design.Limits
	if asked := limits.Shown > 0 || limits.Stray < 1; !asked || len(first.Delays) == 0 || !first.Keeps(limits.Shown, limits.Stray) {
		return first, nil // no limit, one picture, or too little already
	}
	for first.Played = 2; ; first.Played++ {
		next, err := r.again(ctx, p, s, first.Played, func(next *Recorder) bool {
			if len(next.record.Sights) == first.Delays[0].Frame { // its first picture ends
				first.Closes = next.back()
				next.home, next.there = slices.Clone(next.cell), next.filled()
			}
			return !first.Closes
		})
		if err != nil || first.Closes {
			return first, err
		}
		if seen := next.Record(); !seen.Keeps(limits.Shown, limits.Stray) {
			return seen, nil
		}
		if first.Played == Plays {
			return first, nil
		}
		r = next
	}
}

// Switched is what judges a looping scene of just switched pixels by the drop model: as Looped, and
// every hop that it asks for, and drops that pass each other.
func (r *Recorder) Switched(ctx context.Context, p *player.Player, s scenes.Scene) (*Record, error) {
	seen, err := r.Looped(ctx, p, s)
	if err == nil {
		err = seen.Hops(ctx, p.Grid(), s)
	}
	if err == nil {
		err = seen.Pass(ctx, p, s)
	}
	return seen, err
}

// Time is the record of the nth time, whatever it and those before show, to be compared with another's.
func (r *Recorder) Time(ctx context.Context, p *player.Player, s scenes.Scene, n int) (*Record, error) {
	var err error
	for k := 2; k <= n && err == nil; k++ {
		r, err = r.again(ctx, p, s, k, func(*Recorder) bool { return true })
	}
	return r.Record(), err
}

// again plays a scene once more, the nth time, with the fluid where it is, as long as after every frame
// says so.
func (r *Recorder) again(ctx context.Context, p *player.Player, s scenes.Scene, n int, on func(*Recorder) bool) (*Recorder, error) {
	next := *r
	next.record = Record{Model: r.record.Model, Time: n, Delays: []Delay{{0, math.Inf(1)}}}
	next.Closed, next.at, next.frame, next.picture, next.arrived, next.bare = nil, 0, 0, 0, false, 0
	next.lit, next.ends = player.Wanted(r.grid, r.wanted.Frames[0].Levels, nil), r.wanted.Frames[0].Duration
	run := NewRun(p, s, &next)
	run.show = p.Push
	err := run.Each(ctx, func() bool { return on(&next) })
	return &next, err
}

// astray is by how much of a reference drop a pixel's square may differ and its fluid count as back.
const astray = 0.1

// back tells whether the fluid stands, as a frame ends, as it did when the first picture ended the time
// before.
func (r *Recorder) back() bool {
	for k, v := range r.cell {
		if math.Abs(v-r.home[k]) > astray || r.place[k] >= Full != r.there[k] {
			return false
		}
	}
	return true
}
