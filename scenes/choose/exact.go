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
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
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

	of     Candidate
	quick  Figures
	played scenes.Scene // with the moves that were planned
}

// Judge works out a design in full with its pictures, whose moves are planned where the
// design has them carried, and a price list: nil costs leave it without a price. move is the
// time in s that a hand-over may take.
func Judge(ctx context.Context, d design.Design, pictures scenes.Scene, move float64, costs []Item) (*Choice, error) {
	g, err := grid.New(ctx, d, 0)
	if err != nil {
		return nil, err
	}
	return timed(ctx, g, pictures, move, costs)
}

// timed is Judge on the design's grid.
func timed(ctx context.Context, g *grid.Grid, pictures scenes.Scene, move float64, costs []Item) (*Choice, error) {
	time, err := slowest(ctx, g, handover.Kick)
	if err != nil {
		return nil, err
	}
	return judge(ctx, g, pictures, time, move, costs)
}

// judge is Judge on the design's grid, whose drops are handed over in a time in s.
func judge(ctx context.Context, g *grid.Grid, pictures scenes.Scene, time, move float64, costs []Item) (*Choice, error) {
	d := g.Design
	c := &Choice{Design: d, Cost: costs, Figures: Figures{Time: time}}
	var err error
	c.Grid = g.With(choreograph.Switched(d))
	c.Force = hold.LoneForce(c.Grid, 1)
	held := c.Grid.Pixel.Held(c.Grid.Design)
	pull := hold.PullOf(c.Grid)
	c.Heat, c.Pull, c.Field = held.Copper.Value, pull.Whole.Value, c.Grid.Pixel.Axis(d.Fluid.Height)[0].Total
	p, err := player.New(g)
	if err != nil {
		return nil, err
	}
	var wanted *scenes.Scene
	if d.Scene.Carry {
		r, err := choreograph.Carry(ctx, p, pictures, choreograph.Aim{Options: choreograph.Defaults(), Hop: choreograph.UsualHop})
		if err != nil {
			return nil, unplanned(ctx, err)
		}
		pictures, wanted = r.Plan.Scene, &r.Plan.Wanted
	}
	c.played = pictures
	if c.Verdict, err = verdict.Look(ctx, p, pictures, wanted); err != nil {
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

// slowest is the time in s in which a scheme, or a planned move, hands a drop over in the
// grid's middle, sideways and up; +Inf when one of them does not.
func slowest(ctx context.Context, g *grid.Grid, scheme handover.Scheme) (float64, error) {
	if s := g.Design.Scene; s.Carry {
		return beside(g, func(from, to int) (handover.Passage, error) {
			return handover.Hopped(ctx, g, from, to, handover.Hop{Rest: s.HoldLevel, Kick: 1})
		})
	}
	return beside(g, func(from, to int) (handover.Passage, error) { return handover.One(ctx, g, from, to, scheme) })
}

// beside is the slower of a hand-over sideways and one up in the grid's middle, s.
func beside(g *grid.Grid, hand func(from, to int) (handover.Passage, error)) (float64, error) {
	d := g.Design.Grid
	from, most := g.Design.Pixel(d.Rows/2, d.Cols/2), 0.0
	for _, to := range [2][2]int{{d.Rows/2 - 1, d.Cols / 2}, {d.Rows / 2, d.Cols/2 - 1}} { // up first, which fails more often
		if to[0] < 0 || to[1] < 0 {
			continue
		}
		if first, _ := g.Design.String(from); g.Design.Pixel(to[0], to[1]) >= first && to[0] == d.Rows/2 {
			continue // they light together, so that none is handed over
		}
		p, err := hand(from, g.Design.Pixel(to[0], to[1]))
		if err != nil {
			return 0, err
		}
		if most = max(most, p.Time); !p.Taken {
			return math.Inf(1), nil
		}
	}
	return most, nil
}

// work works a candidate out in full, with the next supply on offer where the quick one does
// not do.
func (q *quick) work(ctx context.Context, s scenes.Scene, w *made, c Candidate, f Figures, move float64) (*Choice, error) {
	for watts := f.Power; ; {
		supply, ok := q.offer.supply(c.volts, watts, q.design.UsableShare())
		if !ok {
			return nil, &unfit{fmt.Errorf("no supply of %g V gives %g W", c.volts, watts)}
		}
		start := q.design
		start.Board.Rules = w.rules
		changes := c.changes(start, w.coil.Spec().Turns, supply)
		d, err := start.With(changes...)
		if err != nil {
			return nil, err
		}
		g, err := grid.New(ctx, d, 0)
		if err != nil {
			return nil, err
		}
		if q.carry {
			carried, err := kicked(ctx, g, q.move)
			if err != nil {
				return nil, err
			}
			changes = append(changes, carried...)
			if d, err = d.With(carried...); err != nil {
				return nil, err
			}
			if g, err = grid.New(ctx, d, 0); err != nil { // its steel at the kick's current, as the file's
				return nil, err
			}
		}
		x, err := timed(ctx, g, s, move, q.offer.cost(d, c.board, c.copper, w.coil, supply))
		if err != nil {
			return nil, err
		}
		x.Changes, x.of, x.quick = changes, c, f
		if x.Misses(verdict.Power) && x.Power > watts {
			if _, ok := q.offer.supply(c.volts, x.Power, d.UsableShare()); ok {
				watts = x.Power
				continue
			}
		}
		return x, nil
	}
}

// kicked solves for the kick of a grid whose scene is to be carried, with hops of a time in
// s, and tells what makes it so.
func kicked(ctx context.Context, g *grid.Grid, hop float64) ([]design.Change, error) {
	t, err := choreograph.Solve(ctx, g, choreograph.ForLiquid(), hop, 0)
	if err != nil {
		return nil, unplanned(ctx, err)
	}
	p := choreograph.Planned(g.Design, t.Duty)
	return []design.Change{
		{Key: "drive.mode", Value: string(p.Drive.Mode)}, {Key: "drive.max_duty", Value: quantity.Exact(t.Duty, quantity.Ratio)},
		{Key: "scene.hold_level", Value: fmt.Sprint(p.Scene.HoldLevel)}, {Key: "scene.carry", Value: "true"},
	}, nil
}

// unfit is why a candidate cannot be, found when it was worked out.
type unfit struct{ err error }

func (e *unfit) Error() string { return e.err.Error() }
func (e *unfit) Unwrap() error { return e.err }

// unplanned is the error of moves that cannot be planned, but for that of a context.
func unplanned(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return err
	}
	return &unfit{err}
}

// refused tells a candidate that cannot be from work that failed.
func refused(ctx context.Context, err error) bool {
	var list design.Errors
	var not *unfit
	return ctx.Err() == nil && (errors.As(err, &list) || errors.As(err, &not))
}
