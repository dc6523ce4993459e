package shown

import (
	"context"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Hop is the way of a drop from a pixel that goes dark to a neighbour that lights as a frame begins.
type Hop struct {
	Frame, From, To int
	End             handover.Ending
}

// Hops looks at every hop that a looping scene of just switched pixels asks for, by the drop that keeps
// its shape (package handover), and writes down those that fail: a pixel that lights beside others that
// go dark, from none of which a drop arrives. The drop model pulls a drop's parts each for itself and
// may be too kind to it (DEVELOPERS.md); where the two differ, only the tank knows. A pixel that lights
// beside none that goes dark has no way to judge. It pulls by its level, that of which it goes dark
// held the drop at full level.
func (r *Record) Hops(ctx context.Context, g *grid.Grid, s scenes.Scene) error {
	scheme := handover.Switch
	if g.Design.Drive.Mode == design.DriveKick {
		scheme = handover.Kick
	}
	if len(s.Frames) == 0 {
		return nil
	}
	ways := handover.NewWays(g, scheme)
	cols := g.Design.Grid.Cols
	beside := func(a, b int) bool { return b-a == cols || a-b == cols || a/cols == b/cols && (a-b == 1 || b-a == 1) }
	r.Asked, r.Undecided, r.Failing = 0, 0, nil
	last := player.Wanted(g, s.Frames[len(s.Frames)-1].Levels, nil)
	for i, f := range s.Frames {
		lit := player.Wanted(g, f.Levels, nil)
		for _, to := range lit {
			if slices.Contains(last, to) {
				continue
			}
			var failed []Hop
			arrives, undecided := false, false
			for _, from := range last {
				if arrives || !beside(from, to) || slices.Contains(lit, from) {
					continue
				}
				p, err := ways.Pass(ctx, from, to, f.Levels[to])
				if err != nil {
					return err
				}
				arrives, undecided = p.Taken, undecided || p.End == handover.Undecided
				failed = append(failed, Hop{i, from, to, p.End})
			}
			if len(failed) > 0 {
				r.Asked++
				switch {
				case arrives:
				case undecided:
					r.Undecided++
				default:
					r.Failing = append(r.Failing, failed[0])
				}
			}
		}
		last = lit
	}
	return nil
}
