package shown

import (
	"context"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Follow plays a scene once and records what of the wanted one, often itself, a fluid
// shows; step, if not nil, is called after every frame. The player goes on from its present
// temperatures.
func Follow(ctx context.Context, p *player.Player, s, wanted scenes.Scene, m Model, f Fluid, step func()) (*Record, error) {
	r, err := follow(ctx, p, s, wanted, m, f, func(*Recorder) bool {
		if step != nil {
			step()
		}
		return true
	})
	if r == nil {
		return nil, err
	}
	return r.Record(), err
}

func follow(ctx context.Context, p *player.Player, s, wanted scenes.Scene, m Model, f Fluid, after func(*Recorder) bool) (*Recorder, error) {
	r, err := Begin(m, f, p.Grid(), s, wanted, p.Grid().Design.Limits.Shown)
	if err != nil {
		return nil, err
	}
	run := NewRun(p, s, r)
	run.show = p.Push
	return r, run.Each(ctx, func() bool { return after(r) })
}

// Kept tells whether the drop model shows enough of a scene, and no more stray fluid than
// is allowed, by the design's limits, with steps of a length, s. It stops as soon as it
// cannot.
func Kept(ctx context.Context, p *player.Player, s, wanted scenes.Scene, step float64) (bool, error) {
	f, err := player.NewDroplets(p.Grid(), step)
	if err != nil {
		return false, err
	}
	hopeless := false
	r, err := follow(ctx, p, s, wanted, Drops, f, func(r *Recorder) bool {
		hopeless = r.Hopeless()
		return !hopeless
	})
	if err != nil || hopeless {
		return false, err
	}
	seen, limits := r.Record(), p.Grid().Design.Limits
	if s.Alike(wanted) && seen.Keeps(limits.Shown, limits.Stray) {
		seen, err = r.Switched(ctx, p, s)
	}
	return err == nil && seen.Keeps(limits.Shown, limits.Stray), err
}
