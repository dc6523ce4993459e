package fit

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/cooling"
	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/heat"
	"lodegrid/array/hold"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/root"

	"gonum.org/v1/gonum/spatial/r3"
)

// bench is a design as it lies on the bench: its coil on a plain supply, without a driver.
func bench(d design.Design) design.Design {
	d.Drive.Mode, d.Drive.Bridge, d.Drive.MaxDuty, d.Drive.OnResistance = design.DriveDirect, design.BridgeFull, 1, 0
	d.Drive.InSeries, d.Scene.HoldLevel, d.Scene.Level = 1, 1, 1
	return d
}

// predictor works out readings of one design and keeps what several of them share.
type predictor struct {
	d     design.Design // on the bench
	pixel *pixel.Pixel
	nets  map[float64]*heat.Network // by the air's temperature
	grids map[design.Orientation]*grid.Grid
}

// lowest is the least height over the board that fields are worked out for, m.
const lowest = 0.05e-3

// read is a reading as the design would give it.
func (p *predictor) read(ctx context.Context, r Reading) (float64, error) {
	switch r.Kind {
	case Ohms:
		return p.pixel.Coil.Resistance(r.Air), nil
	case Henries:
		if p.pixel.Eddy != nil && r.Frequency > 0 {
			return p.pixel.Eddy.InductanceAt(r.Frequency), nil
		}
		l, _, err := p.pixel.Inductance(ctx, p.d)
		return l, err
	case Tesla:
		amps := r.Current
		if amps == 0 {
			amps = r.Voltage / p.pixel.Coil.Resistance(r.Air)
		}
		z := max(r.Height+p.d.Bench.Probe, lowest)
		return p.pixel.From(z).Lit(amps).B(r3.Vec{Z: z}).Z, nil
	case Kelvin:
		return p.kelvin(ctx, r)
	case Moves:
		g, err := p.grid(ctx, design.FaceUp)
		if err != nil {
			return 0, err
		}
		grip := g.Pinning().Value
		short := func(volts float64) bool { return force(g, volts) < grip }
		const top = 1e3
		if grip == 0 || !short(0) {
			return 0, nil
		}
		low, high := 0.0, 1.0
		for ; short(high) && high < top; high *= 2 {
			low = high
		}
		v, _ := root.Boundary(short, low, high, 1e-9*high)
		return v, nil
	case Slides:
		g, err := p.grid(ctx, design.Vertical)
		if err != nil {
			return 0, err
		}
		// Straight on where no tilt is enough, so that the fit knows which way to go.
		s := (force(g, r.Voltage) + g.Pinning().Value) / g.Weight().Value
		if s <= 0.9 {
			return math.Asin(s), nil
		}
		return math.Asin(0.9) + (s-0.9)/math.Sqrt(1-0.81), nil
	}
	return 0, fmt.Errorf("no such reading: %s", r.Kind)
}

// force is what a pixel alone does on a drop at a constant voltage, N.
func force(g *grid.Grid, volts float64) float64 {
	if volts == 0 {
		return hold.LoneForce(g, 0)
	}
	d := g.Design
	d.Supply.Voltage = volts
	return hold.LoneForce(g.With(d), 1)
}

// side is how many pixels each way the grid of a drop's readings has.
const side = 3

func (p *predictor) grid(ctx context.Context, o design.Orientation) (*grid.Grid, error) {
	if g := p.grids[o]; g != nil {
		return g, nil
	}
	d := p.d
	d.Grid.Rows, d.Grid.Cols, d.Heat.Orientation = side, side, o
	g, err := grid.NewWith(ctx, d, *p.pixel, grid.DefaultSamples)
	if err != nil {
		return nil, err
	}
	p.grids[o] = g
	return g, nil
}

func (p *predictor) kelvin(ctx context.Context, r Reading) (float64, error) {
	net := p.nets[r.Air]
	if net == nil {
		d := p.d
		d.Heat.Ambient, d.Heat.AmbientLow = r.Air, r.Air
		params, err := cooling.Params(ctx, d, *p.pixel)
		if err != nil {
			return 0, err
		}
		net = heat.New(params)
		p.nets[r.Air] = net
	}
	n := p.d.Grid
	at := n.Rows/2*n.Cols + n.Cols/2
	share := make([]float64, n.Rows*n.Cols)
	share[at] = 1
	load := &heat.VoltageDrive{
		Copper: heat.Copper{Resistance20: p.pixel.Coil.Resistance(field.RoomTemperature), Alpha: material.AnnealedCopper.TempCoefficient},
		Volts:  r.Voltage, Share: share,
	}
	net.Start(r.Air)
	seconds := r.Time
	if seconds == 0 {
		seconds = forever
	}
	if err := net.Step(ctx, seconds, load); err != nil {
		return 0, err
	}
	switch r.Place {
	case Front:
		return net.Spots(true)[at], nil
	case Back:
		return net.Spots(false)[at], nil
	}
	return net.Coils()[at], nil
}

// forever is when a display has long been as warm as it gets, s.
const forever = 1e5
