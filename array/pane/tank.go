package pane

import "math"

// Lie is the way a tank lies: upright, or which pane is up.
type Lie int

// The ways.
const (
	Upright Lie = iota
	FrontUp
	FrontDown
)

// Tank is two panes with liquid between. Lengths in metres.
type Tank struct {
	Width, Height float64 // inside
	Gap           float64 // between the panes, flat
	Density       float64 // kg/m³, of the liquid
	Gravity       float64 // m/s²
	Lie           Lie
	Front, Rear   Sheet
	// AirGap is the way that the rear pane can bow before it leans on what is behind it, of
	// the stiffness Backing, N·m, and supported as the pane is.
	AirGap, Backing float64
	Spacers         float64 // from spacer to spacer, glued to both panes in rows and columns; 0 = none
}

// Bowed is a tank's panes as they bow: outwards counted positive.
type Bowed struct {
	tank        Tank
	front, rear *Plate
	lean        float64 // the rear pane's bow over that of the pane alone
}

// Load is the pressure that bends a pane outwards at its upper edge and at its lower one,
// Pa: the liquid's, which stands under the air's at the top, and the pane's own weight
// where it lies.
func (t Tank) Load(front bool) (top, bottom float64) {
	if t.Lie == Upright {
		return 0, t.Density * t.Gravity * t.Height
	}
	own := t.Rear
	if front {
		own = t.Front
	}
	p := own.weight(t.Gravity)
	if front == (t.Lie == FrontUp) {
		return -p, -p
	}
	p += t.Density * t.Gravity * t.Gap
	return p, p
}

// Bow bends the panes.
func (t Tank) Bow() *Bowed {
	plate := func(s Sheet, front bool) *Plate {
		top, bottom := t.Load(front)
		d := s.Stiffness()
		if d == 0 { // the board is the rear pane
			d = t.Backing
		}
		return NewPlate(t.Width, t.Height, d, top, bottom)
	}
	b := &Bowed{tank: t, front: plate(t.Front, true), rear: plate(t.Rear, false), lean: 1}
	if free, _ := b.rear.Most(); t.Rear.Thickness > 0 {
		b.lean = t.leaning(free)
	}
	return b
}

// leaning is the share of its free bow that the rear pane reaches: where that is more than
// the air gap, the pane and what it leans on carry the rest together.
func (t Tank) leaning(free float64) float64 {
	if free <= t.AirGap {
		return 1
	}
	d := t.Rear.Stiffness()
	return (d + t.Backing*t.AirGap/free) / (d + t.Backing)
}

// Most is the greatest bow of each pane, m, and how far below the upper edge, m.
func (b *Bowed) Most() (front, frontAt, rear, rearAt float64) {
	if b.tank.Spacers > 0 {
		f, _, _ := b.between(b.tank.Height, true)
		r, _, _ := b.between(b.tank.Height, false)
		return f, b.tank.Height, r, b.tank.Height
	}
	front, frontAt = b.front.Most()
	rear, rearAt = b.rear.Most()
	return front, frontAt, rear * b.lean, rearAt
}

// between is a pane's bow between spacers at a depth, and its slope along either way: of a
// wave from spacer to spacer.
func (b *Bowed) between(y float64, front bool) (bow, alongX, alongY float64) {
	t := b.tank
	top, bottom := t.Load(front)
	load, d := top+(bottom-top)*y/t.Height, t.Front.Stiffness()
	if !front {
		if d = t.Rear.Stiffness(); d == 0 {
			d = t.Backing
		}
	}
	bow = BowBetween(t.Spacers, d, load)
	if !front && t.Rear.Thickness > 0 {
		bow *= t.leaning(bow)
	}
	slope := math.Pi * bow / t.Spacers
	return bow, slope, slope
}

// At is each pane's bow at x from the left and y from the upper edge, and the slope of the
// gap along x and along y, downwards; between spacers the greatest that there is about there.
func (b *Bowed) At(x, y float64) (front, rear, alongX, alongY float64) {
	if b.tank.Spacers > 0 {
		f, fx, fy := b.between(y, true)
		r, rx, ry := b.between(y, false)
		return f, r, fx + rx, fy + ry
	}
	f, fx, fy := b.front.At(x, y)
	r, rx, ry := b.rear.At(x, y)
	return f, r * b.lean, fx + rx*b.lean, fy + ry*b.lean
}

// Depths are the gap's least and greatest depth down the tank's middle, where panes bow most, m.
func (b *Bowed) Depths() (least, most float64) {
	const steps = 16
	least = math.Inf(1)
	for s := 1; s < 2*steps; s += 2 {
		front, rear, _, _ := b.At(b.tank.Width/2, b.tank.Height*float64(s)/(2*steps))
		gap := b.tank.Gap + front + rear
		least, most = min(least, gap), max(most, gap)
	}
	return least, most
}
