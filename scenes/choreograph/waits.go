package choreograph

import (
	"maps"
	"slices"

	"lodegrid/scenes/carry"
)

// passes tell until when the drop on a pixel is off its middle since others went past it, s, by the side
// of it on which they did.
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
				until := p[row*d.Cols+col]
				until[len(sidesOf)-1-k] = now + x.timing.Back.Value
				p[row*d.Cols+col] = until
			}
		}
	}
	for _, m := range round {
		delete(p, m.From)
		delete(p, m.To)
	}
}

// wait is how long a round has to wait for its drops that others have passed on both hands, s.
func (p passes) wait(round []carry.Move, now float64) (seconds float64) {
	for _, m := range round {
		for k, until := range p[m.From] {
			seconds = max(seconds, min(until, p[m.From][len(sidesOf)-1-k])-now)
		}
	}
	return seconds
}

// leaving is when a drop is kicked, s, and until when it was off its middle.
type leaving struct {
	time  float64
	until [len(sidesOf)]float64
}

// leave writes down which drops a round kicks that were not before.
func (x *stage) leave(round []carry.Move) {
	for _, m := range round {
		if _, before := x.first[m.From]; !before && x.first != nil {
			x.first[m.From] = leaving{x.time, x.passes[m.From]}
		}
	}
}

// loops tells whether a drop would be kicked too soon when the plan begins again as it ends. It adds to
// the passes with which the plan began those with which it begins then, in full where they count for longer again: so this ends.
func (x *stage) loops(before passes) (soon bool) {
	for v, until := range x.passes {
		to, first := before[v], x.first[v]
		for k, end := range until {
			if left := end - x.time; left > to[k]+instant {
				if to[k] > 0 {
					left = x.timing.Back.Value
				}
				to[k] = left
				before[v] = to
			}
			first.until[k] = max(first.until[k], to[k])
		}
		soon = soon || passes{v: first.until}.wait([]carry.Move{{From: v}}, first.time) > instant && first.time > 0
	}
	return soon
}

// timeOf is how long rounds take from now on, s.
func (x *stage) timeOf(rounds [][]carry.Move) float64 {
	now, p, at := x.time, maps.Clone(x.passes), slices.Clone(x.at)
	for _, r := range rounds {
		now += p.wait(r, now) + x.roundTime(r)
		carry.Carry(at, r)
		p.note(x, at, r, now)
	}
	return now - x.time
}
