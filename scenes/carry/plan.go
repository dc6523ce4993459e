package carry

import (
	"cmp"
	"context"
	"fmt"
	"math/bits"
	"slices"

	"lodegrid/array/extent"
	"lodegrid/field/aside"
)

// Solve plans a picture change: as few steps as drops of one colour a step can do it in,
// which is the least number of steps there is or one more, and among such plans one of
// fewest moves. Parts of the grid that blocked pixels keep apart are planned each for
// itself. It fails on a problem that makes no sense, and when the context is done.
func Solve(ctx context.Context, p Problem) (Plan, error) {
	if err := p.check(); err != nil {
		return Plan{}, err
	}
	for v, drop := range p.From {
		if drop && p.blocked(v) {
			return Plan{}, fmt.Errorf("planning moves: a drop is on %s, which is blocked: it cannot be moved, and must not be counted", extent.PlaceOf(v, p.Cols))
		}
	}
	next := p.neighbours()
	part, count := p.parts(next)
	var plan Plan
	for v, want := range p.To {
		if want && p.blocked(v) {
			plan.Bare = append(plan.Bare, v)
		}
	}
	for k := range count {
		one := p.part(part, k)
		if slices.Equal(one.From, one.To) {
			continue
		}
		own, err := one.solve(ctx, next)
		if err != nil {
			return Plan{}, fmt.Errorf("planning moves: %w", err)
		}
		plan.Steps = max(plan.Steps, own.Steps)
		plan.Moves = append(plan.Moves, own.Moves...)
		plan.Bare = append(plan.Bare, own.Bare...)
	}
	slices.SortFunc(plan.Moves, func(a, b Move) int {
		return cmp.Or(cmp.Compare(a.Step, b.Step), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	slices.Sort(plan.Bare)
	return plan, nil
}

// part is the problem of one part of the grid.
func (p Problem) part(part []int, k int) Problem {
	one := p
	one.From, one.To = make([]bool, len(part)), make([]bool, len(part))
	for v, of := range part {
		if of == k {
			one.From[v], one.To[v] = p.From[v], p.To[v]
		}
	}
	one.Pool = p.Pool && slices.Contains(part[len(part)-p.Cols:], k)
	one.Blocked = make([]bool, len(part))
	for v, of := range part {
		one.Blocked[v] = of != k
	}
	return one
}

// solve plans a problem whose pixels are all joined, but for those that are blocked.
func (p Problem) solve(ctx context.Context, next []int32) (Plan, error) {
	drops, wanted := tally(p.From), tally(p.To)
	if drops == 0 && !p.Pool {
		return Plan{Bare: listed(p.To)}, nil
	}
	flows := [2]*net{p.net(next, 0), p.net(next, 1)}
	all := drops
	if p.Pool {
		all += wanted
	}
	for steps := p.least(flows[0], drops, wanted); ; steps++ {
		var cheap [2]*net // nil where so many steps do not do
		// The two phases have nothing in common and are worked out side by side.
		err := aside.Each(len(flows), func(phase int) error {
			n := flows[phase]
			n.grow(steps)
			if err := n.augment(ctx); err != nil || n.sent < all {
				return err
			}
			cheap[phase] = p.net(next, phase)
			cheap[phase].grow(steps)
			return cheap[phase].cheapest(ctx)
		})
		if err != nil {
			return Plan{}, err
		}
		best, moves := cheap[0], []Move(nil)
		if best != nil {
			moves = best.moves()
		}
		if other := cheap[1]; other != nil {
			if m := other.moves(); best == nil || len(m) < len(moves) {
				best, moves = other, m
			}
		}
		if best == nil {
			continue
		}
		plan := Plan{Steps: steps, Moves: moves}
		for v, want := range p.To {
			if want && !best.has(best.last(int32(v)), arrives) {
				plan.Bare = append(plan.Bare, v)
			}
		}
		return plan, nil
	}
}

// net is the empty net of a problem whose pixels are all joined.
func (p Problem) net(next []int32, phase int) *net {
	n := &net{next: next, from: p.From, to: p.To, colour: make([]uint8, len(p.From)), bits: bits.Len(uint(len(p.From) - 1))}
	for v := range n.colour {
		n.colour[v] = uint8((v/p.Cols + v%p.Cols + phase) % 2)
	}
	drops, wanted := tally(p.From), tally(p.To)
	switch {
	case p.Pool:
		for v := (p.Rows - 1) * p.Cols; v < p.Rows*p.Cols; v++ {
			if !p.blocked(v) {
				n.bottom = append(n.bottom, int32(v))
			}
		}
		n.springLeft, n.drainLeft = int32(wanted), int32(drops)
	case drops > wanted:
		n.park = true
		n.drainLeft = int32(drops - wanted)
	}
	stay := p.To
	if n.park {
		stay = make([]bool, len(p.To))
		for v := range stay {
			stay[v] = !p.blocked(v)
		}
	}
	n.near, n.far = p.distances(next, p.From, n.bottom), p.distances(next, stay, n.bottom)
	return n
}

// distances is every pixel's least number of steps from a set, or from below the bottom.
func (p Problem) distances(next []int32, set []bool, bottom []int32) []int32 {
	out := make([]int32, len(set))
	var now, then []int32
	for v, in := range set {
		out[v] = unseen
		if in {
			out[v] = 0
			now = append(now, int32(v))
		}
	}
	for d := int32(1); len(now) > 0 || d == 1; d++ {
		then = then[:0]
		reach := func(w int32) {
			if w >= 0 && out[w] == unseen {
				out[w] = d
				then = append(then, w)
			}
		}
		for _, v := range now {
			for _, w := range next[sides*v : sides*v+sides] {
				reach(w)
			}
		}
		if d == 1 {
			for _, v := range bottom {
				reach(v)
			}
		}
		now, then = then, now
	}
	return out
}

// least is a number of steps that is needed: every drop has a way to go, and where drops
// are enough so has every wanted pixel.
func (p Problem) least(n *net, drops, wanted int) int {
	least := int32(0)
	for v := range p.From {
		if p.From[v] {
			least = max(least, n.far[v])
		}
		if p.To[v] && (drops >= wanted || p.Pool) {
			least = max(least, n.near[v])
		}
	}
	return int(least)
}

// moves are those of the drops that the net carries.
func (n *net) moves() (list []Move) {
	follow := func(node int32) {
		for {
			v, t := n.pixel(node), n.time(node)
			switch {
			case n.has(node, arrives):
				return
			case n.has(node, drained):
				if !n.park {
					list = append(list, Move{int(t), int(v), Pool})
				}
				return
			}
			way := waits
			for !n.has(node, way) {
				way++
			}
			node = n.ahead(node, way)
			if way != waits {
				list = append(list, Move{int(t), int(v), int(n.pixel(node))})
			}
		}
	}
	for v := range n.cells() {
		if n.has(v, begins) {
			follow(v)
		}
	}
	for _, node := range n.springs {
		if n.has(node, sprung) {
			list = append(list, Move{int(n.time(node)) - 1, Pool, int(n.pixel(node))})
			follow(node)
		}
	}
	return list
}

func tally(set []bool) (n int) {
	for _, in := range set {
		if in {
			n++
		}
	}
	return n
}

func listed(set []bool) (list []int) {
	for v, in := range set {
		if in {
			list = append(list, v)
		}
	}
	return list
}
