package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/root"
	"lodegrid/scenes/player"
)

// Company is what the other pixels do while one is watched.
type Company string

// The companies.
const (
	Alone    Company = "alone"    // all others are off
	Together Company = "together" // all others do the same
)

// Companies lists both.
var Companies = []Company{Alone, Together}

// Pulses computes how much a pixel stands at constant voltages, switched hard on: single
// pulses, repeated ones, and for ever. A pixel alone stands in the middle of the board,
// of which at most span × span pixels are looked at. Pixels together are all alike, as
// in the middle of a large board; a board of fewer than large pixels is taken as
// it is.
type Pulses struct {
	nets   map[Company]*heat.Network
	lit    map[Company][]bool
	copper heat.Copper
	series float64 // Ω, a coil's part
	diode  float64 // V, in a coil's path
	coils  int     // in series on an output, whose voltage they share
	limit  float64 // K
	top    float64 // V
}

// span bounds the part of a board that a pixel alone is watched in: the whole of all but
// the largest, of which heat in a plate does not reach the edge of such a part.
const span = 33

// large is a board in whose middle, all on, no pixel knows of the edge, pixels.
const large = 121

// NewPulses returns the pulses of a player's display against its board limit.
func NewPulses(p *player.Player) *Pulses {
	d := p.Grid().Design
	t := &Pulses{
		nets: map[Company]*heat.Network{}, lit: map[Company][]bool{},
		copper: heat.Copper{Resistance20: p.Grid().Pixel.Coil.Resistance(field.RoomTemperature), Alpha: material.AnnealedCopper.TempCoefficient},
		series: d.Switches(), diode: d.PathDrop(), coils: d.Coils(), limit: d.Limits.Board,
		top: max(supply.HighestVoltage, 2*d.Supply.Voltage),
	}
	for _, c := range Companies {
		params := p.Network().Params()
		rows, cols := min(params.Rows, span), min(params.Cols, span)
		if c == Together && params.Rows*params.Cols >= large {
			rows, cols = 1, 1
		}
		if rows != params.Rows || cols != params.Cols {
			params.Rows, params.Cols = rows, cols
			layers := append([]heat.Layer(nil), params.Layers...)
			for i := range layers {
				layers[i].Rim = 0 // the cut is no edge
			}
			params.Layers = layers
		}
		net := heat.New(params)
		t.nets[c] = net
		lit := make([]bool, rows*cols)
		for i := range lit {
			lit[i] = c == Together || i/cols == rows/2 && i%cols/t.coils == cols/2/t.coils
		}
		t.lit[c] = lit
	}
	return t
}

// Top is the highest voltage looked at, V.
func (t *Pulses) Top() float64 { return t.top }

func (t *Pulses) share(c Company, share float64) []float64 {
	s := make([]float64, len(t.lit[c]))
	for i, on := range t.lit[c] {
		if on {
			s[i] = share
		}
	}
	return s
}

// Load is the heat at a constant voltage for a share of the time.
func (t *Pulses) load(c Company, volts, share float64) heat.Load {
	return &heat.VoltageDrive{Copper: t.copper, Volts: volts / float64(t.coils), Series: t.series, Diode: t.diode, Share: t.share(c, share)}
}

// Pulse is one row of a table of pulses.
type Pulse struct {
	Company  Company
	Voltage  float64 // V
	Start    float64 // K, of the whole board before the pulse
	Longest  float64 // s, until the coil is at the board's limit; +Inf if never within a day
	CoolDown float64 // s, from then to within a kelvin of the start, or of the air; 0 if never hot
	Heat     float64 // J, in one coil, until then; +Inf with Longest
}

// Repeat is how often pulses of a width may repeat for ever.
type Repeat struct {
	Company Company
	Voltage float64 // V
	Width   float64 // s
	Period  float64 // s, shortest; Width if the pulse may stay on, +Inf if none of that width may be
	Duty    float64 // greatest share of the time, for pulses far shorter than a coil takes to warm
}

// Table returns the longest single pulse for every company, start (K) and voltage, and
// the highest rate of pulses of a width (s) for every company and voltage. Starts at the
// board's limit or above are refused.
func (t *Pulses) Table(ctx context.Context, starts, volts []float64, width float64) ([]Pulse, []Repeat, error) {
	var pulses []Pulse
	var repeats []Repeat
	for _, c := range Companies {
		net := t.nets[c]
		air := net.Params().Ambient
		for _, v := range volts {
			r, err := net.Pulses(ctx, heat.PulseSpec{Load: func(share float64) heat.Load { return t.load(c, v, share) }, Start: air, Limit: t.limit, Width: width})
			if err != nil {
				return nil, nil, fmt.Errorf("pulses of %g V, pixels %s: %w", v, c, err)
			}
			repeats = append(repeats, Repeat{c, v, r.Width, r.Period, r.MaxDuty})
			for _, start := range starts {
				p, err := t.single(ctx, c, v, start)
				if err != nil {
					return nil, nil, fmt.Errorf("a pulse of %g V, pixels %s: %w", v, c, err)
				}
				pulses = append(pulses, p)
			}
		}
	}
	return pulses, repeats, nil
}

// longest is a single pulse without what follows it.
func (t *Pulses) longest(ctx context.Context, c Company, volts, start float64) (Pulse, error) {
	p := Pulse{Company: c, Voltage: volts, Start: start, Longest: math.Inf(1), Heat: math.Inf(1)}
	net := t.nets[c]
	if air := net.Params().Ambient; !(start >= air && start < t.limit) {
		return p, fmt.Errorf("a start at %.4g K: %.4g K (the air) or more is possible, and less than the board's limit of %.4g K", start, air, t.limit)
	}
	net.Start(start)
	seconds, reached, err := net.Until(ctx, t.load(c, volts, 1), t.limit, heat.Horizon)
	if err != nil || !reached {
		return p, err
	}
	p.Longest = seconds
	lit := 0.0
	for _, on := range t.lit[c] {
		if on {
			lit++
		}
	}
	p.Heat = net.Balance().Supplied / lit
	return p, nil
}

func (t *Pulses) single(ctx context.Context, c Company, volts, start float64) (Pulse, error) {
	p, err := t.longest(ctx, c, volts, start)
	if err != nil || math.IsInf(p.Longest, 1) {
		return p, err
	}
	cool, reached, err := t.nets[c].Until(ctx, t.load(c, volts, 0), start+1, heat.Horizon)
	p.CoolDown = cool
	if !reached {
		p.CoolDown = math.Inf(1)
	}
	return p, err
}

// Continuous is what a pixel stands without a break.
type Continuous struct {
	Company Company
	// Voltage is the highest constant voltage whose steady state keeps the board's
	// limit, V; Held is false if even the highest looked at does.
	Voltage float64
	Held    bool
	// Runaway is the voltage from which there is no steady state up to what the model
	// knows (Ceiling), V; +Inf for none up to the highest looked at. Feeds tells that heating
	// feeds itself there, rather than the ceiling being passed.
	Runaway float64
	Feeds   bool
	Ceiling float64 // K
	// Current is the highest constant current whose steady state keeps the limit, and
	// RunawayCurrent that from which there is none, A: a driver that regulates the
	// current heats more the hotter the coil is.
	Current, RunawayCurrent float64
	FeedsCurrent            bool
}

// Continuous returns what a pixel alone and pixels together stand without a break.
func (t *Pulses) Continuous(ctx context.Context) ([]Continuous, error) {
	var list []Continuous
	for _, c := range Companies {
		net := t.nets[c]
		h := Continuous{Company: c, Ceiling: net.Params().Ceiling}
		voltage := func(v float64) heat.Load { return t.load(c, v, 1) }
		amps := func(i float64) heat.Load {
			return &heat.CurrentDrive{Copper: t.copper, Amps: i, Share: t.share(c, 1)}
		}
		most := t.top / t.copper.Resistance20
		for _, s := range []struct {
			family       func(float64) heat.Load
			top, ceiling float64
			level        *float64
			bounded      *bool
			runaway      *bool
		}{
			{voltage, t.top, t.limit, &h.Voltage, &h.Held, nil},
			{voltage, t.top, h.Ceiling, &h.Runaway, nil, &h.Feeds},
			{amps, most, t.limit, &h.Current, nil, nil},
			{amps, most, h.Ceiling, &h.RunawayCurrent, nil, &h.FeedsCurrent},
		} {
			found, err := net.Highest(ctx, s.family, 0, s.top, s.ceiling, 1e-5*s.top)
			if err != nil {
				return nil, fmt.Errorf("what pixels %s can take continuously: %w", c, err)
			}
			*s.level = found.Level
			if s.bounded != nil {
				*s.bounded = found.Bounded
			}
			if s.runaway != nil {
				*s.runaway = found.Runaway
				if !found.Bounded {
					*s.level = math.Inf(1)
				}
			}
		}
		list = append(list, h)
	}
	return list, nil
}

// Curve is the longest on-time against voltage for one company and start.
type Curve struct {
	Company Company
	Start   float64 // K
	Seconds []float64
	Volts   []float64
}

// lasting is the highest voltage that may stay on from a start, V, up to the one of the
// steady state: a board that starts warm can pass the limit before it has cooled to
// what that voltage holds.
func (t *Pulses) lasting(ctx context.Context, c Company, start, steady float64) (float64, error) {
	lasts := func(v float64) (bool, error) {
		p, err := t.longest(ctx, c, v, start)
		return math.IsInf(p.Longest, 1), err
	}
	near := steady * (1 - 1e-4)
	if ok, err := lasts(near); ok || err != nil {
		return near, err
	}
	v, _, err := root.Edge(ctx, lasts, 0, near, 1e-3*steady)
	return v, err
}

// chartTime is the longest on-time that a curve shows, s.
const chartTime = 1e4

// Curves returns what a chart of safe operation shows: for each company and start (K)
// the longest on-time over voltages from what may stay on for ever up to Top.
func (t *Pulses) Curves(ctx context.Context, starts []float64) ([]Curve, error) {
	const points = 48
	var list []Curve
	for _, c := range Companies {
		steady, err := t.nets[c].Highest(ctx, func(v float64) heat.Load { return t.load(c, v, 1) }, 0, t.top, t.limit, 1e-5*t.top)
		if err != nil {
			return nil, fmt.Errorf("what pixels %s can take continuously: %w", c, err)
		}
		if !steady.Bounded {
			continue // nothing to draw: any voltage may stay on
		}
		for _, start := range starts {
			from, err := t.lasting(ctx, c, start, steady.Level)
			if err != nil {
				return nil, err
			}
			curve := Curve{Company: c, Start: start, Seconds: []float64{chartTime}, Volts: []float64{from}}
			for k := range points + 1 {
				// Closer together near the lasting voltage, where the time runs away.
				share := float64(k) / points
				v := from * math.Pow(t.top/from, 0.002+0.998*share*share)
				p, err := t.longest(ctx, c, v, start)
				if err != nil {
					return nil, err
				}
				if p.Longest < chartTime {
					curve.Seconds, curve.Volts = append(curve.Seconds, p.Longest), append(curve.Volts, v)
				}
			}
			if len(curve.Volts) > 1 { // across, not aslant, to where time is limited
				curve.Seconds = append(curve.Seconds[:1], append([]float64{curve.Seconds[1]}, curve.Seconds[1:]...)...)
				curve.Volts = append(curve.Volts[:1], append([]float64{from}, curve.Volts[1:]...)...)
			}
			list = append(list, curve)
		}
	}
	return list, nil
}
