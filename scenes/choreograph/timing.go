package choreograph

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
	"lodegrid/field/root"
)

// Timing is how a design moves a drop.
type Timing struct {
	Duty      float64          // of the kick, 0…1: level 1 of a planned scene
	HoldLevel quantity.Derived // that holds a drop
	Guard     quantity.Derived // level that keeps a drop beside a kicked pixel
	// Kick is how long a kick lasts, s, by the side that the drop goes to: above, left,
	// right, below.
	Kick   [4]quantity.Derived
	Settle float64 // s, between the end of a kick and the next
	// Back is how long a drop that others have passed on both hands stands before it is kicked, s.
	Back quantity.Derived
	// Part is the level of a pixel on which two drops have become one, by the side on which
	// another is kicked to have one of them; without a value where the tank parts none.
	Part [4]quantity.Derived
	// draws tells, by the same side, whether an empty pixel's kick draws off half of two beside a guard.
	draws   [4]bool
	arrival [4]float64    // s, that a drop takes in the tank, by the same side; 0 where it was not asked
	sign    float64       // of the levels that pull
	of      design.Design // but for what moves no drop
}

// slowest is the longest kick, s.
func (t Timing) slowest() float64 {
	longest := 0.0
	for _, k := range t.Kick {
		longest = max(longest, k.Value)
	}
	return longest
}

// none tells whether no pixel has one beside it to a side: a display of one row or one column.
func (t *Timing) none(side int) bool { return t.Kick[side].Value == 0 }

// Margins are what a move gets over what a rigid drop needs.
type Margins struct {
	Kick   float64 // of the kick's time
	Guard  float64 // of the guard's level
	Settle float64 // s, after every kick
}

// ForLiquid are the margins to begin with: a drop of liquid is dragged out on its way and
// takes longer than a rigid one to arrive whole, and a guarded one is torn where a rigid
// one only leans over. In the tank a guard of 1 tears some, and 1.2 to 3 do alike beside one kick at a
// time (TestGuardsHold); of a tide of 32 drops in 30 s one of 1.35 lost a quarter, one of 2 none.
// A plan's kicks get their times from the tank (InTank); the margin here is for what asks of many designs.
func ForLiquid() Margins { return Margins{Kick: 1.3, Guard: 2, Settle: 0.1} }

// sidesOf are the neighbours of a pixel as package carry counts them.
var sidesOf = [4]struct {
	name     string
	row, col int
}{{"up", -1, 0}, {"left", 0, -1}, {"right", 0, 1}, {"down", 1, 0}}

// NoHopError tells that no kick that the supply can give carries a drop.
type NoHopError struct {
	Side     string
	End      handover.Ending
	Duty     float64
	Row, Col int     // of the pixel that the drop stands on, from 0
	Enough   float64 // duty of a kick, with the same share of it as the hold, that carries drops to every side; 0 where none was found
	Judged   string  // of such kicks, by a whole verdict; "" where none was asked for
}

func (e *NoHopError) Error() string {
	mend := "a stronger coil, a higher supply.voltage, a thinner fluid.height or a smaller fluid.density_difference would help"
	if e.Enough > 0 {
		mend = fmt.Sprintf("with drive.max_duty = \"%s\" a drop that keeps its shape is moved to every side; nothing else was asked of it", quantity.Format(e.Enough, quantity.Ratio))
	}
	mend = cmp.Or(e.Judged, mend)
	end := "it " + string(e.End)
	switch e.End {
	case handover.Stays:
		end = "it stays where it is"
	case handover.NotHeld:
		end = "not even the pixel that it is on holds it"
	case handover.Undecided:
		end = "it was not followed to its end"
	}
	return fmt.Sprintf("no kick moves a drop %s from %s: with %s of the supply %s; %s", e.Side, extent.Place(e.Row, e.Col), quantity.Format(e.Duty, quantity.Ratio), end, mend)
}

// holdDuty is the duty with which a design holds a drop.
func holdDuty(d design.Design) float64 {
	switch {
	case d.Scene.Carry:
		return d.Drive.MaxDuty * d.Scene.HoldLevel
	case d.Drive.Mode == design.DriveKick:
		return d.Drive.HoldDuty
	}
	return d.Drive.MaxDuty * math.Abs(d.Scene.Level)
}

// Weakest is the least duty of a kick over that of the hold, and exact how far its search
// goes.
const (
	Weakest = 1.5
	exact   = 0.005
)

// Switched is a design as its scene is played when pixels are just switched, with what holds
// a drop as full level: itself where it is not carried.
func Switched(d design.Design) design.Design {
	if s := &d.Scene; s.Carry {
		d.Drive.MaxDuty *= s.HoldLevel
		s.HoldLevel, s.Carry = 1, false
	}
	return d
}

// Standing is a design between its planned moves: what holds a drop as full level, and no kicks;
// itself where none are planned.
func Standing(d design.Design) design.Design {
	if d.Scene.HoldLevel == 1 {
		return d
	}
	d.Scene.Carry = true // or a table of such moves
	d = Planned(d, d.Drive.MaxDuty)
	d.Scene.Carry = true
	return Switched(d)
}

// Planned is a design as planned scenes are played with it: level 1 is the kick.
func Planned(d design.Design, duty float64) design.Design {
	d.Scene.HoldLevel = holdDuty(d) / duty
	d.Drive.MaxDuty, d.Scene.Carry = duty, false
	if d.Drive.Mode == design.DriveKick {
		d.Drive.Mode = design.DriveStagger
	}
	return d
}

// Solve works out how a grid moves drops. hop is the time in seconds that the slowest hop
// of a rigid drop may take; the kick is as weak as that allows, or as strong as the supply
// gives where that is not enough. duty, when it is not 0, is the kick's and is not looked for.
func Solve(ctx context.Context, g *grid.Grid, m Margins, hop, duty float64) (Timing, error) {
	d := g.Design
	if d.Drive.Mode == design.DriveScan {
		return Timing{}, fmt.Errorf("planning moves: drive.mode is %q, in which a row holds nothing between its turns; planned moves need a driver for every pixel (direct, stagger or kick)", d.Drive.Mode)
	}
	hold := holdDuty(d)
	if hold <= 0 {
		return Timing{}, fmt.Errorf("planning moves: drops are held with a duty of 0: want more (drive.max_duty, or drive.hold_duty in mode kick)")
	}
	least := min(Weakest*hold, 1)
	if duty != 0 && !(duty >= least && duty <= 1) {
		return Timing{}, fmt.Errorf("planning moves: a kick of %s is too weak or impossible beside a hold of %s: it may be %s…100 %%. Change drive.max_duty, the kick's, or scene.hold_level, what of it holds", quantity.Format(duty, quantity.Ratio), quantity.Format(hold, quantity.Ratio), quantity.Format(least, quantity.Ratio))
	}
	if duty == 0 {
		fast := func(duty float64) (bool, error) {
			times, err := hops(ctx, g, duty, hop)
			for _, p := range times {
				if !p.Taken || p.Time > hop {
					return false, err
				}
			}
			return true, err
		}
		duty = 1
		if ok, err := fast(1); err != nil {
			return Timing{}, err
		} else if ok {
			if ok, err = fast(least); err != nil {
				return Timing{}, err
			} else if ok {
				duty = least
			} else if duty, _, err = root.Edge(ctx, fast, 1, least, exact); err != nil {
				return Timing{}, err
			}
		}
		duty = min(math.Ceil(duty*200)/200, 1) // whole halves of a per cent
	}
	t := Timing{Duty: duty, Settle: m.Settle, sign: 1}
	if g.StateOf(1) != grid.Lit {
		t.sign = -1
	}
	times, err := hops(ctx, g, duty, math.Inf(1))
	if err != nil {
		return Timing{}, err
	}
	h := hold / duty
	t.HoldLevel = quantity.Derived{Value: h, Why: fmt.Sprintf("duty of the hold / duty of the kick = %.4g / %.4g", hold, duty)}
	for side, p := range times {
		if !p.Taken {
			e := &NoHopError{Side: sidesOf[side].name, End: p.End, Duty: duty, Row: p.row, Col: p.col}
			if d.Scene.Carry {
				if e.Enough, err = enough(ctx, g, duty); err != nil {
					return Timing{}, err
				}
			}
			return Timing{}, e
		}
		t.Kick[side] = quantity.Derived{Value: m.Kick * p.Time, Why: fmt.Sprintf("%.3g × time of a rigid drop going %s, slowest of the typical places = %.3g × %.4g s", m.Kick, sidesOf[side].name, m.Kick, p.Time)}
	}
	guard, err := guard(ctx, g, duty)
	if err != nil {
		return Timing{}, err
	}
	t.Guard = quantity.Derived{Value: min(max(m.Guard*guard, h), 1), Why: fmt.Sprintf("%.3g × the least level with which a rigid drop stays beside a kicked pixel, at least the hold = max(%.3g × %.4g, %.4g)", m.Guard, m.Guard, guard, h)}
	return t, nil
}

// enough is the least duty, in whole per cents, of a carried scene's kick that carries rigid
// drops to every side, where one like weak does not; 0 where none does.
func enough(ctx context.Context, g *grid.Grid, weak float64) (float64, error) {
	moves := func(percents float64) (bool, error) {
		d := g.Design
		duty := math.Ceil(percents) / 100
		d.Drive.MaxDuty = duty
		stronger := g.With(d)
		times, err := hops(ctx, stronger, duty, math.Inf(1))
		return !slices.ContainsFunc(times[:], func(h hopTaken) bool { return !h.Taken }), err
	}
	if ok, err := moves(100); err != nil || !ok {
		return 0, err
	}
	percents, _, err := root.Edge(ctx, moves, 100, 100*weak, 1)
	return math.Ceil(percents) / 100, err
}

// hopTaken is the slowest hop to a side, and where.
type hopTaken struct {
	handover.Passage
	row, col int
}

// hops is the slowest hop to each side over the grid's typical places. Those after one
// that fails, or takes longer than enough seconds, are left out.
func hops(ctx context.Context, g *grid.Grid, duty, enough float64) (worst [4]hopTaken, err error) {
	d := Planned(g.Design, duty)
	kicked := g.With(d)
	for side := range worst {
		worst[side].Taken = true
	}
	err = beside(kicked, func(side, from, to int) (bool, error) {
		p, err := handover.Hopped(ctx, kicked, from, to, handover.Hop{Rest: d.Scene.HoldLevel, Kick: 1})
		if err == nil && (p.Time > worst[side].Time || !p.Taken) {
			worst[side] = hopTaken{p, from / d.Grid.Cols, from % d.Grid.Cols}
		}
		return p.Taken && p.Time <= enough, err
	})
	if d.Magnet.Kind == design.MagnetNone {
		worst[left] = worst[right] // mirror images
	}
	return worst, err
}

// left and right are sides.
const left, right = 1, 2

// beside calls f for the neighbours of the grid's typical places until it has enough of
// them. Without magnets the left ones are the right ones' mirror images and left out.
func beside(g *grid.Grid, f func(side, from, to int) (more bool, err error)) error {
	d := g.Design
	for side, s := range sidesOf {
		if side == left && d.Magnet.Kind == design.MagnetNone {
			continue
		}
		for _, place := range places(g) {
			row, col := place[0]+s.row, place[1]+s.col
			if row < 0 || row >= d.Grid.Rows || col < 0 || col >= d.Grid.Cols {
				continue
			}
			if more, err := f(side, d.Pixel(place[0], place[1]), d.Pixel(row, col)); err != nil || !more {
				return err
			}
		}
	}
	return nil
}

// places are pixels whose hops are looked at: where every pixel is like the next, the
// middle one and its neighbours back; with magnets the typical ones.
func places(g *grid.Grid) [][2]int {
	d := g.Design
	if d.Magnet.Kind != design.MagnetNone {
		return hold.TypicalPlaces(g)
	}
	row, col := d.Grid.Rows/2, d.Grid.Cols/2
	if row+1 < d.Grid.Rows && col+1 < d.Grid.Cols && row > 0 && col > 0 {
		return [][2]int{{row, col}}
	}
	return [][2]int{{row, col}, {0, 0}} // no pixel has neighbours on all sides
}

// guard is the least level of a pixel with which it keeps its drop while a neighbour is
// kicked, at the worst side.
func guard(ctx context.Context, g *grid.Grid, duty float64) (float64, error) {
	d := Planned(g.Design, duty)
	kicked := g.With(d)
	worst := 0.0
	err := beside(kicked, func(_, from, to int) (bool, error) {
		between := handover.Between(kicked, from, to)
		stays := func(level float64) (bool, error) {
			p, err := between.Hop(ctx, handover.Hop{Rest: d.Scene.HoldLevel, Stay: level, Kick: 1})
			return p.End == handover.Stays, err
		}
		if ok, err := stays(worst); err != nil || ok {
			return true, err // a side before asks for more
		}
		level, _, err := root.Edge(ctx, stays, 1, worst, exact)
		worst = level
		return true, err
	})
	return worst, err
}
