package choose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/array/supply"
	"lodegrid/field/aside"
	"lodegrid/field/quantity"
	"lodegrid/field/root"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/verdict"
)

// Drives are compared at equal pull and equal time of a move, never at equal current: a
// drive's mean current tells neither, for the fluid feels the mean square as far as it
// follows the ripple, and a drop moves by what the drive gives while it moves. Every way of
// driving is brought to the wanted pull and time by its duties, first by the current that the
// fluid feels, then with the grid itself; what is told of it was played.

// Way is a way to drive the coils. Volts; a kick rail of its own only in mode kick.
type Way struct {
	Mode       design.DriveMode
	Bridge     design.Bridge
	Main, Kick float64
	Rows       int // on at once, in mode scan
	Coils      int // in series on an output; 0 as 1
}

// Aim is what drives are asked for.
type Aim struct {
	// Hold is the hold ratio of a lone lit pixel, or where a drop needs nothing to stay the
	// force on it in N; 0 for the design's own.
	Hold float64
	Move float64 // s, of a drop to its neighbour; 0 for the design's own where its drops are carried, else for the scene's shortest frame
	Most int     // drives worked out in full; 0 for 7, or 2 where moves are planned for each
	By   Goal    // of Ranks
}

// Parts is the fewest chips, diodes and supplies first.
const Parts Goal = "parts"

// Ranks are what drives are ranked by, among those that break nothing.
var Ranks = []Goal{Heat, Parts, Price}

// Driven is a drive worked out in full with the scene.
type Driven struct {
	*Choice
	Way
	Lone     float64   // what Aim.Hold asks for
	Power    float64   // W from the rails, mean of the scene, what switching loses included
	Edges    float64   // W of it that switching loses
	Ripple   float64   // of a held coil's current, RMS over its mean
	Parts    int       // driver chips, diodes beside them and at coils, supplies
	Supplies []Supply  // of the main rail and of a kick rail; without power where none on offer carries it
	Needs    []float64 // W, that each must give
}

// Stopped is a way that is no drive here.
type Stopped struct {
	Way
	Limit Limit
	Volts float64 // that would do at full duty, on the rail that is short; 0 where no voltage would
	Why   string  // in words, where no limit says it
}

// Advice is what the adviser found.
type Advice struct {
	Hold, Move float64
	Force      bool // Hold is a force
	Tried      int
	Drives     []Driven // ranked, the best first
	Stopped    []Stopped
	// Coils are how many in series were tried, and Apart is where the scene wants two in a row
	// of the fewest singly; nil where it nowhere does, or where moves are planned, which do.
	Coils []int
	Apart *Apart
}

// First is the best drive, nil without one.
func (a *Advice) First() *Choice {
	if len(a.Drives) == 0 {
		return nil
	}
	return a.Drives[0].Choice
}

// Apart is a pixel that has another level in a frame than the first of its string.
type Apart struct{ Frame, First, Pixel int }

// adviser brings ways of driving to one pull and one time of a move.
type adviser struct {
	own   *grid.Grid // the design, drops just switched
	offer Offer
	aim   Aim
	force bool
	use   use
	carry bool

	// What the fluid must feel, as a steady current, A: to hold, to be moved by a kick, and
	// to be moved by switching where nothing is kicked.
	held, kicked, switched float64
}

// tuned is a way with its frequency and duties.
type tuned struct {
	Way
	frequency, duty, hold float64
	heat                  float64 // W, of a lit pixel and its driver
	sold                  bool    // supplies on offer would carry the most that is lit at once
}

// sameFelt is how far a drive may be short of a current: what is wanted was solved for to 1e-4, and
// a design at full duty is to do what it does.
const sameFelt = 1e-3

// SameHeat is how much more heat than the least counts as equal, when the lowest frequency of
// such is taken; DutyStep how finely the duty of a move is put right.
const (
	SameHeat = 1.05
	DutyStep = 1.03
)

// FindDrives ranks the ways to drive a design's coils by the supplies on offer.
func FindDrives(ctx context.Context, d design.Design, s scenes.Scene, o Offer, aim Aim) (*Advice, error) {
	if k := d.Supply.Kind; k != supply.Usual { // a port is there already, and costs nothing
		o.Supplies = nil
		for _, v := range k.Voltages() {
			for _, w := range k.Powers(v) {
				o.Supplies = append(o.Supplies, Supply{Volts: v, Power: w})
			}
		}
	}
	a := &adviser{offer: o, aim: aim, carry: d.Scene.Carry, use: useOf(s)}
	g, err := grid.New(ctx, d, 0)
	if err != nil {
		return nil, err
	}
	a.own = g.With(choreograph.Switched(d))
	if aim.Most == 0 {
		if a.aim.Most = 7; a.carry { // one of each mode, singly and in series
			a.aim.Most = 2
		}
	}
	if err := a.want(ctx, g, s); err != nil {
		return nil, err
	}
	out := &Advice{Hold: a.aim.Hold, Move: a.aim.Move, Force: a.force}
	if !a.carry {
		out.Coils, out.Apart = together(d, s)
	}
	var best []tuned
	for _, w := range a.ways(s, out.Coils) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var list []tuned
		var stop *Stopped
		for _, f := range a.frequencies() {
			out.Tried++
			x, no, err := a.tune(w, f)
			if err != nil {
				return nil, err
			}
			if no == nil {
				list = append(list, x)
			} else if stop == nil || no.Limit == stop.Limit && no.Volts < stop.Volts {
				stop = no
			}
		}
		if len(list) == 0 {
			out.Stopped = append(out.Stopped, *stop)
			continue
		}
		least := slices.MinFunc(list, func(x, y tuned) int { return cmp.Compare(x.heat, y.heat) }).heat
		best = append(best, list[slices.IndexFunc(list, func(x tuned) bool { return x.heat <= SameHeat*least })])
	}
	picked := a.pick(best)
	worked, why := make([]*Driven, len(picked)), make([]string, len(picked))
	// None knows of the others.
	err = aside.Each(len(picked), func(i int) error {
		w, err := a.work(ctx, s, picked[i])
		if refused(ctx, err) {
			why[i] = err.Error()
			return nil
		}
		worked[i] = w
		return err
	})
	if err != nil {
		return nil, err
	}
	for i, x := range picked {
		if worked[i] == nil {
			out.Stopped = append(out.Stopped, Stopped{Way: x.Way, Why: why[i]})
			continue
		}
		out.Drives = append(out.Drives, *worked[i])
	}
	slices.SortStableFunc(out.Drives, func(x, y Driven) int {
		return cmp.Or(cmp.Compare(x.class(), y.class()), cmp.Compare(x.rank(aim.By), y.rank(aim.By)), cmp.Compare(x.Power, y.Power))
	})
	return out, nil
}

// class is 0 of drives that break nothing, 1 of those that do, 2 of those that no supply on
// offer carries, 3 without a steady state.
func (x Driven) class() int {
	switch {
	case x.Verdict.Unrest != nil:
		return 3
	case x.Misses(Bought):
		return 2
	case len(x.Broken)+len(x.Verdict.Problems) > 0:
		return 1
	}
	return 0
}

func (x Driven) rank(by Goal) float64 {
	switch by {
	case Parts:
		return float64(x.Parts)
	case Price:
		return x.Price
	}
	return x.Power
}

// kicks is how often a pixel is newly lit per second that it is lit.
func kicks(s scenes.Scene) float64 {
	n, lit := 0.0, 0.0
	for k, f := range s.Frames {
		before := s.Frames[(k+len(s.Frames)-1)%len(s.Frames)].Levels
		for i, v := range f.Levels {
			if v != 0 {
				lit += f.Duration
				if before[i] == 0 {
					n++
				}
			}
		}
	}
	return n / max(lit, 1e-9)
}

// measure is the hold of a lone lit pixel, or the force where every pixel holds.
func (a *adviser) measure(g *grid.Grid) float64 {
	if a.force {
		return hold.LoneForce(g, 1)
	}
	return hold.LoneHold(g)
}

// want finds what the fluid must feel for the wanted hold and time.
func (a *adviser) want(ctx context.Context, g *grid.Grid, s scenes.Scene) error {
	if a.force = math.IsInf(hold.LoneHold(a.own), 1); a.aim.Hold == 0 {
		a.aim.Hold = a.measure(a.own)
	}
	if !(a.aim.Hold > 0) {
		return fmt.Errorf("choosing a drive: the design holds no drop to compare with; say how much hold is wanted")
	}
	var err error
	if a.aim.Move = cmp.Or(a.aim.Move, a.offer.Move); a.aim.Move == 0 && a.carry {
		if a.aim.Move, err = slowest(ctx, g, handover.Kick); err != nil { // the design's own
			return err
		}
	}
	if a.aim.Move == 0 || math.IsInf(a.aim.Move, 1) {
		a.aim.Move = useOf(s).moving
	}
	// A current without a ripple to speak of, on the highest rail, whatever the design's own.
	w := Way{Mode: design.DriveStagger, Bridge: a.own.Design.Drive.Bridge, Main: slices.Max(a.volts())}
	steady := studies.UsualFrequencies[len(studies.UsualFrequencies)-1]
	at := func(duty float64) *grid.Grid { return a.at(tuned{Way: w, frequency: steady, duty: duty}) }
	top := at(1)
	if most := a.measure(top); most < a.aim.Hold {
		a.held = feltHeld(top) * math.Sqrt(a.aim.Hold/most) // as the pull goes with the square
		a.kicked, a.switched = math.Inf(1), math.Inf(1)
		return nil
	}
	duty, _ := root.Boundary(func(duty float64) bool { return a.measure(at(duty)) >= a.aim.Hold }, 1, 0, 1e-4)
	g = at(duty)
	if a.held = feltHeld(g); a.carry {
		a.kicked, a.switched = 0, math.Inf(1) // the moves are planned
		return nil
	}
	find := func(hop func(level float64) handover.Hop) (float64, error) {
		fast := func(log float64) (bool, error) {
			time, err := beside(g, func(from, to int) (handover.Passage, error) {
				return handover.Hopped(ctx, g, from, to, hop(math.Exp(log)))
			})
			return time <= a.aim.Move, err
		}
		low, high := 0.0, math.Log(feltHeld(top)/a.held)
		if ok, err := fast(high); err != nil || !ok {
			return math.Inf(1), err
		}
		if ok, err := fast(low); err != nil || ok {
			return a.held, err
		}
		log, _, err := root.Edge(ctx, fast, high, low, 0.02)
		return a.held * math.Exp(log), err
	}
	if a.kicked, err = find(func(v float64) handover.Hop { return handover.Hop{Rest: 1, Kick: v} }); err != nil {
		return err
	}
	a.switched, err = find(func(v float64) handover.Hop { return handover.Hop{Rest: v, Kick: v} })
	return err
}

// volts are those of the supplies on offer, ascending.
func (a *adviser) volts() []float64 {
	var list []float64
	for _, s := range a.offer.Supplies {
		list = append(list, s.Volts)
	}
	return sorted(list, cmp.Compare[float64])
}

// mostRows are the most rows of a scan that are tried at once, of the divisors of all: each
// cuts every column's line once more.
const mostRows = 8

// together are how many coils can be in series where neighbours in a row always have one
// level, and where those of the fewest have not.
func together(d design.Design, s scenes.Scene) (list []int, apart *Apart) {
	for n := 2; n <= d.Grid.Cols && n <= d.Drive.MostLit; n++ {
		if d.Grid.Cols%n != 0 {
			continue
		}
		d.Drive.InSeries = n
		switch at := parted(d, s); {
		case at == nil:
			list, apart = append(list, n), nil
		case list == nil && apart == nil:
			apart = at
		}
	}
	return list, apart
}

// parted is the first pixel that has another level than the first of its string.
func parted(d design.Design, s scenes.Scene) *Apart {
	for k, f := range s.Frames {
		for i, v := range f.Levels {
			if from, _ := d.String(i); v != f.Levels[from] {
				return &Apart{k, from, i}
			}
		}
	}
	return nil
}

// ways are all ways on offer. A scan's lines are shared, so that each pixel needs a diode and
// its current goes one way.
func (a *adviser) ways(s scenes.Scene, coils []int) (list []Way) {
	bridges := []design.Bridge{design.BridgeFull, design.BridgeLowSide}
	if slices.ContainsFunc(s.Frames, func(f scenes.Frame) bool { return slices.Min(f.Levels) < 0 }) || a.own.Design.Scene.Level < 0 {
		bridges = bridges[:1]
	}
	for _, main := range a.volts() {
		for _, bridge := range bridges {
			if a.carry { // planned moves have a driver for every pixel, make their own kicks, and take long to plan
				mode := design.DriveStagger
				if a.own.Design.Drive.Mode == design.DriveDirect {
					mode = design.DriveDirect
				}
				list = append(list, Way{Mode: mode, Bridge: bridge, Main: main, Kick: main})
				continue
			}
			for _, n := range append([]int{0}, coils...) { // singly, and in series
				list = append(list, Way{Mode: design.DriveDirect, Bridge: bridge, Main: main, Kick: main, Coils: n}, Way{Mode: design.DriveStagger, Bridge: bridge, Main: main, Kick: main, Coils: n})
				for _, kick := range a.volts() {
					if kick == main || kick > main && a.own.Design.Supply.Kind == supply.Usual { // a port gives one voltage
						list = append(list, Way{Mode: design.DriveKick, Bridge: bridge, Main: main, Kick: kick, Coils: n})
					}
				}
			}
			for rows := 1; bridge == design.BridgeLowSide && rows <= mostRows; rows++ {
				if all := a.own.Design.Grid.Rows; all%rows == 0 && (rows < all || all == 1) { // all of them would be no scan
					list = append(list, Way{Mode: design.DriveScan, Bridge: bridge, Main: main, Kick: main, Rows: rows})
				}
			}
		}
	}
	return list
}

// frequencies are the usual ones that the driver switches, and the design's own.
func (a *adviser) frequencies() []float64 {
	d := a.own.Design.Drive
	list := slices.DeleteFunc(slices.Clone(studies.UsualFrequencies), func(f float64) bool {
		return d.DriverFrequency > 0 && f > d.DriverFrequency || 2*d.EdgeTime*f >= 1
	})
	return sorted(append(list, d.Frequency), cmp.Compare[float64])
}

// driven is a design driven so.
func (x tuned) driven(d design.Design, move float64) design.Design {
	d.Drive.Mode, d.Drive.Bridge, d.Drive.Frequency, d.Drive.MaxDuty = x.Mode, x.Bridge, x.frequency, x.duty
	d.Supply.Voltage, d.Drive.KickVoltage, d.Drive.InSeries = x.Main, max(x.Main, x.Kick), max(x.Coils, 1)
	switch x.Mode {
	case design.DriveKick:
		d.Drive.KickTime, d.Drive.HoldDuty = move, x.hold
	case design.DriveScan:
		d.Drive.ScanRows = x.Rows
	}
	return d
}

func (a *adviser) at(x tuned) *grid.Grid {
	return a.own.With(x.driven(a.own.Design, a.aim.Move))
}

// feltHeld is the steady current that the fluid feels like what holds it, A: the root of the
// mean square as far as it follows.
func feltHeld(g *grid.Grid) float64 {
	c := g.Pixel.Full
	s := g.Stretch(g.Pixel, c.On)
	all, mean := c.Share*(s.Mean*s.Mean+s.Along*s.Along), c.Mean()*c.Mean()
	if c.Share < 1 {
		all = mean + g.FollowsTurns()*(all-mean)
	}
	return math.Sqrt(all)
}

// feltKick is that of a kick.
func feltKick(g *grid.Grid) float64 {
	s := g.Stretch(g.Pixel, g.Pixel.Full.Kick)
	return math.Hypot(s.Mean, s.Along)
}

// tune finds the duties of a way at a frequency, by what the fluid feels.
func (a *adviser) tune(w Way, frequency float64) (x tuned, no *Stopped, err error) {
	x = tuned{Way: w, frequency: frequency, duty: 1, hold: 1}
	// reach is the least of a duty that makes the fluid feel enough.
	reach := func(duty *float64, need, rail float64, limit Limit, felt func(*grid.Grid) float64) {
		at := func(v float64) float64 {
			*duty = v
			return felt(a.at(x))
		}
		top := at(1)
		if top < need*(1-sameFelt) {
			drop := x.driven(a.own.Design, a.aim.Move).PathDrop()
			if no = (&Stopped{Way: w, Limit: limit, Volts: drop + (rail-drop)*need/top}); math.IsInf(need, 1) {
				no.Volts = 0
			}
			return
		}
		if top >= need { // else full duty
			*duty, _ = root.Boundary(func(v float64) bool { return at(v) >= need }, 1, 0, 1e-4)
		}
	}
	hold, move := verdict.Holding, Move
	if w.Mode == design.DriveKick {
		if reach(&x.hold, a.held, w.Main, hold, feltHeld); no == nil {
			reach(&x.duty, a.kicked, w.Kick, move, feltKick)
		}
	} else if reach(&x.duty, a.held, w.Main, hold, feltHeld); no == nil && !a.carry && a.switched > a.held {
		reach(&x.duty, a.switched, w.Main, move, feltHeld)
	}
	if no != nil {
		return x, no, nil
	}
	g := a.at(x)
	parts, err := studies.Parts(g)
	if err != nil {
		return x, nil, err
	}
	if most := g.Design.Drive.DriverCurrent; most > 0 && parts.Peak > most {
		return x, &Stopped{Way: w, Limit: verdict.Driver}, nil
	}
	held := g.Pixel.Held(g.Design)
	x.heat = held.Power.Value + parts.Switching/float64(g.Design.Coils())
	main, kick := a.use.most*held.Power.Value, 0.0
	if k := g.Pixel.Full.Kick; w.Mode == design.DriveKick {
		spent := k.MeanSquare*(g.Pixel.Coil.Cold().Value+g.Design.Switches()) + k.Steel()
		x.heat += spent * min(1, a.use.kicks*k.Seconds)
		if kick = a.use.most * spent; w.Kick == w.Main {
			main, kick = max(main, kick), 0
		}
	}
	wires := supply.AtTerminals(g.Design.Supply.Tolerance)
	_, carried := a.offer.supply(w.Main, main*wires, g.Design.UsableShare())
	_, kicked := a.offer.supply(w.Kick, kick*wires, g.Design.UsableShare())
	x.sold = carried && (kick == 0 || kicked)
	return x, nil, nil
}

// pick takes the coolest of every mode, singly and in series, then the coolest of all, those first that supplies on
// offer would carry.
func (a *adviser) pick(list []tuned) (out []tuned) {
	slices.SortStableFunc(list, func(x, y tuned) int {
		if x.sold != y.sold {
			if x.sold {
				return -1
			}
			return 1
		}
		return cmp.Compare(x.heat, y.heat)
	})
	type kind struct {
		mode     design.DriveMode
		inSeries bool
	}
	seen := map[kind]bool{}
	var rest []tuned
	for _, x := range list {
		if k := (kind{x.Mode, x.Coils > 1}); seen[k] {
			rest = append(rest, x)
		} else {
			seen[k], out = true, append(out, x)
		}
	}
	out = append(out, rest...)
	return out[:min(len(out), a.aim.Most)]
}

// changes make a design of a drive; a duty is rounded up to four digits.
func (x tuned) changes(from design.Design, move float64) []design.Change {
	share := func(v float64) string { return quantity.Exact(math.Min(math.Ceil(v*1e4-1e-6)/1e4, 1), quantity.Ratio) }
	volts := func(v float64) string { return quantity.Exact(v, quantity.Voltage) }
	list := []design.Change{
		{Key: "drive.mode", Value: string(x.Mode)}, {Key: "drive.bridge", Value: string(x.Bridge)}, {Key: "supply.voltage", Value: volts(x.Main)}, {Key: "drive.kick_voltage", Value: volts(max(x.Main, x.Kick))},
		{Key: "drive.frequency", Value: quantity.Exact(x.frequency, quantity.Frequency)}, {Key: "drive.max_duty", Value: share(x.duty)}, {Key: "supply.power", Value: "0 W"},
	}
	if n := max(x.Coils, 1); n != from.Coils() {
		list = append(list, design.Change{Key: "drive.in_series", Value: fmt.Sprint(n)})
	}
	switch x.Mode {
	case design.DriveScan:
		list = append(list, design.Change{Key: "drive.scan_rows", Value: fmt.Sprint(x.Rows)})
	case design.DriveKick:
		list = append(list, design.Change{Key: "drive.kick_time", Value: quantity.Exact(move, quantity.Time)}, design.Change{Key: "drive.hold_duty", Value: share(x.hold)})
	}
	return list
}

// exactly is the drive with its duties put right with the grid itself, that grid, and the
// time of a move in s where moves are not planned.
func (a *adviser) exactly(ctx context.Context, x tuned) (tuned, *grid.Grid, float64, error) {
	duty := &x.duty
	if x.Mode == design.DriveKick {
		duty = &x.hold
	}
	at := func(v float64) float64 {
		*duty = v
		return a.measure(a.at(x)) / a.aim.Hold
	}
	low, high := 0.7**duty, min(1.4**duty, 1)
	// Where switching asks for more than the hold, more is held.
	if x.Mode == design.DriveKick || a.carry || a.switched <= a.held {
		least, most := at(low), at(high)
		if *duty = high; least < 1 && most >= 1 {
			var err error
			if _, *duty, err = root.Find(ctx, func(v float64) (float64, error) { return at(v) - 1, nil }, low, high, 1e-4); err != nil {
				return x, nil, 0, err
			}
		}
	}
	for {
		g, err := a.grid(ctx, x)
		if err != nil || a.carry {
			return x, g, 0, err
		}
		time, err := slowest(ctx, g, schemeOf(x.Mode))
		if err != nil || time <= a.aim.Move || x.duty == 1 {
			return x, g, time, err
		}
		x.duty = min(DutyStep*x.duty, 1)
	}
}

// grid is that of a drive as it is told.
func (a *adviser) grid(ctx context.Context, x tuned) (*grid.Grid, error) {
	d, err := a.own.Design.With(x.changes(a.own.Design, a.aim.Move)...)
	if err != nil {
		return nil, err
	}
	return a.own.Changed(ctx, d)
}

// schemeOf is how a drive's mode passes a drop on: what it does by itself.
func schemeOf(m design.DriveMode) handover.Scheme {
	if m == design.DriveKick {
		return handover.Kick
	}
	return handover.Switch
}

// work works a drive out in full, with the cheapest supplies on offer that carry it.
func (a *adviser) work(ctx context.Context, s scenes.Scene, x tuned) (*Driven, error) {
	x, g, time, err := a.exactly(ctx, x)
	if err != nil {
		return nil, err
	}
	out := &Driven{Way: x.Way}
	out.Lone = a.measure(g)
	parts, err := studies.Parts(g)
	if err != nil {
		return nil, err
	}
	changes := x.changes(a.own.Design, a.aim.Move)
	if a.carry {
		more, err := kicked(ctx, g, a.aim.Move)
		if err != nil {
			return nil, err
		}
		changes = append(slices.DeleteFunc(changes, func(c design.Change) bool { return c.Key == "drive.max_duty" || c.Key == "drive.mode" }), more...)
		d, err := g.Design.With(more...)
		if err != nil {
			return nil, err
		}
		if g, err = g.Changed(ctx, d); err != nil {
			return nil, err
		}
		if time, err = slowest(ctx, g, handover.Kick); err != nil {
			return nil, err
		}
	}
	if out.Choice, err = judge(ctx, g, s, time, a.aim.Move, nil); err != nil {
		return nil, err
	}
	on := g.Pixel.Full.On
	out.Changes, out.Ripple = changes, on.Ripple(0)/math.Abs(on.Average)
	out.Parts = parts.Chips
	if out.Parts += g.Design.Freewheels(); g.Design.PathDrop() > 0 {
		out.Parts += g.Design.Pixels()
	}
	out.Price = a.offer.DriverPrice * float64(parts.Chips)
	return out, a.buy(ctx, out, parts)
}

// buy puts the supplies to a drive.
func (a *adviser) buy(ctx context.Context, out *Driven, parts studies.DriverParts) error {
	v := out.Verdict
	if v.Unrest != nil {
		out.Power, out.Price = math.Inf(1), math.Inf(1)
		return nil
	}
	z, lit := v.Summary, 0.0
	for _, e := range v.Ledger.Entries {
		lit += float64(e.Lit) * e.Duration / z.Duration
	}
	out.Edges = parts.Switching * lit / float64(out.Design.Coils())
	out.Power = z.AveragePower + out.Edges
	take := func(volts, watts float64) {
		bought, ok := a.offer.supply(volts, watts, out.Design.UsableShare())
		if !ok {
			bought = Supply{Volts: volts, Price: math.Inf(1)}
			if !out.Misses(Bought) {
				out.Broken = append(out.Broken, Bought)
			}
		}
		out.Supplies, out.Needs, out.Price, out.Parts = append(out.Supplies, bought), append(out.Needs, watts), out.Price+bought.Price, out.Parts+1
	}
	take(out.Main, v.Supply.Need())
	g := out.Grid.With(out.Design)
	kick, _, err := studies.KickSizing(ctx, g, out.played, v.Ledger)
	if err != nil {
		return err
	}
	if kick != nil {
		take(out.Way.Kick, kick.Need())
	}
	if out.Supplies[0].Power == 0 {
		return nil
	}
	// The supply that is bought is judged as every supply is.
	power := design.Change{Key: "supply.power", Value: quantity.Exact(out.Supplies[0].Power, quantity.Power)}
	for i := range out.Changes {
		if out.Changes[i].Key == power.Key {
			out.Changes[i] = power
		}
	}
	if out.Design, err = out.Design.With(power); err != nil {
		return err
	}
	g = g.With(out.Design)
	if v.Supply, err = studies.Sizing(ctx, g, out.played, v.Ledger); err == nil && v.Supply.Load.Value > 1 && !out.Misses(Bought) {
		out.Broken = append(out.Broken, Bought)
	}
	return err
}
