package carry

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

// run carries out a plan and fails on the first move that breaks the rule.
func run(t *testing.T, p Problem, plan Plan) {
	t.Helper()
	at := slices.Clone(p.From)
	k := 0
	lifted, sunk := 0, 0
	for step := range plan.Steps {
		used := map[int]bool{}
		was := slices.Clone(at)
		for ; k < len(plan.Moves) && plan.Moves[k].Step == step; k++ {
			m := plan.Moves[k]
			for _, v := range []int{m.From, m.To} {
				if v != Pool && used[v] {
					t.Fatalf("step %d: two moves share pixel %d", step, v)
				}
				used[v] = true
				if v == Pool && (!p.Pool || max(m.From, m.To) < (p.Rows-1)*p.Cols) {
					t.Fatalf("step %d: %v has no pool there", step, m)
				}
				if v != Pool && p.blocked(v) {
					t.Fatalf("step %d: %v over a blocked pixel", step, m)
				}
			}
			if m.From != Pool && m.To != Pool {
				if dr, dc := m.From/p.Cols-m.To/p.Cols, m.From%p.Cols-m.To%p.Cols; dr*dr+dc*dc != 1 {
					t.Fatalf("step %d: %v is no move to a neighbour", step, m)
				}
			}
			if m.From == Pool {
				lifted++
			} else if !was[m.From] {
				t.Fatalf("step %d: no drop for %v", step, m)
			} else {
				at[m.From] = false
			}
			if m.To == Pool {
				sunk++
			} else if was[m.To] {
				t.Fatalf("step %d: %v to a pixel that is not empty", step, m)
			} else {
				at[m.To] = true
			}
		}
	}
	if k != len(plan.Moves) {
		t.Fatalf("%d moves after the last of %d steps", len(plan.Moves)-k, plan.Steps)
	}
	for v, want := range p.To {
		if bare := slices.Contains(plan.Bare, v); want && at[v] == bare {
			t.Fatalf("pixel %d: wanted, drop there %v, said to be bare %v", v, at[v], bare)
		}
	}
	if got, want := tally(at), tally(p.From)+lifted-sunk; got != want {
		t.Fatalf("%d drops at the end, want %d", got, want)
	}
	if p.Pool && p.Blocked == nil && !slices.Equal(at, p.To) {
		t.Fatal("with a pool some drop is where it is not wanted")
	}
}

// fewestSteps finds the least number of steps by looking at every set of pixels that
// drops can stand on, without any colouring; fewestMoves the same for moves with steps of
// one colour, or −1 when it cannot be done in so many.
func fewestSteps(p Problem) int {
	start, goal := set(p.From), set(p.To)
	next := p.neighbours()
	seen := map[uint32]bool{start: true}
	now := []uint32{start}
	for steps := 0; ; steps++ {
		var then []uint32
		for _, s := range now {
			if s == goal {
				return steps
			}
			var each func(left, used, result uint32)
			each = func(left, used, result uint32) {
				if left == 0 {
					if !seen[result] {
						seen[result] = true
						then = append(then, result)
					}
					return
				}
				v := bits.TrailingZeros32(left)
				left &^= 1 << v
				each(left, used, result)
				for _, w := range next[sides*v : sides*v+sides] {
					if w >= 0 && s&(1<<w) == 0 && used&(1<<w) == 0 {
						each(left, used|1<<w, result&^(1<<v)|1<<w)
					}
				}
			}
			each(s, 0, s)
		}
		now = then
	}
}

func fewestMoves(p Problem, steps int) int {
	next := p.neighbours()
	best := -1
	for phase := range 2 {
		cost := map[uint32]int{set(p.From): 0}
		for step := range steps {
			then := map[uint32]int{}
			for s, c := range cost {
				var each func(left, result uint32, moves int)
				each = func(left, result uint32, moves int) {
					if left == 0 {
						if old, known := then[result]; !known || moves < old {
							then[result] = moves
						}
						return
					}
					v := bits.TrailingZeros32(left)
					left &^= 1 << v
					each(left, result, moves)
					if (v/p.Cols+v%p.Cols+phase+step)%2 != 0 {
						return
					}
					for _, w := range next[sides*v : sides*v+sides] {
						if w >= 0 && result&(1<<w) == 0 {
							each(left, result&^(1<<v)|1<<w, moves+1)
						}
					}
				}
				each(s, s, c)
			}
			cost = then
		}
		if c, ok := cost[set(p.To)]; ok && (best < 0 || c < best) {
			best = c
		}
	}
	return best
}

func set(list []bool) (s uint32) {
	for v, in := range list {
		if in {
			s |= 1 << v
		}
	}
	return s
}

// random is a problem with so many drops; blocked is the share of pixels that are.
func random(r *rand.Rand, rows, cols, drops, wanted int, blocked float64) Problem {
	p := Problem{Rows: rows, Cols: cols, From: make([]bool, rows*cols), To: make([]bool, rows*cols)}
	if blocked > 0 {
		p.Blocked = make([]bool, rows*cols)
		for v := range p.Blocked {
			p.Blocked[v] = r.Float64() < blocked
		}
	}
	scatter := func(set []bool, n int) {
		for _, v := range r.Perm(len(set)) {
			if n > 0 && !p.blocked(v) {
				set[v] = true
				n--
			}
		}
	}
	scatter(p.From, drops)
	scatter(p.To, wanted)
	return p
}

func solved(t *testing.T, p Problem) Plan {
	t.Helper()
	plan, err := Solve(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	run(t, p, plan)
	return plan
}

// The steps are the fewest there are, found by looking at everything, or one more; the
// moves are the fewest in so many steps of one colour each.
func TestLeastStepsByBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	longer, cases := 0, 0
	for _, c := range []struct{ rows, cols, drops int }{{1, 6, 2}, {1, 7, 3}, {2, 3, 3}, {2, 4, 4}, {3, 3, 4}, {3, 3, 7}, {3, 4, 4}, {3, 4, 6}, {4, 4, 3}} {
		for range 120 {
			p := random(r, c.rows, c.cols, c.drops, c.drops, 0)
			plan := solved(t, p)
			least := fewestSteps(p)
			switch cases++; plan.Steps - least {
			case 0:
			case 1:
				longer++
			default:
				t.Fatalf("%d × %d, %v to %v: %d steps, %d are enough", c.rows, c.cols, p.From, p.To, plan.Steps, least)
			}
			if c.rows*c.cols > 9 {
				continue // the search for fewest moves grows too fast
			}
			if moves := fewestMoves(p, plan.Steps); moves != len(plan.Moves) {
				t.Fatalf("%d × %d, %v to %v: %d moves in %d steps, %d are the fewest", c.rows, c.cols, p.From, p.To, len(plan.Moves), plan.Steps, moves)
			}
			if plan.Steps > 0 && fewestMoves(p, plan.Steps-1) >= 0 {
				t.Fatalf("%d × %d, %v to %v: %d steps, one less is possible", c.rows, c.cols, p.From, p.To, plan.Steps)
			}
		}
	}
	if cases < 1000 || longer == 0 || longer > cases/3 {
		t.Errorf("%d of %d plans are a step longer than the shortest: not what parity does", longer, cases)
	}
	t.Logf("%d of %d plans are one step longer than the shortest", longer, cases)
}

// Whatever the numbers of drops, the pool and the blocked pixels, the plan keeps the rule
// and leaves bare no more than it must.
func TestPlansKeepTheRule(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 400 {
		rows, cols := 1+r.IntN(8), 1+r.IntN(8)
		n := rows * cols
		p := random(r, rows, cols, r.IntN(n+1), r.IntN(n+1), float64(r.IntN(3))*0.15)
		p.Pool = r.IntN(2) == 0
		plan := solved(t, p)
		again := solved(t, p)
		if fmt.Sprint(plan) != fmt.Sprint(again) {
			t.Fatal("two plans for one problem")
		}
		part, count := p.parts(p.neighbours())
		for k := range count {
			one := p.part(part, k)
			bare := 0
			for _, v := range plan.Bare {
				if part[v] == k {
					bare++
				}
			}
			want := max(tally(one.To)-tally(one.From), 0)
			if one.Pool {
				want = 0
			}
			if bare != want {
				t.Fatalf("%d pixels are bare for %d drops on %d wanted pixels, pool %v", bare, tally(one.From), tally(one.To), one.Pool)
			}
		}
	}
}

// A body that is shifted by one pixel takes as many steps as it is deep: its last drop
// waits until all others have left in turn.
func TestBodyTakesAsManyStepsAsItIsDeep(t *testing.T) {
	for depth := 1; depth <= 6; depth++ {
		p := Problem{Rows: 3, Cols: 10, From: make([]bool, 30), To: make([]bool, 30)}
		for row := range 3 {
			for k := range depth {
				p.From[10*row+k], p.To[10*row+k+1] = true, true
			}
		}
		plan := solved(t, p)
		if plan.Steps > depth+1 {
			t.Errorf("depth %d: %d steps", depth, plan.Steps)
		}
	}
}
