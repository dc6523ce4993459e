package handover

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/array/tank"
	"lodegrid/field"
)

// mover moves a drop between two pixels.
type mover struct {
	grid     *grid.Grid
	mobility float64 // m/s per N/m³
	drag     float64 // s
	mass     float64 // kg, that the drop's motion carries, the liquid's round it included

	radius, volume float64
	weight         float64 // N, in the pane's plane, positive downwards
	grip           float64 // N, of the contact line
	along, across  float64 // weights of the field's variances over the drop

	step  float64   // m, between the nodes of a landscape
	disc  []float64 // weights of the nodes under a drop and round it in its mean pressure
	reach int       // how many nodes to each side these are
	rests map[lone]rest
	left  int // steps of motion that may still be taken
	every int // after how many steps a drop's energy is weighed

	follows float64 // how much of the rows' turns the fluid follows

	mark []bool // scratch of reach
}

// place names a pixel for people.
func (m *mover) place(pixel int) string { return extent.PlaceOf(pixel, m.grid.Design.Grid.Cols) }

// lone is a pixel that alone is on, at a level.
type lone struct {
	pixel int
	level float64
}

// rest is where a drop comes to rest beneath a pixel.
type rest struct {
	x, y float64
	held bool
}

// Nodes of a landscape are a finest part of a pitch apart, a quarter of the drop's radius
// where that is less, down to a 64th of a pitch.
const (
	coarsestNodes = 16
	finestNodes   = 64
	nodesOfRadius = 4
)

// Motion is how the reference drop of a fluid moves: its speed in m/s for a force of 1 N/m³,
// and the time in s in which it takes that up.
func Motion(f design.Fluid) (mobility, drag float64) {
	p := tank.Params{Gap: f.TankGap, Density: f.Density, DensityDifference: 1, Viscosity: f.Viscosity, OuterViscosity: f.CarrierViscosity, GravityY: -1}
	return p.SinkSpeed(f.DropDiameter / 2), p.DragTime()
}

// newMover is the mover of a drop on a grid.
func newMover(g *grid.Grid) *mover {
	f, drop, pitch := g.Design.Fluid, g.Drop(), g.Design.Grid.Pitch
	mobility, drag := Motion(f)
	m := &mover{
		grid: g, mobility: mobility, drag: drag,
		radius: drop.Diameter / 2, volume: drop.Volume, grip: drop.Pinning,
		rests: map[lone]rest{}, left: mostSteps, every: weighed, follows: g.FollowsTurns(),
	}
	if !(m.mobility > 0) || !(m.drag > 0) || math.IsInf(m.mobility+m.drag, 0) {
		panic(fmt.Sprintf("handover: a drop %g mm wide in a gap of %g mm, viscosity %g Pa·s, density %g kg/m³ does not move",
			drop.Diameter*1e3, f.TankGap*1e3, f.Viscosity, f.Density)) // a design's liquids do
	}
	if g.Design.Heat.Orientation == design.Vertical {
		m.weight = f.DensityDifference * field.Gravity * drop.Volume
	}
	m.along, m.across = g.Fluid.Variances()
	m.mass = m.drag * m.volume / m.mobility
	m.step = max(min(pitch/coarsestNodes, m.radius/nodesOfRadius), pitch/finestNodes)
	m.disc, m.reach = discWeights(m.radius / m.step)
	return m
}

// rest is where a drop that is let go on the axis of a pixel that alone is on, at a level, comes to rest in its cell, and whether it does at all; the axis if not.
func (m *mover) rest(pixel int, level float64) rest {
	key := lone{pixel, level}
	if r, known := m.rests[key]; known {
		return r
	}
	g := m.grid
	c := g.Design.PixelCenter(pixel/g.Design.Grid.Cols, pixel%g.Design.Grid.Cols)
	half := g.Design.Grid.Pitch / 2
	v := m.view(patchAround(c.X, c.Y, half+3*m.step, half+3*m.step, m.step), [2]float64{})
	r := rest{x: c.X, y: c.Y}
	l := m.landscape(v, m.current(pixel, g.At(level)))
	if x, y, ok := l.lowest(c.X, c.Y); ok && math.Abs(x-c.X) <= half && math.Abs(y-c.Y) <= half {
		r = rest{x, y, true}
		if math.Abs(x-c.X) < 1e-4*m.step { // no more than rounding
			r.x = c.X
		}
		if math.Abs(y-c.Y) < 1e-4*m.step {
			r.y = c.Y
		}
	}
	m.rests[key] = r
	return r
}

// flow is what the field per ampere of a pixel is multiplied by while it is on, what its
// ripple does, and the turn in which it is.
type flow struct {
	amperes float64
	rock    grid.Rocked
	turn    int
}

// current is the flow of a pixel with a current, told as a mean over the turns.
func (m *mover) current(pixel int, a grid.Amps) flow {
	g := m.grid
	a.Mean *= float64(g.Turns())
	return flow{g.Pixel.Iron.Effective(a.Mean), g.Rock(a), g.TurnOf(pixel)}
}

// transfer is what passing a drop from one pixel to another takes.
type transfer struct {
	*mover
	a, b   rest
	from   int
	to     int
	level  float64 // of b
	axes   [2]r3.Vec
	view   *view
	scapes map[[2]grid.Amps]*landscape
}

// lost is how many pitches from the straight way between two pixels' axes a drop is lost.
const lost = 1.2

// transfer prepares an edge's, with the level that its first pixel was at, and that of the other.
func (m *mover) transfer(e *Edge, was, level float64) *transfer {
	g := m.grid
	d := g.Design.Grid
	a, b := g.Design.PixelCenter(e.From/d.Cols, e.From%d.Cols), g.Design.PixelCenter(e.To/d.Cols, e.To%d.Cols)
	right, up := float64(e.Right)*d.Pitch/2, float64(e.Up)*d.Pitch/2 // alike for all pairs, to the last digit
	reach := (lost+0.05)*d.Pitch + 3*m.step
	p := patchAround((a.X+b.X)/2, (a.Y+b.Y)/2, math.Abs(right)+reach, math.Abs(up)+reach, m.step)
	return &transfer{
		mover: m, a: m.rest(e.From, was), b: m.rest(e.To, level), from: e.From, to: e.To, level: level, axes: [2]r3.Vec{a, b},
		view: m.view(p, [2]float64{-right, -up}, [2]float64{right, up}), scapes: map[[2]grid.Amps]*landscape{},
	}
}

// lit is the landscape with the currents of the two pixels.
func (c *transfer) lit(a, b grid.Amps) *landscape {
	key := [2]grid.Amps{a, b}
	if c.scapes[key] == nil {
		c.scapes[key] = c.landscape(c.view, c.current(c.from, a), c.current(c.to, b))
	}
	return c.scapes[key]
}

// pass computes the passage under a scheme.
func (c *transfer) pass(ctx context.Context, s Scheme) (Passage, error) {
	if err := ctx.Err(); err != nil {
		return Passage{}, err
	}
	g := c.grid
	held := g.At(c.level)
	stay, pull, seconds := grid.Amps{}, held, 0.0
	switch s {
	case Both:
		stay = g.At(g.FullLevel())
	case Kick:
		pull, seconds = kick(g, c.level)
	}
	light := func(t float64) (l *landscape, forGood bool) {
		if t < seconds {
			return c.lit(stay, pull), math.IsInf(seconds, 1)
		}
		return c.lit(stay, held), true // once the kick is over B is held
	}
	first, _ := light(0)
	p := c.way(first)
	p.Time = math.Inf(1)
	var err error
	switch {
	case !c.a.held:
		p.End = NotHeld
	case !c.b.held:
		p.End = Lost // B could not keep it
	default:
		p.End, p.Time, err = c.run(ctx, light)
	}
	p.Taken = p.End == Arrived
	return p, err
}

// waySteps is how many places of the way are looked at.
const waySteps = 96

// way looks at the forces along the straight line from a to b.
func (c *transfer) way(l *landscape) Passage {
	length := math.Hypot(c.b.x-c.a.x, c.b.y-c.a.y)
	ux, uy := (c.b.x-c.a.x)/length, (c.b.y-c.a.y)/length
	p := Passage{Ratio: math.Inf(1)}
	potential, lowest := 0.0, 0.0
	for k := range waySteps { // the middles of as many pieces: at b the force is nothing
		s := (float64(k) + 0.5) / waySteps
		_, fx, fy := l.at(c.a.x+s*length*ux, c.a.y+s*length*uy)
		pull, weight := fx*ux+(fy+c.weight)*uy, -c.weight*uy
		drive := max(pull, 0) + max(weight, 0)
		against := max(-pull, 0) + max(-weight, 0) + c.grip
		if ratio := drive / (against + math.Abs(c.weight*ux)); against+math.Abs(c.weight*ux) > 0 && ratio < p.Ratio && s < 0.9 {
			p.Ratio, p.RatioAt = ratio, s
		}
		potential += (against - drive) * length / waySteps
		lowest = min(lowest, potential)
		// Within a tenth of the end the drop has arrived for all purposes.
		if s < 0.9 {
			p.Barrier = max(p.Barrier, potential-lowest)
		}
	}
	return p
}

// near is the distance, in pitches, within which a drop has arrived, and stayed that
// within which it has not left A.
const (
	near   = 0.15
	stayed = 0.3
)

// Steps of motion that a drop is given at most, all drops of a grid together (some ten
// seconds' work, landscapes included, of which nodesOfStep nodes count as a step), and
// after how many each time its energy is weighed.
const (
	dropSteps   = 1 << 15
	mostSteps   = 1 << 24
	nodesOfStep = 8
	weighed     = 128
)

// run lets a drop go at a, at rest, and follows it; light is the landscape at a time, and
// whether it stays for good. It returns when the drop has arrived at b for good or
// something else has become of it.
//
// Drag and contact line only take energy from it. Once the light stays, the drop can
// reach no more than the places that its energy, kinetic and potential, is enough for:
// where these say how it ends, it is followed no further.
func (c *transfer) run(ctx context.Context, light func(t float64) (*landscape, bool)) (Ending, float64, error) {
	ax, ay, bx, by := c.a.x, c.a.y, c.b.x, c.b.y
	none, pitch := math.Inf(1), c.grid.Design.Grid.Pitch
	l, forGood := light(0)
	strongest := math.Abs(c.weight) + c.grip
	for k := range 24 {
		s := float64(k) / 24
		_, fx, fy := l.at(ax+s*(bx-ax), ay+s*(by-ay))
		strongest = max(strongest, math.Hypot(fx, fy))
	}
	if strongest == 0 {
		return Stays, none, nil
	}
	// The slower of drag and inertia sets the pace over a radius.
	speed := c.mobility * strongest / c.volume
	pace := max(c.radius/speed, math.Sqrt(c.radius*c.drag/speed))
	x, y, vx, vy := ax, ay, 0.0, 0.0
	arrival, still := none, 0
	t := 0.0
	for step := 1; ; step++ {
		if step%c.every == 0 {
			if err := ctx.Err(); err != nil {
				return Undecided, none, err
			}
			if forGood {
				energy, _, _ := l.at(x, y)
				if end := c.ending(l, x, y, energy+c.mass/2*(vx*vx+vy*vy)); end == Arrived && !math.IsInf(arrival, 1) {
					return Arrived, arrival, nil
				} else if end != Undecided && end != Arrived {
					return end, none, nil
				}
			}
		}
		if c.left--; step > dropSteps || c.left < 0 {
			return Undecided, t, nil
		}
		l, forGood = light(t)
		_, fx, fy := l.at(x, y)
		// A hundredth of a radius a step where there is little force, and no longer than
		// where the force is strongest would bear.
		local := math.Hypot(vx, vy) + c.mobility*math.Hypot(fx, fy)/c.volume
		dt := min(max(0.01*c.radius/local, pace/80), pace/10)
		// Drag and friction implicit, so that no step is too long for them.
		gain := c.mobility / c.volume * dt / c.drag
		nx, ny := (vx+gain*fx)/(1+dt/c.drag), (vy+gain*fy)/(1+dt/c.drag)
		grip := gain * c.grip / (1 + dt/c.drag)
		if v := math.Hypot(nx, ny); v <= grip {
			nx, ny = 0, 0
		} else {
			nx, ny = nx*(1-grip/v), ny*(1-grip/v)
		}
		vx, vy = nx, ny
		x, y = x+dt*vx, y+dt*vy
		away := math.Hypot(x-bx, y-by) / pitch
		v := math.Hypot(vx, vy)
		switch {
		case away > near:
			arrival = none
		case math.IsInf(arrival, 1):
			arrival = t + dt
		}
		t += dt
		if away < near && v*max(pace, c.drag) < near/4*pitch {
			return Arrived, arrival, nil
		}
		if c.beyond(x, y, 0) {
			return Lost, none, nil
		}
		still++
		if v > 1e-5*speed {
			still = 0
		}
		if still > 100 {
			break
		}
	}
	if math.Hypot(x-ax, y-ay) < stayed*pitch {
		return Stays, none, nil
	}
	return Stuck, none, nil
}

// ending is how a drop at a place ends whose energy is at most so much: Undecided where
// the places that are in its reach do not tell.
func (c *transfer) ending(l *landscape, x, y, energy float64) Ending {
	if n := l.rows * l.cols; len(c.mark) < n {
		c.mark = make([]bool, n)
	}
	pitch := c.grid.Design.Grid.Pitch
	// A node stands for the places around it.
	edge := l.step * math.Sqrt2 / 2
	var atA, atB, elsewhere, lost bool
	open := l.reach(x, y, energy, c.mark, func(x, y float64) bool {
		lost = lost || c.beyond(x, y, edge)
		a, b := math.Hypot(x-c.a.x, y-c.a.y), math.Hypot(x-c.b.x, y-c.b.y)
		atA = atA || a < stayed*pitch+edge
		atB = atB || b < near*pitch+edge
		elsewhere = elsewhere || a > stayed*pitch-edge && b > near*pitch-edge
		return !(lost || atA && atB || atB && elsewhere || atA && elsewhere)
	})
	switch {
	case open, lost, atA && atB, atB && elsewhere, atA && elsewhere:
		return Undecided
	case atB:
		return Arrived
	case atA:
		return Stays
	}
	return Stuck
}

// beyond tells whether a drop has left the neighbourhood of the two pixels, or is so many
// metres from it: wherever it hung or fell before, farther out the landscape is not known.
func (c *transfer) beyond(x, y, edge float64) bool {
	ax, ay, bx, by := c.axes[0].X, c.axes[0].Y, c.axes[1].X, c.axes[1].Y
	s := ((x-ax)*(bx-ax) + (y-ay)*(by-ay)) / ((bx-ax)*(bx-ax) + (by-ay)*(by-ay))
	s = min(max(s, 0), 1)
	return math.Hypot(x-ax-s*(bx-ax), y-ay-s*(by-ay)) > lost*c.grid.Design.Grid.Pitch-edge
}
