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

// Hop is the way of a drop from a pixel that goes dark to a neighbour, cornerwise too, that lights as a frame begins.
type Hop struct {
	Frame, From, To int
	End             handover.Ending
}

// Late is how a hop ends whose drop is still on its way when the pixel goes dark again, Slow one whose
// drop was not followed to its end: it is not known to arrive.
const (
	Late handover.Ending = "comes too late"
	Slow handover.Ending = "takes too long to work out"
)

// standing is for how long, s, a pixel that lights as a frame of a loop begins is lit.
func standing(g *grid.Grid, s scenes.Scene, first, pixel int) (seconds float64) {
	for k := range s.Frames {
		f := s.Frames[(first+k)%len(s.Frames)]
		if g.StateOf(f.Levels[pixel]) != grid.Lit {
			break
		}
		seconds += f.Duration
	}
	return seconds
}

// Hops looks at every hop that a looping scene of just switched pixels asks for, by the drop that keeps
// its shape (package handover), and writes down those that fail: a pixel that lights beside others that
// go dark, from none of which a drop arrives while it is lit. The drop model pulls a drop's parts each for itself and
// may be too kind to it (DEVELOPERS.md); where the two differ, only the tank knows. A pixel that lights
// beside none that goes dark has no way to judge. It pulls by its level, and that which goes dark has
// held the drop by the level before, beneath which it hangs lower the weaker it is.
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
	r.Asked, r.Failing = 0, nil
	before := s.Frames[len(s.Frames)-1].Levels
	last := player.Wanted(g, before, nil)
	for i, f := range s.Frames {
		now := player.Wanted(g, f.Levels, nil)
		for _, to := range now {
			if slices.Contains(last, to) {
				continue
			}
			var failed []Hop
			arrives := false
			for _, from := range last {
				if arrives || !handover.Beside(from, to, cols) || slices.Contains(now, from) {
					continue
				}
				p, err := ways.Pass(ctx, from, to, before[from], f.Levels[to])
				if err != nil {
					return err
				}
				if (p.Taken || p.End == handover.Undecided) && p.Time > standing(g, s, i, to) {
					p.Taken, p.End = false, Late
				}
				if p.End == handover.Undecided {
					p.End = Slow
				}
				arrives = p.Taken
				failed = append(failed, Hop{i, from, to, p.End})
			}
			if len(failed) > 0 {
				r.Asked++
				if !arrives {
					r.Failing = append(r.Failing, failed[0])
				}
			}
		}
		last, before = now, f.Levels
	}
	return nil
}
