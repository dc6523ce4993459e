package choreograph

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// How a level that parts drops is looked for: in steps down from the guard to the share of it
// that still keeps a drop that is not two, in a tank of so few cells per pitch; and how long
// drops stand before and after, s. A pixel that was kicked less than cool seconds ago, or half of
// the time between two partings where that is shorter, is not kicked to part drops: twice in a
// row it would get hotter than by any move.
const (
	weaker    = 0.9
	weakest   = 0.55
	partCells = 8
	stand     = 0.5
	cool      = 30
)

// parting finds the levels that part a drop which two have become: for each side the
// strongest, from the guard down, at which a kick of the empty pixel beside it leaves on
// either pixel enough to show and on none enough to count as run together. A drop by itself
// stays where it is at such a level (the tests).
func (t *Timing) parting(ctx context.Context, g *grid.Grid) error {
	d := g.Design
	p, err := small(ctx, g, *t)
	if err != nil {
		return fmt.Errorf("parting drops: %w", err)
	}
	for side := range t.Part {
		if side == left && d.Magnet.Kind == design.MagnetNone {
			continue // the mirror image
		}
		level := t.Guard.Value
		for ; level >= weakest*t.Guard.Value; level *= weaker {
			kept, given, err := t.parted(ctx, p, side, level, 2)
			if err != nil {
				return fmt.Errorf("parting drops: %w", err)
			}
			if min(kept, given) >= shown.Full && max(kept, given) < shown.Crowd {
				t.Part[side] = quantity.Derived{Value: level, Why: fmt.Sprintf("strongest level, from the guard down by a tenth at a time, with which a kick going %s parts a drop of two by the tank: %.2f stays, %.2f goes", sidesOf[side].name, kept, given)}
				break
			}
		}
	}
	if d.Magnet.Kind == design.MagnetNone {
		t.Part[left] = t.Part[right]
	}
	return nil
}

// small is a display of three by three pixels to try kicks on.
func small(ctx context.Context, g *grid.Grid, t Timing) (*player.Player, error) {
	d := Planned(g.Design, t.Duty)
	d.Grid.Rows, d.Grid.Cols, d.Fluid.Start, d.Fluid.Volume = 3, 3, "picture", 0
	d.Drive.MostLit = min(d.Drive.MostLit, d.Pixels())
	small, err := grid.NewWith(ctx, d, g.Pixel, g.Raster.Samples)
	if err != nil {
		return nil, err
	}
	return player.New(small)
}

// PartTime is how long a pixel is kicked to part drops, s: as for a move to the side, since one
// upwards takes longer and heats more.
func (t *Timing) PartTime() float64 { return max(t.Kick[left].Value, t.Kick[right].Value) }

// parted is what of a drop of some reference drops on a pixel stays there, and what goes to
// the pixel beside it on a side, when that is kicked.
func (t *Timing) parted(ctx context.Context, p *player.Player, side int, level, drops float64) (kept, given float64, err error) {
	g := p.Grid()
	tank, err := player.NewTank(g, partCells, 0)
	if err != nil {
		return 0, 0, err
	}
	const from = 4 // the middle of three by three
	to := from + 3*sidesOf[side].row + sidesOf[side].col
	if err := tank.Add(1, 1, drops); err != nil {
		return 0, 0, err
	}
	p.Reset()
	hold := t.HoldLevel.Value
	for _, f := range []struct{ a, b, seconds float64 }{
		{hold, hold, stand}, {level, 1, t.PartTime()}, {t.Guard.Value, t.Guard.Value, t.Settle}, {hold, hold, stand},
	} {
		levels := make([]float64, g.Design.Pixels())
		levels[from], levels[to] = t.sign*f.a, t.sign*f.b
		if _, err := p.Push(ctx, scenes.Frame{Levels: levels, Duration: f.seconds}); err != nil {
			return 0, 0, err
		}
		if err := p.Move(0, f.seconds, tank.Step); err != nil {
			return 0, 0, err
		}
	}
	place, cell := make([]float64, g.Design.Pixels()), make([]float64, g.Design.Pixels())
	tank.Cover(place, cell)
	return cell[from], cell[to], nil
}

// gathering is the parting of drops, one after the other: all at once they would heat the board
// as no move does.
type gathering struct {
	every  float64   // s, between two times that a drop is parted; 0 for never
	parted []float64 // s, when the drop that stands on each pixel was parted last
	kicked []float64 // s, when each pixel's last kick was over
}

// gathers begins the gathering. Each time that the scene is played every drop is parted equally
// often, so that none is left out where the next time begins anew; they take turns.
func (x *stage) gathers() {
	x.gather = gathering{parted: make([]float64, len(x.at)), kicked: make([]float64, len(x.at))}
	if x.options.Gather > 0 {
		times := math.Ceil(x.length / x.options.Gather)
		x.gather.every, x.plan.Due = x.length/times, x.plan.Drops*int(times)
	}
	turn := x.options.shift
	for v, at := range x.at {
		if at {
			x.gather.parted[v] = x.time + (turn-1)*x.gather.every
			if turn += 1 / float64(x.plan.Drops); turn >= 1 {
				turn--
			}
		}
	}
}

// pause lets the drops stand until a time, and parts in it, as far as there is time, those
// that have run together.
func (x *stage) pause(until float64) error {
	for x.gather.every > 0 {
		kicked, next := x.apart()
		if max(x.time, next)+x.timing.PartTime()+x.timing.Settle > until {
			break
		}
		if len(kicked) == 0 {
			x.rest(next - x.time)
			continue
		}
		if err := x.part(kicked); err != nil {
			return err
		}
		x.plan.Stops = append(x.plan.Stops, Stop{Time: x.time, At: slices.Clone(x.at), Parted: kicked})
	}
	x.rest(until - x.time)
	return nil
}

// beside are the sides to which drops on pixels beside one would go to it, and those pixels.
func (x *stage) beside(v int) (sides, pixels []int) {
	d := x.grid.Design.Grid
	for side, s := range sidesOf {
		row, col := v/d.Cols-s.row, v%d.Cols-s.col
		if w := row*d.Cols + col; row >= 0 && row < d.Rows && col >= 0 && col < d.Cols && x.at[w] {
			sides, pixels = append(sides, side), append(pixels, w)
		}
	}
	return sides, pixels
}

// steps is how many moves lie between two pixels.
func (x *stage) steps(v, w int) int {
	cols := x.grid.Design.Grid.Cols
	row, col := v/cols-w/cols, v%cols-w%cols
	return max(row, -row) + max(col, -col)
}

// apart are pixels that can be kicked at once to part drops, none of which has a pixel beside it
// in common with another, those first that wait longest; where there is none, next is when one
// can be, s.
func (x *stage) apart() (kicked []int, next float64) {
	since := min(cool, x.gather.every/2)
	due := func(v int) float64 { return max(x.gather.parted[v]+x.gather.every, x.gather.kicked[v]+since) }
	var waiting []int
	for v, at := range x.at {
		if sides, _ := x.beside(v); at && slices.ContainsFunc(sides, func(side int) bool { return x.timing.Part[side].Value > 0 }) {
			waiting = append(waiting, v)
		}
	}
	slices.SortStableFunc(waiting, func(v, w int) int { return cmp.Compare(due(v), due(w)) })
	next = math.Inf(1)
	watts := float64(x.plan.Drops) * x.watts[2]
	for _, v := range waiting {
		if due(v) > x.time+instant {
			next = due(v)
			break
		}
		sides, _ := x.beside(v)
		more := x.watts[0] - x.watts[2] + float64(len(sides))*(x.watts[1]-x.watts[2])
		if len(kicked) == x.options.Kicks || x.plan.Cap > 0 && watts+more > x.plan.Cap || slices.ContainsFunc(kicked, func(w int) bool { return x.steps(v, w) < 3 }) {
			continue
		}
		watts += more
		kicked = append(kicked, v)
	}
	if len(kicked) > 0 {
		next = x.time
	}
	return kicked, next
}

// part kicks pixels that have a drop, or have lost it to one beside them.
func (x *stage) part(kicked []int) error {
	t := x.timing
	kick, after := x.held(), x.held()
	var levels [4][]int
	for _, v := range kicked {
		kick[v], after[v] = t.sign, t.sign*t.Guard.Value
		sides, pixels := x.beside(v)
		for k, side := range sides {
			levels[side] = append(levels[side], pixels[k])
			after[pixels[k]] = t.sign * t.Guard.Value
		}
	}
	if err := x.secure.hold(kick, t.sign); err != nil {
		return err
	}
	for side, pixels := range levels {
		for _, v := range pixels {
			kick[v] = t.sign * t.Part[side].Value
			if t.Part[side].Value == 0 {
				kick[v] = t.sign * t.Guard.Value
			}
		}
	}
	x.frame(kick, t.PartTime())
	for _, v := range kicked {
		x.gather.parted[v], x.gather.kicked[v] = x.time, x.time
	}
	x.frame(after, t.Settle)
	return nil
}
