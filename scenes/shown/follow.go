package shown

import (
	"context"
	"errors"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Follow plays a scene once and records what of the wanted one, often itself, a fluid
// shows; step, if not nil, is called after every frame. The player goes on from its present
// temperatures, without the rails' worst instants (player.Try).
func Follow(ctx context.Context, p *player.Player, s, wanted scenes.Scene, m Model, f Fluid, step func()) (*Record, error) {
	r, err := Begin(m, f, p.Grid(), s, wanted, p.Grid().Design.Limits.Shown)
	if err != nil {
		return nil, err
	}
	_, err = p.Try(ctx, s, func(e player.Entry) error {
		if step != nil {
			step()
		}
		return r.Frame(p, e.Duration)
	})
	return r.Record(), err
}

// Kept tells whether the drop model shows enough of a scene, and no more stray fluid than
// is allowed, by the design's limits, with steps of a length, s. It stops as soon as it
// cannot.
func Kept(ctx context.Context, p *player.Player, s, wanted scenes.Scene, step float64) (bool, error) {
	g := p.Grid()
	f, err := player.NewDroplets(g, step)
	if err != nil {
		return false, err
	}
	r, err := Begin(Drops, f, g, s, wanted, g.Design.Limits.Shown)
	if err != nil {
		return false, err
	}
	_, err = p.Try(ctx, s, func(e player.Entry) error {
		if err := r.Frame(p, e.Duration); err != nil {
			return err
		}
		if r.Hopeless() {
			return errHopeless
		}
		return nil
	})
	if errors.Is(err, errHopeless) {
		return false, nil
	}
	return err == nil && r.Record().Keeps(g.Design.Limits.Shown, g.Design.Limits.Stray), err
}

var errHopeless = errors.New("the scene cannot show enough any more")
