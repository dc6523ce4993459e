package choreograph

import (
	"context"
	"errors"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/heat"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// How a kick's time is looked for in a tank of so few cells per pitch, at steps of a part of the
// time to begin with, up to so many times it: with drops of their usual volume and this much less
// and more, each without others beside it, which would help. Less than remnant of a drop may be left
// where it was when it is said to have arrived.
const (
	tryCells  = 8
	tryParts  = 24
	tryMost   = 3
	unlike    = 0.2
	remnant   = 0.1
	tryPixels = 3
)

// TornError tells that a kick which would carry a rigid drop carries none of liquid.
type TornError struct {
	Side    string
	Seconds float64 // that were tried
	Duty    float64
}

func (e *TornError) Error() string {
	return fmt.Sprintf("a kick with %s of the supply moves no drop of liquid %s, in the tank not in %s: it is torn or stays behind; more hold or a weaker kick (scene.hold_level, drive.max_duty), a smaller fluid.density_difference or fluid.drop_diameter would help",
		quantity.Format(e.Duty, quantity.Ratio), e.Side, quantity.Format(e.Seconds, quantity.Time))
}

// InTank makes kicks at least as long as the tank asks, and keeps a rigid drop's with its margin
// where that is longer: in the small tank no other kick, heap of fluid nor neighbour of unlike
// size stands in a drop's way. For each side the tank asks the shortest time after which, the
// settling over, half of the pixel is full and nothing to speak of is left behind, its coils as
// warm as the display may get to the touch; longer by what the tank is off with its cells. A
// kick that burns its coil before it has arrived keeps its time.
func (t *Timing) InTank(ctx context.Context, g *grid.Grid) error {
	d := g.Design
	p, err := small(ctx, g, *t)
	if err != nil {
		return fmt.Errorf("timing kicks in the tank: %w", err)
	}
	longer := 1 + player.CellError(d, tryCells)
	for side := range t.Kick {
		if t.none(side) || side == left && d.Magnet.Kind == design.MagnetNone {
			continue // or the mirror image
		}
		rigid, worst := t.Kick[side], 0.0
		for _, volume := range []float64{1 - unlike, 1 + unlike} {
			after, err := t.arrives(ctx, p, side, volume, worst)
			if burnt := (*heat.RunawayError)(nil); errors.As(err, &burnt) { // the verdict on the heat tells
				t.Kick[side].Why += "; not by the tank, in which the coil burns first"
				worst = 0
				break
			}
			if err != nil {
				return fmt.Errorf("timing kicks in the tank: %w", err)
			}
			if math.IsInf(after, 1) {
				return fmt.Errorf("planning moves: %w", &TornError{sidesOf[side].name, tryMost * rigid.Value, t.Duty})
			}
			worst = after
		}
		if worst == 0 {
			continue
		}
		t.arrival[side] = longer * worst
		if longer*worst < rigid.Value {
			t.Kick[side].Why += fmt.Sprintf("; in the tank it arrives after %.4g s", longer*worst)
			continue
		}
		t.Kick[side] = quantity.Derived{Value: longer * worst, Why: fmt.Sprintf("time after which drops of %.1f to %.1f the usual volume arrive going %s by the tank, coils at %s × what %d cells a pitch may be off; a rigid drop with a margin would get %.3g s = %.4g × %.4g s",
			1-unlike, 1+unlike, sidesOf[side].name, quantity.Format(warmest(d), quantity.Temperature), tryCells, rigid.Value, longer, worst)}
	}
	if d.Magnet.Kind == design.MagnetNone {
		t.Kick[left], t.arrival[left] = t.Kick[right], t.arrival[right]
	}
	if d.Heat.Orientation == design.Vertical {
		back, err := t.back(ctx, p)
		if burnt := (*heat.RunawayError)(nil); errors.As(err, &burnt) {
			return nil // told
		}
		if err != nil {
			return fmt.Errorf("timing kicks in the tank: %w", err)
		}
		if back {
			return nil
		}
	}
	return t.lying(ctx, p, longer)
}

// lying makes kicks longer where no hold draws a drop back soon, as nothing asks for on a display that
// lies: as long as a drop takes that others have pushed back as they passed, times what the cells may be off.
func (t *Timing) lying(ctx context.Context, p *player.Player, longer float64) error {
	for side, k := range t.Kick {
		if t.none(side) || side == left && p.Grid().Design.Magnet.Kind == design.MagnetNone {
			continue
		}
		after, err := t.pushed(ctx, p, side, false)
		if err == nil && !math.IsInf(after, 1) {
			var ahead float64
			ahead, err = t.pushed(ctx, p, side, true)
			after = max(after, ahead)
		}
		if burnt := (*heat.RunawayError)(nil); errors.As(err, &burnt) {
			continue // told
		}
		if err != nil {
			return fmt.Errorf("timing kicks in the tank: %w", err)
		}
		if math.IsInf(after, 1) {
			return fmt.Errorf("planning moves: %w", &TornError{sidesOf[side].name + " that others have pushed back as they passed", tryMost * k.Value, t.Duty})
		}
		if longer*after > k.Value {
			t.arrival[side] = longer * after
			t.Kick[side] = quantity.Derived{Value: longer * after, Why: fmt.Sprintf("time after which a drop arrives going %s by the tank that others have pushed back as they passed: %.4g × %.4g s; a drop by itself would get %.3g s", sidesOf[side].name, longer, after, k.Value)}
		}
	}
	if p.Grid().Design.Magnet.Kind == design.MagnetNone {
		t.Kick[left], t.arrival[left] = t.Kick[right], t.arrival[right]
	}
	return nil
}

// warmest is how warm the coils of a display that keeps its limits are taken to be, K: as the
// surface may get.
func warmest(d design.Design) float64 {
	return max(min(d.Limits.Touch, d.Limits.Board), d.Heat.Ambient)
}

// arrives is how long the kick of a pixel takes until a drop of so many reference drops comes to it
// from beside, s, least at the least; +Inf where it does not.
func (t *Timing) arrives(ctx context.Context, p *player.Player, side int, volume, least float64) (float64, error) {
	g := p.Grid()
	const from = tryPixels * tryPixels / 2
	to := from + tryPixels*sidesOf[side].row + sidesOf[side].col
	b, err := player.NewTank(g, tryCells, 0)
	if err != nil {
		return 0, err
	}
	settled, err := player.NewTank(g, tryCells, 0)
	if err != nil {
		return 0, err
	}
	if err := b.Add(from/tryPixels, from%tryPixels, volume); err != nil {
		return 0, err
	}
	p.Reset()
	p.Network().Start(warmest(g.Design))
	hold := t.HoldLevel.Value
	if err := t.pair(ctx, p, b, side, [3]float64{hold, 0, stand}); err != nil {
		return 0, err
	}
	place, cell := make([]float64, tryPixels*tryPixels), make([]float64, tryPixels*tryPixels)
	step := t.Kick[side].Value / tryParts
	for n := 1; n <= tryParts*tryMost; n++ {
		if err := t.pair(ctx, p, b, side, [3]float64{0, 1, step}); err != nil {
			return 0, err
		}
		if b.Cover(place, cell); place[to] < shown.Full || float64(n)*step < least {
			continue
		}
		settled.Inherit(b)
		if err := t.pair(ctx, p, settled, side, [3]float64{0, hold, t.Settle}); err != nil {
			return 0, err
		}
		if settled.Cover(place, cell); place[to] >= shown.Full && cell[from] < remnant {
			return float64(n) * step, nil
		}
	}
	return math.Inf(1), nil
}
