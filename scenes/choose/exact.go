package choose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

// Choice is a design worked out in full.
type Choice struct {
	Figures
	Design  design.Design
	Changes []design.Change // from the design that was started from
	Cost    []Item
	Grid    *grid.Grid
	Verdict *verdict.Verdict
	Pull    float64 // N, towards the board, of one pixel alone
	Field   float64 // T on the axis at the fluid
	// Broken are the limits that keep it from being chosen: those of the goal. Others that
	// the scene breaks stand in the verdict.
	Broken []Limit

	of    Candidate
	quick Figures
}

// Judge works out a design in full with a scene and a price list: nil costs leave it without
// a price. move is the time in s that a hand-over may take.
func Judge(ctx context.Context, d design.Design, s scenes.Scene, move float64, costs []Item) (*Choice, error) {
	c := &Choice{Design: d, Cost: costs}
	var err error
	if c.Grid, err = grid.New(ctx, d, 0); err != nil {
		return nil, err
	}
	g := c.Grid
	if c.Force, err = hold.LoneForce(g, 1); err != nil {
		return nil, err
	}
	held, err := g.Pixel.Held(d)
	if err != nil {
		return nil, err
	}
	pull := hold.PullOf(g)
	c.Heat, c.Pull, c.Field = held.Copper.Value, pull.Whole.Value, g.Pixel.Axis(d.Fluid.Height)[0].Total
	if c.Time, err = slowest(ctx, g); err != nil {
		return nil, err
	}
	p, err := player.New(g)
	if err != nil {
		return nil, err
	}
	if c.Verdict, err = verdict.Look(ctx, p, s); err != nil {
		return nil, err
	}
	z := c.Verdict.Summary
	c.Ratio, c.Release, c.Turn, c.Touch, c.Ways = z.LeastHold, z.GreatestFalseOn, z.Hottest, z.Touch, c.Verdict.Wiring.Fits()
	if c.Verdict.Unrest != nil {
		c.Turn, c.Touch = math.Inf(1), math.Inf(1)
	} else {
		c.Power = c.Verdict.Supply.Load.Value * d.UsablePower()
	}
	c.Price = total(costs)
	for _, p := range c.Verdict.Problems {
		if p.Limit != verdict.Shown && p.Limit != verdict.Stray {
			c.Broken = append(c.Broken, Limit(p.Limit))
		}
	}
	if c.Time > move {
		c.Broken = append(c.Broken, Move)
	}
	return c, nil
}

// Misses tells whether a design breaks a limit of the goal.
func (c *Choice) Misses(l Limit) bool { return slices.Contains(c.Broken, l) }

// slowest is the time in s in which a kick hands a drop over in the grid's middle, sideways
// and up; +Inf when one of them does not.
func slowest(ctx context.Context, g *grid.Grid) (float64, error) {
	d := g.Design.Grid
	from, most := g.Design.Pixel(d.Rows/2, d.Cols/2), 0.0
	for _, to := range [2][2]int{{d.Rows / 2, d.Cols/2 - 1}, {d.Rows/2 - 1, d.Cols / 2}} {
		if to[0] < 0 || to[1] < 0 {
			continue
		}
		p, err := handover.One(ctx, g, from, g.Design.Pixel(to[0], to[1]), handover.Kick)
		if err != nil {
			return 0, err
		}
		if most = max(most, p.Time); !p.Taken {
			return math.Inf(1), nil
		}
	}
	return most, nil
}

// work works a candidate out in full; nil and its fault when the design file refuses it.
func (q *quick) work(ctx context.Context, s scenes.Scene, w *made, c Candidate, f Figures, move float64) (*Choice, error) {
	supply, ok := q.offer.supply(c.volts, f.Power, q.design.UsableShare())
	if !ok {
		return nil, fmt.Errorf("no supply of %g V gives %g W", c.volts, f.Power)
	}
	changes := c.changes(q.design, w.coil.Spec().Turns, supply)
	d, err := q.design.With(changes...)
	if err != nil {
		return nil, err
	}
	x, err := Judge(ctx, d, s, move, q.offer.cost(d, c.board, c.copper, w.coil, supply))
	if err != nil {
		return nil, err
	}
	x.Changes, x.of, x.quick = changes, c, f
	return x, nil
}

// refused tells a candidate that cannot be from work that failed.
func refused(ctx context.Context, err error) bool {
	var list design.Errors
	return ctx.Err() == nil && errors.As(err, &list)
}
