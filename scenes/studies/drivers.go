package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// Drivers is what the pixels' drivers carry in a frame from rest with cold coils, which
// draw most.
type Drivers struct {
	Lit          int
	Average      float64 // A, of the pixel that carries most, as are RMS and Peak
	RMS, Peak    float64
	Switch       float64 // W, in the switches of the pixel that heats them most
	Diode        float64 // W, in the freewheel diode of the pixel that heats it most
	Coils        float64 // W, in all coils, as are Switches and Diodes
	Switches     float64
	Diodes       float64
	Rails        float64 // W, from all rails
	Discontinued int     // lit pixels whose current dies out within a period
}

// DriveFrame drives a frame from rest.
func DriveFrame(g *grid.Grid, f scenes.Frame) (Drivers, error) {
	var d Drivers
	c, err := newCold(g)
	if err != nil {
		return d, err
	}
	if err := c.drive.FrameFor(c.pixels, f.Levels, c.resistance, f.Duration); err != nil {
		return d, fmt.Errorf("driving a frame: %w", err)
	}
	for i, s := range c.pixels {
		if f.Levels[i] == 0 {
			continue
		}
		d.Lit++
		d.Average = max(d.Average, math.Abs(s.Average))
		d.RMS = max(d.RMS, s.RMS)
		d.Peak = max(d.Peak, s.Max, -s.Min)
		d.Switch, d.Diode = max(d.Switch, s.Switch), max(d.Diode, s.Diode)
		d.Coils += s.Copper
		d.Switches += s.Switch
		d.Diodes += s.Diode
		d.Rails += s.Power
		if s.Discontinuous {
			d.Discontinued++
		}
	}
	return d, nil
}

// Stagger is what spreading the starts of the PWM periods gains for a frame from rest
// with cold coils: start times per pixel as shares of a period, and the peaks.
func Stagger(ctx context.Context, g *grid.Grid, f scenes.Frame) ([]float64, drive.Spread, error) {
	c, err := newCold(g)
	if err != nil {
		return nil, drive.Spread{}, err
	}
	starts, spread, err := c.meter.Stagger(ctx, f.Levels, c.resistance)
	if err != nil {
		return nil, spread, fmt.Errorf("spreading the periods: %w", err)
	}
	return starts, spread, nil
}

// Smaller is what a supply below the one proposed bears.
type Smaller struct {
	Power float64 // W, rating
	Scale float64 // of all levels, 0…1
}

// smallerSupplies is how many are told.
const smallerSupplies = 4

// SmallerSupplies returns the usual ratings below a proposal for a frame and how far
// each makes the picture dim, solved with the drive's own law.
func SmallerSupplies(ctx context.Context, g *grid.Grid, f scenes.Frame, proposal *supply.Proposal) ([]Smaller, error) {
	d := g.Design
	cold, err := newCold(g)
	if err != nil {
		return nil, err
	}
	var sized supply.Sized
	for _, c := range proposal.Cases {
		if c.Draw.Kind == proposal.Basis {
			sized = c
		}
	}
	if sized.Draw.Average == 0 {
		return nil, nil
	}
	atBoard := mainVoltage(d) * sized.Draw.Average / sized.Need.Value // the feeders' share taken off
	var list []Smaller
	for _, rating := range supply.Powers {
		if rating >= sized.Rung.Total() {
			break
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		dim, err := supply.Dim(ctx, rating*d.UsableShare()*atBoard, func(scale float64) (float64, error) { return cold.dimmed(f, scale) })
		if err != nil {
			return nil, fmt.Errorf("dimming to %g W: %w", rating, err)
		}
		list = append(list, Smaller{rating, dim.Value})
	}
	return list[max(0, len(list)-smallerSupplies):], nil
}
