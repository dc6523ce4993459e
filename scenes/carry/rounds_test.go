package carry

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Rounds carry out all moves of a plan, each drop and pixel in its order, and no kick
// pulls on another drop that moves at the same instant.
func TestRoundsKeepDropsApart(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		rows, cols := 1+r.IntN(9), 1+r.IntN(9)
		n := rows * cols
		p := random(r, rows, cols, r.IntN(n+1), r.IntN(n+1), 0)
		p.Pool = r.IntN(2) == 0
		plan := solved(t, p)
		most := r.IntN(5)
		fits := func(round []Move, at []bool) bool { return most == 0 || len(round) <= most }
		at := slices.Clone(p.From)
		moved := 0
		for k, round := range p.Rounds(plan, fits) {
			if most > 0 && len(round) > most {
				t.Fatalf("%d moves at once, %d are allowed", len(round), most)
			}
			was := slices.Clone(at)
			moved += len(round)
			for i, m := range round {
				if m.To != Pool && was[m.To] || m.From != Pool && !was[m.From] {
					t.Fatalf("round %d: %v with drops on %v", k, m, listed(was))
				}
				for j, o := range round {
					if i == j || m.To == Pool {
						continue
					}
					for _, v := range []int{o.From, o.To} {
						if v == Pool {
							continue
						}
						if dr, dc := v/cols-m.To/cols, v%cols-m.To%cols; dr*dr+dc*dc <= 1 {
							t.Fatalf("round %d: the kick of %v pulls the drop of %v", k, m, o)
						}
					}
				}
			}
			Carry(at, round)
		}
		if moved != len(plan.Moves) {
			t.Fatalf("%d of %d moves are carried out", moved, len(plan.Moves))
		}
		for v, want := range p.To {
			if want && !at[v] && !slices.Contains(plan.Bare, v) {
				t.Fatalf("pixel %d is not reached", v)
			}
		}
	}
}
