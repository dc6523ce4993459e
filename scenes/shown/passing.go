package shown

import (
	"context"

	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Near is the share of the free gap between drops on neighbouring pixels at which two that pass each other
// may run together, though by the drop model's round parts their edges are still apart: in the tank a drop on
// its way hangs out longer towards a held one. Of upright walks over a held pixel, 8 and 12 cells per pitch, some run
// together where the edges keep 0.67 of that gap by the drop model, none at 0.76; one that keeps 0.7 does not.
const Near = 3. / 4

// Passing is what drops show that pass each other so near that they may run together.
type Passing struct {
	Gap   float64 // m, between their edges
	Share float64 // of the wanted pixels that the fluid is on, if they do
	Frame int     // the worst
}

// Pass plays a scene of just switched pixels once more, where drops that come as near as Near run
// together, and writes down what it shows if that is too little: only the tank knows then.
func (r *Record) Pass(ctx context.Context, p *player.Player, s scenes.Scene) error {
	g := p.Grid()
	gap, limits := Near*(g.Design.Grid.Pitch-g.Drop().Diameter), g.Design.Limits
	if limits.Shown <= 0 || gap <= g.Design.Fluid.MergeGap || !several(g, s) || !r.Keeps(limits.Shown, limits.Stray) {
		return nil
	}
	f, err := player.Meeting(g, 0, gap)
	if err != nil {
		return err
	}
	near, err := Follow(ctx, p, s, s, Drops, f, nil)
	if err != nil {
		return err
	}
	if share, _ := near.Share(); share < limits.Shown-rounding {
		r.Passing = &Passing{gap, share, near.Worst()}
	}
	return nil
}

// several tells whether a scene ever lights two pixels.
func several(g *grid.Grid, s scenes.Scene) bool {
	for _, f := range s.Frames {
		if len(player.Wanted(g, f.Levels, nil)) > 1 {
			return true
		}
	}
	return false
}
