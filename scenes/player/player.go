package player

import (
	"context"
	"errors"
	"fmt"
	"math"

	"lodegrid/array/cooling"
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/heat"
	"lodegrid/array/hold"
	"lodegrid/field"
	"lodegrid/scenes"
)

// Player steps a grid through time. It is not safe for concurrent use.
type Player struct {
	grid  *grid.Grid
	drive *drive.Drive
	meter *drive.Meter
	rail  drive.Load // of the last frame
	known float64    // A, the greatest peak in the ledger
	net   *heat.Network
	hold  *hold.Meter

	plane      *grid.Plane
	kick       kick
	lasts      float64 // s, the last frame
	pixels     []drive.PixelState
	resistance []float64
	led        []float64 // by what a pixel's leads and tracks raise its resistance, see grid.Drawn; nil where they are not counted
	currents   grid.Currents
	states     []grid.State
	holds      []float64
	load       frameLoad
	seen       seen
	about      []float64   // K, where Mean looks first for the coils; nil for the room's
	touchFrom  *[2]float64 // K behind front and back, see touchLimits
	failing    []int
	falseOn    []int
	time       float64
	frames     int
	ledger     Ledger
}

// New returns a player at rest: every coil at ambient temperature and without
// current.
func New(g *grid.Grid) (*Player, error) {
	// A tenth of a second at most: not worth cutting short.
	params, err := cooling.Params(context.Background(), g.Design, g.Pixel)
	if err != nil {
		return nil, err
	}
	net := heat.New(params)
	return assemble(g, net)
}

func assemble(g *grid.Grid, net *heat.Network) (*Player, error) {
	d := g.Design
	drv := g.Drive(d.Scene.FrameTime)
	drawn, err := g.Drawn(context.Background()) // tenths of a second, too
	if err != nil {
		return nil, err
	}
	n := d.Pixels()
	p := &Player{
		grid: g, led: drawn.Led, drive: drv, meter: drv.NewMeter(), net: net, hold: hold.New(g), plane: grid.NewPlane(g.Raster),
		pixels: make([]drive.PixelState, n), resistance: make([]float64, n), currents: g.NewCurrents(),
		states: make([]grid.State, n), holds: make([]float64, n),
		load: newFrameLoad(drv, n, g.Pixel.Coil.Resistance(field.RoomTemperature), d.Heat.Ambient+usualRise),
	}
	p.Reset()
	return p, nil
}

// With is a player of the same display with another drive, supply, cooling, limits or
// scene settings, at rest. The two share nothing that is written to. The kernel per
// ampere is kept; see grid.Grid.With.
func (p *Player) With(change func(*design.Design)) (*Player, error) {
	d := p.grid.Design
	change(&d)
	g := p.grid.With(d)
	return p.Near(g)
}

// Twin is a player of the same display, as warm as this one is, its scene not begun. The two share
// nothing that is written to.
func (p *Player) Twin() (*Player, error) {
	q, err := p.Near(p.grid)
	if err != nil {
		return nil, err
	}
	state := make([][]float64, p.net.States())
	for i := range state {
		state[i] = p.net.State(i)
	}
	q.net.StartFrom(state)
	return q, nil
}

// Hung is a player of the same display, at rest, with something else behind it.
func (p *Player) Hung(back design.Back, airSpeed float64) (*Player, error) {
	d := p.grid.Design
	d.Heat.Back, d.Heat.AirSpeed = back, airSpeed
	if airSpeed == 0 {
		d.Heat.AirFlow = 0
	}
	g := p.grid.With(d)
	net := heat.New(cooling.Behind(p.net.Params(), d))
	return p.passed(assemble(g, net))
}

// passed looks for the coils' heat in another player of the display where this one does.
func (p *Player) passed(q *Player, err error) (*Player, error) {
	if err == nil {
		q.about = p.about
	}
	return q, err
}

// ohms is a pixel's resistance with its coil at a temperature in kelvin, and what lies between
// it and its driver as warm: the heat of that is taken as the coil's own, to the safe side.
func (p *Player) ohms(pixel int, tempK float64) float64 {
	r := p.load.ohms(tempK)
	if p.led != nil {
		r *= p.led[pixel]
	}
	return r
}

// usualRise is a coil's rise over the air at which the law of its heat is taken, K.
const usualRise = 30

// Reset puts the display back to rest at ambient temperature and empties the
// ledger.
func (p *Player) Reset() {
	p.net.Start(p.grid.Design.Heat.Ambient)
	clear(p.pixels)
	p.time, p.frames, p.seen.valid = 0, 0, false
	p.known = 0
	p.ledger = newLedger(p.grid.Design.Pixels())
}

// Warm starts the display as if a scene had been looping for hours, and returns the
// steady state of the scene's average heat, about which a loop swings. A scene with no
// steady state gives a *heat.RunawayError.
func (p *Player) Warm(ctx context.Context, s scenes.Scene) (heat.Result, error) {
	r, err := p.Mean(ctx, s)
	if err != nil {
		return r, err
	}
	return r, p.settle(ctx, s, r.State(), settleLoops)
}

// WarmTo starts the display as it is at the beginning of a frame of a looping scene,
// settled over one loop. The error is that of Warm.
func (p *Player) WarmTo(ctx context.Context, s scenes.Scene, frame int) error {
	r, err := p.Mean(ctx, s)
	if err == nil {
		err = p.settle(ctx, s, r.State(), 1)
	}
	if err != nil {
		return err
	}
	return p.heatThrough(ctx, s.Frames[:frame], nil)
}

// LoopPeaks steps a looping scene once through, currents and heat only, from the state
// it settles in, and returns the highest temperatures of coils and of touchable
// surfaces, K. The error is that of Warm.
func (p *Player) LoopPeaks(ctx context.Context, s scenes.Scene) (board, touch float64, err error) {
	if _, err := p.Warm(ctx, s); err != nil {
		return 0, 0, err
	}
	err = p.heatThrough(ctx, s.Frames, func(e Entry) { board, touch = max(board, e.Hottest), max(touch, e.Touch) })
	return board, touch, err
}

// MeanPeaks is the highest temperature of any turn and those of any spot behind the front
// and the back, K, with a looping scene's mean heat held. The error is that of Warm.
func (p *Player) MeanPeaks(ctx context.Context, s scenes.Scene) (board float64, behind [2]float64, err error) {
	if _, err := p.Mean(ctx, s); err != nil {
		return 0, behind, err
	}
	board, _ = p.net.HottestTurn()
	return board, p.net.HottestSpots(), nil
}

// Plume is what the air that rises along an upright display does to a looping scene's mean
// heat, K: to the hottest turn, to the hottest surface within reach, and to the boards of
// the top row and the bottom row on average. The error is that of Warm.
type Plume struct{ Hottest, Touch, Top, Bottom float64 }

// Plume works it out; the display is left warm.
func (p *Player) Plume(ctx context.Context, s scenes.Scene) (u Plume, err error) {
	r, err := p.Mean(ctx, s)
	if err != nil {
		return u, err
	}
	hottest, _ := p.net.HottestTurn()
	touch := p.Touch()
	layers, err := p.net.Plumed(ctx, r)
	if err != nil {
		return u, err
	}
	cols := p.grid.Design.Grid.Cols
	for c := range cols {
		last := len(layers[cooling.BoardLayer]) - cols + c
		u.Top += (layers[cooling.BoardLayer][c] - r.Layers[cooling.BoardLayer][c]) / float64(cols)
		u.Bottom += (layers[cooling.BoardLayer][last] - r.Layers[cooling.BoardLayer][last]) / float64(cols)
	}
	r.Layers = layers
	p.net.StartFrom(r.State())
	turn, _ := p.net.HottestTurn()
	u.Hottest, u.Touch = turn-hottest, p.Touch()-touch
	return u, nil
}

// heatThrough steps through frames, currents and heat only; see may be nil.
func (p *Player) heatThrough(ctx context.Context, frames []scenes.Frame, see func(Entry)) error {
	for _, f := range joined(frames) {
		if err := ctx.Err(); err != nil {
			return err
		}
		e := Entry{Duration: f.Duration}
		p.measure()
		if err := p.power(ctx, &e, f.Levels); err != nil {
			return fmt.Errorf("frame %d: %w", firstLike(frames, f)+1, err)
		}
		if see != nil {
			p.tellHeat(&e)
			see(e)
		}
	}
	return nil
}

// errUnsettled says that the state a scene settles in was not found.
var errUnsettled = errors.New("the coils' heat does not settle")

// Restless tells whether an error says that a looping scene has no state to settle in:
// it runs away, leaves what the model knows, or was not seen to settle.
func Restless(err error) bool {
	var runaway *heat.RunawayError
	return errors.As(err, &runaway) || errors.Is(err, errUnsettled)
}

// Mean starts the display at the steady state of a scene's average heat and returns it.
// The error is that of Warm.
//
// The heat of a coil follows its temperature by the drive's own law, which no simple
// formula tells while L/R is near the PWM's on-time. So the average is taken at the
// temperatures found, and they are found again, until they stand.
func (p *Player) Mean(ctx context.Context, s scenes.Scene) (heat.Result, error) {
	if err := p.fits(s); err != nil {
		return heat.Result{}, err
	}
	n := p.grid.Design.Pixels()
	mean := &frameLoad{
		resistance20: p.load.resistance20, law: p.load.law,
		watts: make([]float64, n), start: make([]float64, n), exponent: make([]float64, n),
	}
	for i := range mean.start {
		mean.start[i] = field.RoomTemperature
	}
	copy(mean.start, p.about)
	frames := joined(s.Frames)
	states, resistance := make([]drive.PixelState, n), make([]float64, n)
	for range warmRounds {
		if err := ctx.Err(); err != nil {
			return heat.Result{}, err
		}
		if err := p.averageHeat(mean, s, frames, states, resistance); err != nil {
			return heat.Result{}, err
		}
		r, err := p.net.Steady(ctx, mean)
		if err != nil {
			return r, fmt.Errorf("looking for the looped scene's steady state: %w", err)
		}
		moved := 0.0
		for i, t := range r.Coils {
			moved = max(moved, math.Abs(t-mean.start[i]))
			mean.start[i] = t
		}
		if moved > warmTolerance {
			continue
		}
		p.net.StartFrom(r.State())
		return r, nil
	}
	return heat.Result{}, fmt.Errorf("looking for the looped scene's steady state: %w within %g K in %d rounds", errUnsettled, warmTolerance, warmRounds)
}

// warmTolerance is how far a coil's temperature may move in Mean's last round, K;
// warmRounds bounds the rounds, of which each leaves a third of the distance or less.
const (
	warmTolerance = 0.02
	warmRounds    = 40
)

// averageHeat takes the time average of a scene's heat, its frames joined, at the
// temperatures load.start.
func (p *Player) averageHeat(load *frameLoad, s scenes.Scene, frames []scenes.Frame, states []drive.PixelState, resistance []float64) error {
	for i, t := range load.start {
		resistance[i] = p.ohms(i, t)
	}
	clear(states)
	clear(load.watts)
	clear(load.exponent)
	total := s.Duration()
	for _, f := range frames {
		if err := p.drive.FrameFor(states, f.Levels, resistance, f.Duration); err != nil {
			return fmt.Errorf("scene %q, frame %d: %w", s.Name, firstLike(s.Frames, f)+1, err)
		}
		for k, st := range states {
			watts := (st.Copper + st.OnBoard) * f.Duration / total
			load.watts[k] += watts
			load.exponent[k] += watts * load.law.at(f.Levels[k])
		}
	}
	for k, w := range load.watts { // weighted with the heat
		if w > 0 {
			load.exponent[k] /= w
		}
	}
	return nil
}

func (p *Player) fits(s scenes.Scene) error {
	d := p.grid.Design.Grid
	if s.Rows != d.Rows || s.Cols != d.Cols {
		return fmt.Errorf("scene %q is for %d × %d pixels, the grid has %d × %d", s.Name, s.Cols, s.Rows, d.Cols, d.Rows)
	}
	return s.Validate()
}

// Play steps through a whole scene and returns the ledger. after, when it is not nil, is
// called with the entries of the frames that were played in one step, mostly one; it may stop
// the play by returning an error.
func (p *Player) Play(ctx context.Context, s scenes.Scene, after func([]Entry) error) (*Ledger, error) {
	return p.play(ctx, s, rails, after)
}

// Try is Play without the worst instants of the rails, which take most of its time: the
// entries' RMS and peak currents and powers are 0.
func (p *Player) Try(ctx context.Context, s scenes.Scene, after func([]Entry) error) (*Ledger, error) {
	return p.play(ctx, s, holds, after)
}

func (p *Player) play(ctx context.Context, s scenes.Scene, what asked, after func([]Entry) error) (*Ledger, error) {
	if err := p.fits(s); err != nil {
		return nil, err
	}
	p.ledger.Scene = s.Name
	for i := 0; i < len(s.Frames); {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		run := p.alike(s.Frames[i:])
		list, err := p.through(ctx, run, what)
		if err != nil {
			return nil, fmt.Errorf("playing scene %q, frame %d: %w", s.Name, i+1, err)
		}
		if after != nil {
			if err := after(list); err != nil {
				return nil, err
			}
		}
		i += len(run)
	}
	p.ledger.Balance = p.net.Balance()
	ledger := p.ledger // what later runs of this player must not touch
	return &ledger, nil
}

// through plays frames of the same levels in one go: currents at the coils' present
// temperatures, heat while they last, then what is asked from their average currents. It
// adds an entry for each to the ledger and returns them.
func (p *Player) through(ctx context.Context, run []scenes.Frame, what asked) ([]Entry, error) {
	e, err := p.advance(ctx, scenes.Frame{Levels: run[0].Levels, Duration: total(run)}, what)
	if err != nil {
		return nil, err
	}
	e.Failing = append([]int(nil), p.failing...)
	e.FalseOn = append([]int(nil), p.falseOn...)
	p.frames += len(run) - 1
	p.known = max(p.known, e.SupplyPeakCurrent)
	return p.ledger.add(e, run, p.pixels, p.net.Coils(), p.net.Turns(), p.overTouch()), nil
}

// Show is Play of one frame without the ledger and the rails' worst instants; it does not allocate.
// Failing and FalseOn are valid until the next call.
func (p *Player) Show(ctx context.Context, f scenes.Frame) (Entry, error) {
	e, err := p.advance(ctx, f, holds)
	e.Failing, e.FalseOn = p.failing, p.falseOn
	return e, err
}

// Push is Show without hold: what moves fluid (Move) and warms coils.
func (p *Player) Push(ctx context.Context, f scenes.Frame) (Entry, error) {
	return p.advance(ctx, f, fluid)
}

func (p *Player) advance(ctx context.Context, f scenes.Frame, what asked) (Entry, error) {
	e := Entry{Frame: p.frames, Start: p.time, Duration: f.Duration}
	p.measure()
	stands := p.stands(f.Levels, what)
	if what == rails && stands {
		p.tell(&e)
	} else if what == rails {
		if err := p.rails(ctx, &e, f.Levels); err != nil {
			return e, err
		}
	}
	if err := p.begin(f.Levels, f.Duration); err != nil {
		return e, err
	}
	if err := p.power(ctx, &e, f.Levels); err != nil {
		return e, err
	}
	p.tellHeat(&e)
	switch {
	case stands:
	case what == fluid && p.kick.seconds >= f.Duration:
		p.seen.valid = false // it never comes to what holds
	default:
		see := p.see
		if what == fluid {
			see = p.feel
		}
		if err := see(f.Levels); err != nil {
			return e, err
		}
		p.keep(f.Levels, what)
	}
	p.part(f.Duration)
	if what > fluid {
		p.judge(&e)
	}
	p.time += f.Duration
	p.frames++
	return e, nil
}

// measure takes the coils' resistances at their present temperatures.
func (p *Player) measure() {
	for i, t := range p.net.Coils() {
		p.resistance[i] = p.ohms(i, t)
	}
}

// power drives the coils with levels for the entry's duration and warms them.
func (p *Player) power(ctx context.Context, e *Entry, levels []float64) error {
	if err := p.drive.FrameFor(p.pixels, levels, p.resistance, e.Duration); err != nil {
		return err
	}
	p.load.follow(levels)
	coil := p.net.Coils()
	for i := range p.pixels {
		p.load.watts[i], p.load.start[i] = p.pixels[i].Copper+p.pixels[i].OnBoard, coil[i]
		p.states[i] = p.grid.StateOf(levels[i])
	}
	p.sum(e)
	if err := p.net.Step(ctx, e.Duration, &p.load); err != nil {
		return fmt.Errorf("heating: %w", err)
	}
	return nil
}

// tellHeat tells how hot the display has become.
func (p *Player) tellHeat(e *Entry) {
	e.Hottest, e.HottestPixel = p.net.HottestTurn()
	e.Behind = p.net.HottestSpots()
	e.Touch = p.net.Over(e.Behind)
}

// judge compares the hold ratios with the limits.
func (p *Player) judge(e *Entry) {
	limits := p.grid.Design.Limits
	e.LeastHold, e.LeastHoldPixel, e.GreatestFalsePixel = math.Inf(1), -1, -1
	p.failing, p.falseOn = p.failing[:0], p.falseOn[:0]
	for i, h := range p.holds {
		switch p.states[i] {
		case grid.Lit:
			e.Lit++
			if h < e.LeastHold {
				e.LeastHold, e.LeastHoldPixel = h, i
			}
			if h < limits.Hold {
				p.failing = append(p.failing, i)
			}
		case grid.Dark:
			if h > e.GreatestFalseOn {
				e.GreatestFalseOn, e.GreatestFalsePixel = h, i
			}
			if h > limits.FalseOn {
				p.falseOn = append(p.falseOn, i)
			}
		}
	}
	e.CrosstalkMargin = limits.FalseOn - e.GreatestFalseOn
}

// Grid returns the grid being played.
func (p *Player) Grid() *grid.Grid { return p.grid }

// Pixels returns each pixel's currents in the last frame.
func (p *Player) Pixels() []drive.PixelState { return p.pixels }

// Holds returns each pixel's hold ratio in the last frame.
func (p *Player) Holds() []float64 { return p.holds }

// States returns what each pixel was meant to do in the last frame.
func (p *Player) States() []grid.State { return p.states }

// Coils returns each coil's temperature, K, valid until the next frame.
func (p *Player) Coils() []float64 { return p.net.Coils() }

// Network returns the heat network.
func (p *Player) Network() *heat.Network { return p.net }

// Drives returns the drive.
func (p *Player) Drives() *drive.Drive { return p.drive }
