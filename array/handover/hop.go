package handover

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/grid"
)

// Hop is what a kick does: the levels of full current that the pixels of a hand-over are
// driven with.
type Hop struct {
	Rest float64 // at which the drop has come to rest on A before
	Stay float64 // of A while B is kicked: 0 lets the drop go, a guard keeps it
	Kick float64 // of B
}

// Hopped is the passage of a drop from a pixel to its neighbour, or with a guard on the
// first the lack of one: a kick pulls every drop beside it, not only the one that is
// wanted. It panics when the two are not neighbours.
func Hopped(ctx context.Context, g *grid.Grid, from, to int, h Hop) (Passage, error) {
	return Between(g, from, to).Hop(ctx, h)
}

// Neighbours are two pixels between which several hops are looked at: their field is worked
// out once.
type Neighbours struct{ c *transfer }

// Between is a pixel and its neighbour; see Hopped.
func Between(g *grid.Grid, from, to int) Neighbours {
	return Neighbours{newMover(g).transfer(newEdge(g, from, to), g.FullLevel(), g.FullLevel())}
}

// Hop is Hopped between them.
func (n Neighbours) Hop(ctx context.Context, h Hop) (p Passage, err error) {
	c, g := n.c, n.c.grid
	sign := g.FullLevel()
	stay, kick := g.At(sign*h.Stay), g.At(sign*h.Kick)
	c.left = mostSteps
	c.a, c.b = c.rest(c.from, sign*h.Rest), c.rest(c.to, sign*h.Kick)
	p = c.way(c.lit(stay, kick))
	p.Time = math.Inf(1)
	switch {
	case !c.a.held:
		p.End = NotHeld
	case !c.b.held:
		p.End = Lost
	default:
		if p.End, p.Time, err = c.run(ctx, func(float64) (*landscape, bool) { return c.lit(stay, kick), true }); err != nil {
			return Passage{}, fmt.Errorf("computing a hop from %s to %s: %w", c.place(c.from), c.place(c.to), err)
		}
	}
	p.Taken = p.End == Arrived
	return p, nil
}
