package verdict

import (
	"context"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/scenes/shown"
)

// Limit is a limit, named by the key of the design file that sets it.
type Limit string

// The limits.
const (
	Board    Limit = "limits.board"             // K, of the coils' copper
	Touch    Limit = "limits.touch"             // K, of surfaces within reach
	Magnets  Limit = "magnet.max_temp"          // K, of the bias magnets
	Power    Limit = "supply.power"             // W, from the supply on hand
	MostLit  Limit = "drive.most_lit"           // lit pixels
	Driver   Limit = "drive.driver_current"     // A, at any instant through a channel
	Holding  Limit = "limits.hold"              // hold ratio of a lit pixel
	Releases Limit = "limits.false_on"          // hold ratio of a dark pixel
	Shown    Limit = "limits.shown"             // share of the wanted pixels that the fluid is on
	Stray    Limit = "limits.stray"             // fluid at dark pixels over that wanted
	Filled   Limit = "fluid.volume"             // m³ of fluid
	Room     Limit = "tank.room"                // share by which the liquids grow
	Sticks   Limit = "fluid.contact_line"       // hold ratio of a dark pixel where the pane holds most
	Wiring   Limit = "drive.place"              // connections that find a way
	Planes   Limit = "board.planes"             // whether what heat counts of them can be drawn, 0 or 1
	Bow      Limit = "tank.front"               // hold ratio of a lit pixel where the panes bow
	Drift    Limit = "fluid.density_drift"      // hold ratio of a lit pixel as cold or warm as the liquids get
	Turned   Limit = "fluid.density_difference" // kg/m³, where its sign is not the design's
)

// Thermal tells whether a limit is one of heat.
func (l Limit) Thermal() bool { return l == Board || l == Touch || l == Magnets }

// Problem is a limit that a scene breaks.
type Problem struct {
	Limit Limit
	// Value is the worst that was found, Bound what is allowed, both in the limit's
	// unit. A scene that settles in no state has a Value of +Inf.
	Value, Bound float64
	// Pixel and Frame are where and when that was, −1 where it has no place.
	Pixel, Frame int
	// Count is how many pixels break the limit, summed over the frames, of Of; 0 where
	// they are not counted.
	Count, Of int
	// Remedies are settings that mend it, best first; empty when none was found.
	Remedies []Remedy
	// Unseen tells that another judged what is seen, and that the drop model, which tries what
	// mends it, keeps the limit: nothing was tried.
	Unseen bool
}

// Margin is where a display stands to a limit of its own figures, kept or broken.
type Margin struct {
	Limit        Limit
	Value, Bound float64
	AtLeast      bool // the bound is the least, not the most
}

// margins are those of the limits whose figures change evenly with what a display is made of;
// none without a steady state.
func (x *played) margins() (list []Margin) {
	d, z := x.player.Grid().Design, x.summary
	if x.unrest != nil {
		return nil
	}
	add := func(l Limit, bound float64, least, asked bool) {
		if asked && !math.IsInf(x.figure(l), 0) {
			list = append(list, Margin{l, x.figure(l), bound, least})
		}
	}
	add(Board, d.Limits.Board, false, true)
	add(Touch, d.Limits.Touch, false, true)
	add(Magnets, d.Magnet.MaxTemp, false, d.Magnet.Kind != design.MagnetNone)
	add(Power, d.UsablePower(), false, d.Supply.Power > 0)
	add(Driver, d.Drive.DriverCurrent, false, d.Drive.DriverCurrent > 0)
	add(Holding, d.Limits.Hold, true, z.LeastHoldPixel >= 0)
	add(Releases, d.Limits.FalseOn, false, z.FalseOnPixel >= 0)
	return list
}

// severity is how many times over its limit a problem is.
func (p Problem) severity(ambient float64) float64 {
	switch {
	case p.Limit.Thermal():
		return (p.Value - ambient) / math.Max(p.Bound-ambient, 1e-3)
	case p.Limit == Holding, p.Limit == Shown, p.Limit == Bow, p.Limit == Drift, p.Limit == Filled:
		return p.Bound / p.Value
	case p.Limit == Room:
		return 1 + p.Value - p.Bound
	case p.Limit == Turned:
		return 1 + math.Abs(p.Value)
	case p.Limit == Wiring, p.Limit == Planes:
		return 1 + p.Bound - p.Value
	}
	return p.Value / p.Bound
}

// wiring is whether the display's connections find a way.
func (x *played) wiring() escape.Answer {
	g := x.player.Grid()
	return escape.Of(g.Design, g.Pixel.Coil, g.Pixel.FullCurrent)
}

// draw finds out whether the planes that the design states, whose copper the heat counts, can
// be drawn, and the connections' ways where by the count all come out: the count is the most
// that could, and promises none. Coils in series are left to a second board.
func (x *played) draw(ctx context.Context) error {
	drawn, err := x.player.Grid().Drawn(ctx)
	if err != nil {
		return err
	}
	a := drawn.Ways
	ways := a.Judged && a.Place == design.PlaceEdge && a.Fits()
	switch {
	case drawn.Misfit == nil:
		if ways {
			x.undrawn = drawn.Board.NoWays
		}
	case Limit(drawn.Misfit.Key) == Planes:
		x.misfit = drawn.Misfit
	case ways:
		x.undrawn = drawn.Misfit.Problem
	default:
		x.unled = drawn.Misfit.Problem
	}
	return nil
}

// wired is how many of the connections find a way that can be drawn.
func (x *played) wired() int {
	if x.undrawn != "" {
		return 0
	}
	return x.wiring().Out
}

// problems lists the limits that are broken, without remedies.
func (x *played) problems() []Problem {
	d, z := x.player.Grid().Design, x.summary
	list := []Problem{}
	add := func(p Problem) { list = append(list, p) }
	if x.misfit != nil {
		add(Problem{Limit: Planes, Bound: 1, Pixel: -1, Frame: -1})
	}
	if x.unrest != nil {
		p := Problem{Limit: Board, Value: math.Inf(1), Bound: d.Limits.Board, Pixel: -1, Frame: -1}
		if r := runaway(x.unrest); r != nil {
			p.Pixel = r.Row*d.Grid.Cols + r.Col
		}
		add(p)
		return list
	}
	if z.Hottest > d.Limits.Board {
		add(Problem{Limit: Board, Value: z.Hottest, Bound: d.Limits.Board, Pixel: z.HottestPixel, Frame: z.HottestFrame})
	}
	if z.Touch > d.Limits.Touch {
		add(Problem{Limit: Touch, Value: z.Touch, Bound: d.Limits.Touch, Pixel: -1, Frame: -1})
	}
	if d.Magnet.Kind != design.MagnetNone && z.Hottest > d.Magnet.MaxTemp {
		add(Problem{Limit: Magnets, Value: z.Hottest, Bound: d.Magnet.MaxTemp, Pixel: z.HottestPixel, Frame: z.HottestFrame})
	}
	if x.supply.Load.Value > 1 {
		usable := d.UsablePower()
		add(Problem{Limit: Power, Value: x.supply.Load.Value * usable, Bound: usable, Pixel: -1, Frame: z.PeakFrame})
	}
	if z.MostLit > d.Drive.MostLit {
		add(Problem{Limit: MostLit, Value: float64(z.MostLit), Bound: float64(d.Drive.MostLit), Pixel: -1, Frame: z.MostLitFrame})
	}
	if x.channel > d.Drive.DriverCurrent && d.Drive.DriverCurrent > 0 {
		add(Problem{Limit: Driver, Value: x.channel, Bound: d.Drive.DriverCurrent, Pixel: -1, Frame: -1})
	}
	if z.FailingPixels > 0 {
		add(Problem{Limit: Holding, Value: z.LeastHold, Bound: d.Limits.Hold, Pixel: z.LeastHoldPixel, Frame: z.LeastHoldFrame, Count: z.FailingPixels, Of: z.LitPixels})
	}
	if h := x.bowed(x.player.Grid().Design); z.FailingPixels == 0 && h < d.Limits.Hold && h < (1-bowTold)*z.LeastHold {
		add(Problem{Limit: Bow, Value: h, Bound: d.Limits.Hold, Pixel: -1, Frame: z.LeastHoldFrame})
	}
	x.filled(add)
	x.drifting(add)
	if z.FalseOnPixels > 0 {
		add(Problem{Limit: Releases, Value: z.GreatestFalseOn, Bound: d.Limits.FalseOn, Pixel: z.FalseOnPixel, Frame: z.FalseOnFrame, Count: z.FalseOnPixels})
	}
	if h := x.stuck(); z.FalseOnPixels == 0 && h > d.Limits.FalseOn {
		add(Problem{Limit: Sticks, Value: h, Bound: d.Limits.FalseOn, Pixel: z.FalseOnPixel, Frame: z.FalseOnFrame})
	}
	if a := x.wiring(); !a.Fits() || x.undrawn != "" {
		add(Problem{Limit: Wiring, Value: float64(x.wired()), Bound: float64(a.Connections), Pixel: -1, Frame: -1, Count: a.Connections - x.wired(), Of: a.Connections})
	}
	if x.seen == nil {
		return list
	}
	return append(list, shows(x.seen, d.Limits)...)
}

// shows lists the limits that what is seen breaks.
func shows(r *shown.Record, l design.Limits) (list []Problem) {
	share, stray := r.Share()
	if r.Keeps(l.Shown, l.Stray) {
		return nil
	}
	if failing := len(r.Failing); share >= l.Shown && failing > 0 && l.Shown > 0 {
		list = append(list, Problem{Limit: Shown, Value: share, Bound: l.Shown, Pixel: r.Failing[0].To, Frame: r.Failing[0].Frame, Count: failing, Of: r.Asked})
	} else if near := r.Passing; share >= l.Shown && near != nil && l.Shown > 0 {
		list = append(list, Problem{Limit: Shown, Value: share, Bound: l.Shown, Pixel: -1, Frame: near.Frame})
	} else if share < l.Shown {
		wanted := 0
		for _, s := range r.Judged() {
			wanted += s.Wanted
		}
		list = append(list, Problem{Limit: Shown, Value: share, Bound: l.Shown, Pixel: -1, Frame: r.Worst(), Count: r.Count(shown.Starved), Of: wanted})
	}
	if stray > l.Stray && l.Stray < 1 {
		list = append(list, Problem{Limit: Stray, Value: stray, Bound: l.Stray, Pixel: -1, Frame: -1})
	}
	return list
}
