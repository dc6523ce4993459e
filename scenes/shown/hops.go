package shown

import (
	"context"

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
// beside none that goes dark has no way to judge. It pulls by its level, and that which goes dark, or did
// some time before, has held the drop by the level before, beneath which it hangs lower the weaker it is.
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
	drops := make([]handover.Left, g.Design.Pixels()) // that pixels hold, or have left where they went dark; at level 0 none
	lit, last := make([]bool, len(drops)), make([]bool, len(drops))
	for k := range 2 * len(s.Frames) { // once to see what a loop begins with
		i := k % len(s.Frames)
		f := s.Frames[i]
		now := player.Wanted(g, f.Levels, nil)
		clear(lit)
		for _, v := range now {
			lit[v] = true
		}
		if i == 0 {
			r.Asked, r.Failing = 0, nil
		}
		var fetched []int
		for _, to := range now {
			if last[to] {
				continue
			}
			var asked []Hop
			arrives := false
			for _, step := range [8]int{-cols - 1, -cols, -cols + 1, -1, 1, cols - 1, cols, cols + 1} {
				from := to + step
				if arrives || from < 0 || from >= len(drops) || drops[from].Level == 0 || lit[from] || !handover.Beside(from, to, cols) ||
					drops[to].Level != 0 && !last[from] { // it has its own
					continue
				}
				p, err := ways.Pass(ctx, from, to, drops[from], f.Levels[to])
				if err != nil {
					return err
				}
				if p.End == handover.Gone {
					continue
				}
				if (p.Taken || p.End == handover.Undecided) && p.Time > standing(g, s, i, to) {
					p.Taken, p.End = false, Late
				}
				if p.End == handover.Undecided {
					p.End = Slow
				}
				if arrives = p.Taken; arrives {
					asked = nil
				}
				asked = append(asked, Hop{i, from, to, p.End})
			}
			if len(asked) > 0 {
				r.Asked++
				fetched = append(fetched, asked[0].From) // at least the scene has it so
				if !arrives {
					r.Failing = append(r.Failing, asked[0])
				}
			}
		}
		for _, from := range fetched {
			drops[from] = handover.Left{}
		}
		for v, level := range f.Levels {
			switch {
			case lit[v]:
				drops[v] = handover.Left{Level: level}
			case drops[v].Level != 0 && level != 0:
				drops[v].Level = level // what it has fallen it is not known to have climbed again
			default:
				drops[v].Dark += f.Duration
			}
		}
		lit, last = last, lit
	}
	return nil
}
