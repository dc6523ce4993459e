package array

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/tank"
)

// Scheme is a way of passing a drop from pixel A to its neighbour B.
type Scheme int

// The schemes.
const (
	Switch  Scheme = iota // A off and B on at once
	Both                  // B on while A stays on
	Kick                  // A off, B on with its kick
	Schemes               // how many there are
)

func (s Scheme) String() string {
	return [...]string{"A off, B on", "both on", "B kicked"}[s]
}

// Passage is what becomes of a drop under one scheme.
type Passage struct {
	// Ratio is the least, along the straight way from where the drop rests at A to where
	// it would rest at B, of what drives it over what it has to overcome: magnetic force
	// and weight each on the side on which they act, the contact line, which always holds
	// back, and the weight across the way, which takes the drop off it. +Inf where there
	// is nothing to overcome.
	Ratio float64
	// RatioAt is how far along, 0…1, that is.
	RatioAt float64
	// Barrier is the energy, J, that the drop lacks on the way: the highest climb of its
	// potential, the contact line's work included; 0 when it slides all the way.
	Barrier float64
	// Taken tells that a drop let go at A, at rest, comes to rest at B; Time is how long
	// that takes, s, +Inf otherwise. End says how it ended.
	Taken bool
	Time  float64
	End   Ending
}

// Ending is how a passage ends.
type Ending string

// The endings.
const (
	Arrived Ending = "arrives"
	Stays   Ending = "stays at A"
	Stuck   Ending = "stops on the way"
	Lost    Ending = "falls away"
	NotHeld Ending = "A does not hold it"
)

// Edge is the hand-over from pixel From to its neighbour To.
type Edge struct {
	From, To  int
	Right, Up int // from From to To, one of them 0
	Passages  [Schemes]Passage
}

// Handovers is the hand-over over every side of every pixel.
type Handovers struct {
	// Edges holds, for every pixel, the edges to its right, upper, left and lower
	// neighbour, in this order; nil at the border.
	Edges [][4]*Edge
	// Cases is how many edges were computed; the others are like one of them.
	Cases int
	// FrameTime is the shortest frame, s, in which every drop that Switch passes has
	// arrived; 0 when it passes none.
	FrameTime float64
	// Failing counts the edges over which Switch does not pass a drop.
	Failing int
	// Terminal is the speed, m/s, of the drop under its own weight without field.
	Terminal float64
	// Kick is the current of the kick over FullCurrent, and KickTime how long it lasts, s.
	Kick, KickTime float64
}

// KickLevel is the current of a kick over FullCurrent and its length in seconds: that
// of the design's drive in mode kick; otherwise what the bare supply voltage gives at
// full duty, for as long as it takes.
func (g *Grid) KickLevel() (level, seconds float64) {
	d := g.Design
	level, seconds = 1/d.Drive.MaxDuty, math.Inf(1)
	if d.Drive.Mode == design.DriveKick {
		if d.Drive.KickVoltage > 0 {
			level *= d.Drive.KickVoltage / d.Supply.Voltage
		}
		seconds = d.Drive.KickTime
	}
	return level, seconds
}

// Handovers computes the hand-over over every side of every pixel, the two pixels alone
// being on. Sides that cannot differ are computed once: without magnets and gains all
// pixels are alike, with magnets the grid's left half is the right one's mirror image.
// It gives up when the context is done.
//
// A drop is a disc that keeps its shape. It moves by
//
//	τ dv/dt = μ F/V − v,   τ = ρb²/12η,   μ = b²/12η (½ − I₁(mR)K₁(mR))
//
// with the drag of the panes and of the liquid flowing back round it (package tank:
// DragTime, SinkSpeed), F the magnetic force, the weight and the contact line.
func (g *Grid) Handovers(ctx context.Context) (*Handovers, error) {
	if g.Gains != nil {
		if err := g.checkGains("gain", g.Gains); err != nil {
			return nil, fmt.Errorf("computing hand-overs: %w", err)
		}
	}
	m, err := newMover(g)
	if err != nil {
		return nil, err
	}
	d := g.Design.Grid
	h := &Handovers{Edges: make([][4]*Edge, d.Rows*d.Cols), Terminal: m.mobility * math.Abs(m.field.weight) / m.field.volume}
	h.Kick, h.KickTime = g.KickLevel()
	known := map[edgeKey]*Edge{}
	for from := range h.Edges {
		row, col := from/d.Cols, from%d.Cols
		for side, s := range [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			r, c := row-s[1], col+s[0]
			if r < 0 || r >= d.Rows || c < 0 || c >= d.Cols {
				continue
			}
			e := &Edge{From: from, To: r*d.Cols + c, Right: s[0], Up: s[1]}
			key := g.edgeKey(e)
			if like, ok := known[key]; ok {
				e.Passages = like.Passages
			} else {
				for scheme := range Schemes {
					if scheme == Kick && h.Kick == 1 && math.IsInf(h.KickTime, 1) {
						e.Passages[Kick] = e.Passages[Switch] // no kick at all
						continue
					}
					if e.Passages[scheme], err = m.pass(ctx, e, scheme); err != nil {
						return nil, fmt.Errorf("computing hand-overs, pixel %d to %d: %w", e.From, e.To, err)
					}
				}
				known[key] = e
				h.Cases++
			}
			h.Edges[from][side] = e
			if p := e.Passages[Switch]; p.Taken {
				h.FrameTime = max(h.FrameTime, p.Time)
			} else {
				h.Failing++
			}
		}
	}
	return h, nil
}

// edgeKey is what makes two edges alike.
type edgeKey struct {
	right, up    int
	row, col     int // of the first pixel, when the place matters
	gainA, gainB float64
}

func (g *Grid) edgeKey(e *Edge) edgeKey {
	d := g.Design.Grid
	k := edgeKey{right: e.Right, up: e.Up, gainA: g.gain(e.From), gainB: g.gain(e.To)}
	row, col := e.From/d.Cols, e.From%d.Cols
	mirrored := k.right < 0
	switch {
	case g.bias == nil:
	case g.magnets != nil:
		k.row, k.col, mirrored = row, col, false
	default:
		k.row, k.col = row, col
		if k.right == 0 {
			mirrored = 2*col > d.Cols-1
		}
		if mirrored {
			k.col = d.Cols - 1 - col
		}
	}
	if mirrored {
		k.right = -k.right
	}
	return k
}

// Handover is the passage between two neighbours under one scheme. It fails when they
// are not neighbours.
func (g *Grid) Handover(ctx context.Context, from, to int, s Scheme) (Passage, error) {
	d := g.Design.Grid
	n := d.Rows * d.Cols
	if from < 0 || from >= n || to < 0 || to >= n || s < 0 || s >= Schemes {
		return Passage{}, fmt.Errorf("computing a hand-over: pixels %d and %d of %d, scheme %d", from, to, n, s)
	}
	e := &Edge{From: from, To: to, Right: to%d.Cols - from%d.Cols, Up: from/d.Cols - to/d.Cols}
	if abs(e.Right)+abs(e.Up) != 1 {
		return Passage{}, fmt.Errorf("computing a hand-over: pixels %d and %d are no neighbours", from, to)
	}
	m, err := newMover(g)
	if err != nil {
		return Passage{}, err
	}
	p, err := m.pass(ctx, e, s)
	if err != nil {
		return Passage{}, fmt.Errorf("computing a hand-over: %w", err)
	}
	return p, nil
}

// mover moves a drop between two pixels.
type mover struct {
	field    *dropField
	grid     *Grid
	mobility float64 // m/s per N/m³
	drag     float64 // s
	pitch    float64 // m
}

func newMover(g *Grid) (*mover, error) {
	f := g.Design.Fluid
	p := tank.Params{Gap: f.TankGap, Density: f.Density, DensityDifference: 1, Viscosity: f.Viscosity, GravityY: -1}
	m := &mover{field: newDropField(g), grid: g, mobility: p.SinkSpeed(g.Drop().Diameter / 2), drag: p.DragTime(), pitch: g.Design.Grid.Pitch}
	if !(m.mobility > 0) || !(m.drag > 0) || math.IsInf(m.mobility+m.drag, 0) {
		return nil, fmt.Errorf("computing hand-overs: a drop %g mm wide in a gap of %g mm, viscosity %g Pa·s, density %g kg/m³ does not move",
			g.Drop().Diameter*1e3, f.TankGap*1e3, f.Viscosity, f.Density)
	}
	return m, nil
}

// pass computes one passage.
func (m *mover) pass(ctx context.Context, e *Edge, s Scheme) (Passage, error) {
	if err := ctx.Err(); err != nil {
		return Passage{}, err
	}
	full := m.grid.fullLevel()
	ax, ay, held := m.field.rest(e.From, full)
	bx, by, bears := m.field.rest(e.To, full)
	kick, seconds := 1.0, 0.0
	if s == Kick {
		kick, seconds = m.grid.KickLevel()
	}
	after := 1.0 // level of B once the kick is over
	if s == Kick && m.grid.Design.Drive.Mode == design.DriveKick && m.grid.Design.Drive.HoldDuty > 0 {
		after = m.grid.Design.Drive.HoldDuty / m.grid.Design.Drive.MaxDuty
	}
	stay := 0.0
	if s == Both {
		stay = full
	}
	set := func(level float64) { m.field.light([]int{e.From, e.To}, []float64{stay, full * level}) }
	set(kick)
	p := m.way(ax, ay, bx, by)
	p.Time = math.Inf(1)
	var err error
	switch {
	case !held:
		p.End = NotHeld
	case !bears:
		p.End = Lost // B could not keep it
	default:
		p.End, p.Time, err = m.run(ctx, ax, ay, bx, by, func(t float64) {
			if s == Kick && t >= seconds {
				set(after)
			}
		})
	}
	p.Taken = p.End == Arrived
	return p, err
}

// waySteps is how many places of the way are looked at.
const waySteps = 96

// way looks at the forces along the straight line from a to b.
func (m *mover) way(ax, ay, bx, by float64) Passage {
	length := math.Hypot(bx-ax, by-ay)
	ux, uy := (bx-ax)/length, (by-ay)/length
	p := Passage{Ratio: math.Inf(1)}
	potential, lowest := 0.0, 0.0
	for k := range waySteps { // the middles of as many pieces: at b the force is nothing
		s := (float64(k) + 0.5) / waySteps
		fx, fy := m.field.magnetic(ax+s*length*ux, ay+s*length*uy)
		pull, weight := fx*ux+fy*uy, -m.field.weight*uy
		drive := max(pull, 0) + max(weight, 0)
		against := max(-pull, 0) + max(-weight, 0) + m.field.grip
		if ratio := drive / (against + math.Abs(m.field.weight*ux)); against+math.Abs(m.field.weight*ux) > 0 && ratio < p.Ratio && s < 0.9 {
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

// near is the distance, in pitches, within which a drop has arrived.
const near = 0.15

// run lets a drop go at a and follows it, calling at before every step with the time. It
// returns when the drop arrived at b for good.
func (m *mover) run(ctx context.Context, ax, ay, bx, by float64, at func(t float64)) (Ending, float64, error) {
	at(0)
	strongest := math.Abs(m.field.weight) + m.field.grip
	for k := range 24 {
		s := float64(k) / 24
		fx, fy := m.field.force(ax+s*(bx-ax), ay+s*(by-ay))
		strongest = max(strongest, math.Hypot(fx, fy))
	}
	if strongest == 0 {
		return Stays, math.Inf(1), nil
	}
	// The slower of drag and inertia sets the pace over a radius.
	speed := m.mobility * strongest / m.field.volume
	pace := max(m.field.radius/speed, math.Sqrt(m.field.radius*m.drag/speed))
	x, y, vx, vy := ax, ay, 0.0, 0.0
	arrival, still := math.Inf(1), 0
	t := 0.0
	for step := range 8000 {
		if step%64 == 0 {
			if err := ctx.Err(); err != nil {
				return "", math.Inf(1), err
			}
		}
		at(t)
		fx, fy := m.field.force(x, y)
		// A hundredth of a radius a step where there is little force, and no longer than
		// where the force is strongest would bear.
		local := math.Hypot(vx, vy) + m.mobility*math.Hypot(fx, fy)/m.field.volume
		dt := min(max(0.01*m.field.radius/local, pace/80), pace/10)
		// Drag and friction implicit, so that no step is too long for them.
		gain := m.mobility / m.field.volume * dt / m.drag
		nx, ny := (vx+gain*fx)/(1+dt/m.drag), (vy+gain*fy)/(1+dt/m.drag)
		grip := gain * m.field.grip / (1 + dt/m.drag)
		if v := math.Hypot(nx, ny); v <= grip {
			nx, ny = 0, 0
		} else {
			nx, ny = nx*(1-grip/v), ny*(1-grip/v)
		}
		vx, vy = nx, ny
		x, y = x+dt*vx, y+dt*vy
		away := math.Hypot(x-bx, y-by) / m.pitch
		v := math.Hypot(vx, vy)
		switch {
		case away > near:
			arrival = math.Inf(1)
		case math.IsInf(arrival, 1):
			arrival = t + dt
		}
		t += dt
		if away < near && v*max(pace, m.drag) < near/4*m.pitch {
			return Arrived, arrival, nil
		}
		if m.beyond(x, y, ax, ay, bx, by) {
			return Lost, math.Inf(1), nil
		}
		still++
		if v > 1e-5*speed {
			still = 0
		}
		if still > 100 {
			break
		}
	}
	if math.Hypot(x-ax, y-ay) < 0.3*m.pitch {
		return Stays, math.Inf(1), nil
	}
	return Stuck, math.Inf(1), nil
}

// beyond tells whether a drop has left the neighbourhood of the two pixels.
func (m *mover) beyond(x, y, ax, ay, bx, by float64) bool {
	s := ((x-ax)*(bx-ax) + (y-ay)*(by-ay)) / ((bx-ax)*(bx-ax) + (by-ay)*(by-ay))
	s = min(max(s, 0), 1)
	return math.Hypot(x-ax-s*(bx-ax), y-ay-s*(by-ay)) > 1.2*m.pitch
}
