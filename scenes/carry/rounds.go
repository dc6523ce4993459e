package carry

import "slices"

// Rounds puts the moves of a plan into an order in which those of a round begin at the
// same instant. A drop's moves keep their order, and a pixel is entered in a later round
// than the drop before has left it in. In a round no kicked pixel is a neighbour of one
// that another drop moves from or to: its kick would pull that drop as hard as its own,
// and there is no guard on a drop that moves. fits, when it is not nil, tells whether a
// round may be so, with drops on the pixels that at tells; it is not asked about a single move.
//
// The steps of the plan need not be kept apart: a move whose pixels are free begins while
// others of an earlier step still wait. Those that most depends on go first.
func (p Problem) Rounds(plan Plan, fits func(round []Move, at []bool) bool) [][]Move {
	after, waiting := p.order(plan.Moves)
	urgency := make([]int, len(plan.Moves)) // moves in the longest chain behind this one
	for i := len(plan.Moves) - 1; i >= 0; i-- {
		for _, k := range after[i] {
			urgency[i] = max(urgency[i], urgency[k]+1)
		}
	}
	var ready []int
	for i := range plan.Moves {
		if waiting[i] == 0 {
			ready = append(ready, i)
		}
	}
	var rounds [][]Move
	at := slices.Clone(p.From)
	for len(ready) > 0 {
		slices.SortFunc(ready, func(a, b int) int {
			if urgency[a] != urgency[b] {
				return urgency[b] - urgency[a]
			}
			return a - b
		})
		var round []Move
		var left, begun []int
		for _, i := range ready {
			m := plan.Moves[i]
			free := !slices.ContainsFunc(round, func(o Move) bool { return p.clash(m, o) || p.clash(o, m) })
			if free && (len(round) == 0 || fits == nil || fits(append(round, m), at)) {
				round, begun = append(round, m), append(begun, i)
			} else {
				left = append(left, i)
			}
		}
		ready = left
		Carry(at, round)
		for _, i := range begun {
			for _, k := range after[i] {
				if waiting[k]--; waiting[k] == 0 {
					ready = append(ready, k)
				}
			}
		}
		rounds = append(rounds, round)
	}
	return rounds
}

// Carry makes the moves of a round on the pixels that have a drop.
func Carry(at []bool, round []Move) {
	for _, m := range round {
		if m.From != Pool {
			at[m.From] = false
		}
		if m.To != Pool {
			at[m.To] = true
		}
	}
}

// order tells which moves have to wait for a move, and for how many each waits: the moves
// that enter a pixel and leave it take turns.
func (p Problem) order(moves []Move) (after [][]int, waiting []int) {
	after, waiting = make([][]int, len(moves)), make([]int, len(moves))
	last := make([]int, p.Rows*p.Cols) // the move that entered or left a pixel last, from 1
	for i, m := range moves {          // by step: a pixel's turns are in order
		for _, v := range [2]int{m.From, m.To} {
			if v == Pool {
				continue
			}
			if k := last[v]; k > 0 {
				after[k-1] = append(after[k-1], i)
				waiting[i]++
			}
			last[v] = i + 1
		}
	}
	return after, waiting
}

// clash tells whether the kick of a move would pull the drop of another.
func (p Problem) clash(m, other Move) bool {
	if m.To == Pool {
		return false // no kick
	}
	near := func(v int) bool {
		if v == Pool {
			return false
		}
		dr, dc := m.To/p.Cols-v/p.Cols, m.To%p.Cols-v%p.Cols
		return dr*dr+dc*dc <= 1
	}
	return near(other.From) || near(other.To)
}
