package player

import (
	"context"

	"lodegrid/scenes"
)

// Step plays one frame with the rails and adds its entry to the ledger.
func (p *Player) Step(ctx context.Context, f scenes.Frame) (Entry, error) {
	list, err := p.through(ctx, []scenes.Frame{f}, rails)
	if err != nil {
		return Entry{}, err
	}
	return list[0], nil
}
