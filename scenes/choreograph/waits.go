package choreograph

import (
	"maps"
	"slices"

	"lodegrid/scenes/carry"
)

// passes tell when others went past the drop on a pixel last, s, by the side of it on which they did.
type passes map[int][len(sidesOf)]float64

// note adds those of a round that is over; at is what drops stand on then.
func (p passes) note(x *stage, at []bool, round []carry.Move, now float64) {
	d := x.grid.Design.Grid
	for _, m := range round {
		for _, from := range [2]int{m.From, m.To} {
			for k, s := range sidesOf {
				row, col := from/d.Cols+s.row, from%d.Cols+s.col
				if along := x.side(m); k == along || k == len(sidesOf)-1-along || row < 0 || row >= d.Rows || col < 0 || col >= d.Cols || !at[row*d.Cols+col] {
					continue
				}
				times := p[row*d.Cols+col]
				times[len(sidesOf)-1-k] = now
				p[row*d.Cols+col] = times
			}
		}
	}
	for _, m := range round {
		delete(p, m.From)
		delete(p, m.To)
	}
}

// wait is how long a round has to wait for its drops that others have passed on both hands, s.
func (x *stage) wait(p passes, round []carry.Move, now float64) (seconds float64) {
	for _, m := range round {
		times := p[m.From]
		for k := range len(sidesOf) / 2 {
			if both := min(times[k], times[len(sidesOf)-1-k]); both > 0 {
				seconds = max(seconds, both+x.timing.Back.Value-now)
			}
		}
	}
	return seconds
}

// timeOf is how long rounds take from now on, s.
func (x *stage) timeOf(rounds [][]carry.Move) float64 {
	now, p, at := x.time, maps.Clone(x.passes), slices.Clone(x.at)
	for _, r := range rounds {
		now += x.wait(p, r, now) + x.roundTime(r)
		carry.Carry(at, r)
		p.note(x, at, r, now)
	}
	return now - x.time
}
