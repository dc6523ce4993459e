package handover

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
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
	// that takes, s; for how long it was followed where that was not decided, +Inf otherwise.
	// End says how it ended.
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
	Gone    Ending = "has fallen away before"
	// Undecided: the steps that a drop is given, or all drops of a grid together, ended
	// first. Of drops that were not even begun with, ratio and barrier are NaN.
	Undecided Ending = "not decided"
)

// Edge is the hand-over from pixel From to its neighbour To.
type Edge struct {
	From, To  int
	Right, Up int // from From to To, −1…1
	Passages  [Schemes]Passage
}

// Table is the hand-over over every side of every pixel.
type Table struct {
	// Edges holds, for every pixel, the edges to its right, upper, left and lower
	// neighbour, in this order; nil at the border.
	Edges [][4]*Edge
	// Cases is how many edges were computed; the others are like one of them.
	Cases int
	// FrameTime is the shortest frame, s, in which every drop that Switch passes has
	// arrived; 0 when it passes none.
	FrameTime float64
	// Failing counts the edges over which Switch does not pass a drop, Undecided those
	// over which it was not seen to nor not to.
	Failing, Undecided int
	// Terminal is the speed, m/s, of the drop under its own weight without field.
	Terminal quantity.Derived
	// Kick is the current of the kick over FullCurrent, and KickTime how long it lasts, s.
	Kick, KickTime float64
}

// KickLevel is the mean current of a kick over FullCurrent and its length in seconds:
// that of the design's drive in mode kick; in the plain modes what the supply gives
// without a break, for as long as it takes; 1 in mode scan, where a row has its turn and
// no more, and where moves are planned, whose kick level 1 is.
func KickLevel(g *grid.Grid) (level, seconds float64) {
	d := g.Design
	switch {
	case d.Drive.Mode == design.DriveScan:
		return 1, math.Inf(1)
	case d.Drive.Mode == design.DriveKick:
		if g.Pixel.FullCurrent == 0 {
			return 0, g.Pixel.Full.Kick.Seconds // kicked and let go: there is no hold to compare with
		}
		return g.Pixel.Full.Kick.Average / g.Pixel.FullCurrent, g.Pixel.Full.Kick.Seconds
	case d.Scene.HoldLevel < 1:
		return 1, math.Inf(1)
	}
	return pixel.FullDuty(d, g.Pixel) / g.Pixel.FullCurrent, math.Inf(1)
}

// kick is the current of a kick to a level, signed, and its length in seconds. In mode kick it is
// the drive's own, a level being a share of its duty, with a ripple of its own; without a break it
// is in proportion to that at full level and has no ripple.
func kick(g *grid.Grid, to float64) (grid.Amps, float64) {
	level, seconds := KickLevel(g)
	full := g.At(to)
	switch {
	case g.Design.Drive.Mode == design.DriveScan:
		return full, seconds
	case g.Design.Drive.Mode == design.DriveKick && level > 0:
		a := g.Stretch(g.Pixel, g.Course(to).Kick)
		a.Mean = math.Copysign(a.Mean, full.Mean)
		return a, seconds
	default:
		return grid.Amps{Mean: full.Mean * level}, seconds
	}
}

// All computes the hand-over over every side of every pixel, the two pixels alone
// being on. Sides that cannot differ are computed once: without magnets and gains all
// pixels are alike, with magnets those that are mirror images. It gives up when the
// context is done.
//
// A drop is a disc that keeps its shape. It moves by
//
//	τ dv/dt = μ F/V − v,   τ = ρb²/12η,   μ = b²/12η (½ − I₁(mR)K₁(mR))
//
// with the drag of the panes and of the liquid flowing back round it (package tank:
// DragTime, SinkSpeed), F the magnetic force, the weight and the contact line.
func All(ctx context.Context, g *grid.Grid) (*Table, error) {
	m := newMover(g)
	d := g.Design.Grid
	h := &Table{Edges: make([][4]*Edge, d.Rows*d.Cols), Terminal: sinking(g.Design.Fluid, m.mobility*math.Abs(m.weight)/m.volume)}
	h.Kick, h.KickTime = KickLevel(g)
	known := map[edgeKey]*Edge{}
	visit := func(from int) error {
		row, col := from/d.Cols, from%d.Cols
		for side, s := range [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			r, c := row-s[1], col+s[0]
			if r < 0 || r >= d.Rows || c < 0 || c >= d.Cols || h.Edges[from][side] != nil {
				continue
			}
			e := &Edge{From: from, To: r*d.Cols + c, Right: s[0], Up: s[1]}
			key := newEdgeKey(g, e)
			if like, ok := known[key]; ok {
				e.Passages = like.Passages
			} else {
				if err := m.passages(ctx, e); err != nil {
					return err
				}
				known[key] = e
				h.Cases++
			}
			h.Edges[from][side] = e
			switch p := e.Passages[Switch]; {
			case p.Taken:
				h.FrameTime = max(h.FrameTime, p.Time)
			case p.End == Undecided:
				h.Undecided++
			default:
				h.Failing++
			}
		}
		return nil
	}
	// The middle first: should the effort not reach for all, it is the rim that lacks.
	if err := visit(g.Design.Pixel(d.Rows/2, d.Cols/2)); err != nil {
		return nil, err
	}
	for from := range h.Edges {
		if err := visit(from); err != nil {
			return nil, err
		}
	}
	return h, nil
}

// Gripped is All where the panes hold drops as firmly as they may; nil where one figure is
// given for that.
func Gripped(ctx context.Context, g *grid.Grid) (*Table, error) {
	d := g.Design
	if d.Fluid.ContactLineMost <= d.Fluid.ContactLine {
		return nil, nil
	}
	d.Fluid.ContactLine = d.Fluid.ContactLineMost
	h := g.With(d)
	return All(ctx, h)
}

// undecided is a passage that was not begun with.
var undecided = Passage{Ratio: math.NaN(), RatioAt: math.NaN(), Barrier: math.NaN(), End: Undecided}

// passages computes an edge under every scheme.
func (m *mover) passages(ctx context.Context, e *Edge) error {
	if m.left <= 0 {
		for scheme := range Schemes {
			e.Passages[scheme] = undecided
		}
		return nil
	}
	level, seconds := KickLevel(m.grid)
	c := m.transfer(e, m.grid.FullLevel(), m.grid.FullLevel())
	for scheme := range Schemes {
		if scheme == Kick && level == 1 && math.IsInf(seconds, 1) {
			e.Passages[Kick] = e.Passages[Switch] // no kick at all
			continue
		}
		var err error
		if e.Passages[scheme], err = c.pass(ctx, scheme); err != nil {
			return fmt.Errorf("computing hand-overs, %s to %s: %w", m.place(e.From), m.place(e.To), err)
		}
	}
	return nil
}

// edgeKey is what makes two edges alike.
type edgeKey struct {
	right, up int
	row, col  int // of the first pixel, when the place matters
}

// newEdgeKey is the least of the keys of the edge's images in the grid's symmetries: left
// and right, and where no weight pulls along the panes above and below too, and, on a
// square grid of coils that are their own image about the diagonal, rows and columns.
func newEdgeKey(g *grid.Grid, e *Edge) edgeKey {
	d := g.Design
	rows, cols := d.Grid.Rows, d.Grid.Cols
	k := edgeKey{e.Right, e.Up, e.From / cols, e.From % cols}
	if g.BiasPlane == nil {
		k.row, k.col, rows, cols = 0, 0, 1, 1
	}
	list := []edgeKey{k}
	image := func(of func(k edgeKey) edgeKey) {
		for _, k := range list {
			list = append(list, of(k))
		}
	}
	image(func(k edgeKey) edgeKey { k.right, k.col = -k.right, cols-1-k.col; return k })
	if d.Heat.Orientation != design.Vertical {
		image(func(k edgeKey) edgeKey { k.up, k.row = -k.up, rows-1-k.row; return k })
		if rows == cols && g.Symmetry().Swap != nil && (d.Magnet.Kind != design.MagnetSheet || d.Magnet.Width == d.Magnet.Height) {
			image(func(k edgeKey) edgeKey { k.right, k.up, k.row, k.col = -k.up, -k.right, k.col, k.row; return k })
		}
	}
	least := k
	for _, o := range list[1:] {
		if c := cmp.Or(cmp.Compare(o.right, least.right), cmp.Compare(o.up, least.up), cmp.Compare(o.row, least.row), cmp.Compare(o.col, least.col)); c < 0 {
			least = o
		}
	}
	return least
}

// PullError is by which share a drop may be pulled less than reckoned: by as much as the force on
// the worst disc is off over its way. At single places it may be more.
const PullError = ferrofluid.WorstDisc

// Ways are passages under one scheme, those of sides that cannot differ computed once, of a drop that
// is pulled by PullError less than is reckoned, and is slower for it.
type Ways struct {
	mover  *mover
	scheme Scheme
	known  map[wayKey]Passage
}

// wayKey is what makes two ways alike: the sides, the levels before and at the end, and how far the drop
// has fallen between, in fallSteps of a pitch.
type wayKey struct {
	edgeKey
	was, level float64
	fallen     int
}

// NewWays are those of a grid, none computed yet.
func NewWays(g *grid.Grid, s Scheme) *Ways {
	m := newMover(g)
	// (1 − e) F − W is (1 − e) of F − W/(1 − e).
	m.weight /= 1 - PullError
	m.grip /= 1 - PullError
	m.mobility *= 1 - PullError
	m.mass /= 1 - PullError
	return &Ways{m, s, map[wayKey]Passage{}}
}

// levelSteps is how many levels ways tell apart; one between two counts as the weaker. fallSteps is how
// many falls a pitch.
const (
	levelSteps = 20
	fallSteps  = 20
)

// Left is what has become of a pixel that held a drop: the level that it last held it by, signed, and for how
// long, s, it has been dark since.
type Left struct{ Level, Dark float64 }

// Pass is the passage from a pixel as it was left to a neighbour at a level, signed. The drop has come to rest
// beneath the pixel, and in the dark falls from there as fast as its weight has it, where no magnet keeps it.
func (w *Ways) Pass(ctx context.Context, from, to int, left Left, level float64) (Passage, error) {
	m := w.mover
	e := newEdge(m.grid, from, to)
	step := func(level float64) float64 { return math.Trunc(level*levelSteps*(1+1e-9)) / levelSteps }
	key := wayKey{edgeKey: newEdgeKey(m.grid, e), was: step(left.Level), level: step(level)}
	if left.Dark > 0 && m.rest(from, 0).held {
		key.was = 0
	} else if pitch := m.grid.Design.Grid.Pitch; left.Dark > 0 {
		fall := max(math.Abs(m.weight)-m.grip, 0) * m.mobility / m.volume * left.Dark
		if fall > lost*pitch {
			return Passage{End: Gone}, nil
		}
		key.fallen = int(math.Copysign(math.Ceil(fall/pitch*fallSteps*(1-1e-9)), m.weight))
	}
	p, known := w.known[key]
	switch {
	case known:
	case m.left <= 0:
		p = undecided
	default:
		c := m.transfer(e, key.was, key.level)
		c.a.y -= float64(key.fallen) / fallSteps * m.grid.Design.Grid.Pitch
		var err error
		if p, err = c.pass(ctx, w.scheme); err != nil {
			return Passage{}, fmt.Errorf("computing a hand-over: %w", err)
		}
	}
	w.known[key] = p
	return p, nil
}

// One is the passage between two neighbours under one scheme. It panics when they
// are not neighbours.
func One(ctx context.Context, g *grid.Grid, from, to int, s Scheme) (Passage, error) {
	p, err := Between(g, from, to).c.pass(ctx, s)
	if err != nil {
		return Passage{}, fmt.Errorf("computing a hand-over: %w", err)
	}
	return p, nil
}

// Beside tells whether two pixels of a grid of so many columns are neighbours, cornerwise too.
func Beside(a, b, cols int) bool {
	right, up := a%cols-b%cols, a/cols-b/cols
	return a != b && max(right, -right, up, -up) == 1
}

// newEdge is that from a pixel to its neighbour, not yet computed.
func newEdge(g *grid.Grid, from, to int) *Edge {
	d := g.Design.Grid
	if n := d.Rows * d.Cols; from < 0 || from >= n || to < 0 || to >= n {
		panic(fmt.Sprintf("handover: pixels %d and %d of %d", from, to, n))
	}
	e := &Edge{From: from, To: to, Right: to%d.Cols - from%d.Cols, Up: from/d.Cols - to/d.Cols}
	if !Beside(from, to, d.Cols) {
		panic(fmt.Sprintf("handover: pixels %d and %d are no neighbours", from, to))
	}
	return e
}

// sinking is how fast a drop sinks with no field, m/s, and what of it is the shear along its edge.
func sinking(f design.Fluid, speed float64) quantity.Derived {
	if speed == 0 {
		return quantity.Derived{Why: "no weight pulls the drop along the panes: the display lies flat, or the two liquids weigh the same"}
	}
	wide := math.Abs(f.DensityDifference) * field.Gravity * f.TankGap * f.TankGap / (12 * (f.Viscosity + f.CarrierViscosity))
	return quantity.Derived{Value: speed, Why: fmt.Sprintf("Δρ g gap²/12(viscosities of both liquids), a drop much wider than the gap (Taylor & Saffman 1959, from memory) × what the shear along its edge leaves of it = %.4g mm/s × %.4g", 1e3*wide, speed/wide)}
}
