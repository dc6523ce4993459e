package shown

import (
	"context"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Follow plays a scene once and records what of the wanted one, often itself, a fluid
// shows; step, if not nil, is called after every frame. The player goes on from its present
// temperatures, without the rails' worst instants (player.Try).
func Follow(ctx context.Context, p *player.Player, s, wanted scenes.Scene, m Model, f Fluid, step func()) (*Record, error) {
	r, err := Begin(m, f, p.Grid(), wanted, p.Grid().Design.Limits.Shown)
	if err != nil {
		return nil, err
	}
	if _, err := p.Try(ctx, s, func(e player.Entry) error {
		if step != nil {
			step()
		}
		return r.Frame(p, e.Duration)
	}); err != nil {
		return nil, err
	}
	return r.Record(), nil
}
