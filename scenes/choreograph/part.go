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
// that is the weakest tried, in a tank of so few cells per pitch; how long drops come to rest before,
// and draw together after, s. A pixel that was kicked less than cool seconds ago, or half of
// the time between two partings where that is shorter, is not kicked to part drops: twice in a
// row it would get hotter than by any move.
const (
	weaker    = 0.9
	weakest   = 0.4
	partCells = 8
	stand     = 0.5
	atRest    = 4
	together  = 1
	cool      = 30
)

// parting finds the levels that part a drop which two have become and that has come to rest: for each
// side the one with which a kick of the empty pixel beside it parts drops of twice the usual volume,
// and some less and more, most evenly; none where a place stays less than half full, or such a level
// lets a drop go that is not two. A drop that just was put in parts at other levels than one that hangs.
// None is parted up or down: what hangs there lets go by chance (tried; drops beside it fell).
func (t *Timing) parting(ctx context.Context, g *grid.Grid) error {
	fail := func(err error) error { return fmt.Errorf("parting drops: %w", err) }
	d := g.Design
	p, err := small(ctx, g, *t)
	if err != nil {
		return fail(err)
	}
	var rests []*player.Tank
	for _, drops := range []float64{2, 2 - unlike, 2 + unlike, 1 - unlike, 1 + unlike} {
		b, err := t.hung(ctx, p, drops)
		if err != nil {
			return fail(err)
		}
		rests = append(rests, b)
	}
	twos, ones := rests[:3], rests[3:]
	for side := range t.draws {
		if t.none(side) {
			continue
		}
		place, _, err := t.parted(ctx, p, twos[0], side, t.Guard.Value)
		if err != nil {
			return fail(err)
		}
		t.draws[side] = place[1] >= shown.Full
	}
	for _, side := range []int{right, left} {
		if t.none(side) || side == left && d.Magnet.Kind == design.MagnetNone {
			continue // or the mirror image
		}
		var even []float64 // by level: how full the emptier place is, over all drops
		for level := t.Guard.Value; level >= weakest*t.Guard.Value; level *= weaker {
			worst := 1.0
			for _, rest := range twos {
				place, _, err := t.parted(ctx, p, rest, side, level)
				if err != nil {
					return fail(err)
				}
				worst = min(worst, place[0], place[1])
			}
			for _, rest := range ones {
				if worst < shown.Full {
					break
				}
				_, cell, err := t.parted(ctx, p, rest, side, level)
				if err != nil {
					return fail(err)
				}
				if cell[1] > remnant {
					worst = 0 // lets go
				}
			}
			even = append(even, worst)
		}
		best := shown.Full
		for k := 1; k+1 < len(even); k++ { // beside levels that part, too: what only just does is chance
			if worst := min(even[k-1], even[k], even[k+1]); worst >= best {
				best = worst
				t.Part[side] = quantity.Derived{Value: t.Guard.Value * math.Pow(weaker, float64(k)), Why: fmt.Sprintf("level, from the guard down by a tenth at a time, with which a kick going %s parts hung drops of two most evenly by the tank: with it and those next to it either place %.2f full or more; single ones stay", sidesOf[side].name, worst)}
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
	small, err := g.Trial(ctx, d)
	if err != nil {
		return nil, err
	}
	return player.New(small)
}

// PartTime is how long a pixel is kicked to part drops, s: as long as the slowest move takes in the
// tank, since it is not known to which side the drop goes.
func (t *Timing) PartTime() float64 {
	if longest := slices.Max(t.arrival[:]); longest > 0 {
		return longest
	}
	return t.slowest()
}

// hung is a small tank with a drop of some reference drops at rest on the pixel in its middle.
func (t *Timing) hung(ctx context.Context, p *player.Player, drops float64) (*player.Tank, error) {
	b, err := player.NewTank(p.Grid(), partCells, 0)
	if err != nil {
		return nil, err
	}
	if err := b.Add(tryPixels/2, tryPixels/2, drops); err != nil {
		return nil, err
	}
	p.Reset()
	return b, t.pair(ctx, p, b, 0, [3]float64{t.HoldLevel.Value, 0, atRest})
}

// pair moves the fluid of a small tank in levels of the pixel in its middle and the one to a side,
// each for a time in s.
func (t *Timing) pair(ctx context.Context, p *player.Player, b *player.Tank, side int, list ...[3]float64) error {
	const from = tryPixels * tryPixels / 2
	to := from + tryPixels*sidesOf[side].row + sidesOf[side].col
	for _, f := range list {
		levels := make([]float64, tryPixels*tryPixels)
		levels[from], levels[to] = t.sign*f[0], t.sign*f[1]
		if _, err := p.Push(ctx, scenes.Frame{Levels: levels, Duration: f[2]}); err != nil {
			return err
		}
		if err := p.Move(0, f[2], b.Step); err != nil {
			return err
		}
	}
	return nil
}

// parted is what a kick to a side makes of a hung drop, which is left as it is: of the pixel that it
// is on and of the other, which share of its place is full, and how many reference drops it has.
func (t *Timing) parted(ctx context.Context, p *player.Player, rest *player.Tank, side int, level float64) (place, cell [2]float64, err error) {
	b, err := player.NewTank(p.Grid(), partCells, 0)
	if err != nil {
		return place, cell, err
	}
	b.Inherit(rest)
	p.Reset()
	guard, hold := t.Guard.Value, t.HoldLevel.Value
	if err := t.pair(ctx, p, b, side, [3]float64{level, 1, t.PartTime()}, [3]float64{guard, guard, t.Settle}, [3]float64{hold, hold, together}); err != nil {
		return place, cell, err
	}
	const from = tryPixels * tryPixels / 2
	to := from + tryPixels*sidesOf[side].row + sidesOf[side].col
	places, cells := make([]float64, tryPixels*tryPixels), make([]float64, tryPixels*tryPixels)
	b.Cover(places, cells)
	return [2]float64{places[from], places[to]}, [2]float64{cells[from], cells[to]}, nil
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
		if len(kicked) == x.options.Kicks || x.cap > 0 && watts+more > x.cap || slices.ContainsFunc(kicked, func(w int) bool { return x.steps(v, w) < 3 }) {
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
