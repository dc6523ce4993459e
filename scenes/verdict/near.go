package verdict

import (
	"context"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// Near is the verdict on a display near one that a scene was played on, its ledger told by
// player.Ledger.Near: figures and margins, without problems or what shows.
func Near(ctx context.Context, p *player.Player, s scenes.Scene, l *player.Ledger) (*Verdict, error) {
	x := &played{player: p, scene: s, wanted: s, ledger: l}
	if err := x.size(ctx); err != nil {
		return nil, err
	}
	v := &Verdict{Ledger: l, Summary: x.summary, Supply: x.supply, Margins: x.margins(), Looked: true}
	v.tell(x)
	return v, nil
}

// tell fills in the liquids of what was played.
func (v *Verdict) tell(x *played) {
	v.Liquids, _ = x.liquids()
	v.Fill, v.Grows = player.FillOf(x.player.Grid(), x.scene), x.growth(v.Liquids[1].Fluid.Temperature)
}

// size works out what the drivers and the supply of what was played have to give.
func (x *played) size(ctx context.Context) error {
	x.summary = x.ledger.Summary()
	parts, err := studies.Parts(x.player.Grid())
	if err != nil {
		return err
	}
	x.channel = parts.Peak
	x.supply, err = studies.Sizing(ctx, x.player.Grid(), x.scene, x.ledger)
	return err
}
