package studies

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// Drivers is what the pixels' drivers carry in a frame from rest with cold coils, which
// draw most.
type Drivers struct {
	Lit          int
	Average      float64 // A, of the output that carries most, as are RMS and Peak
	RMS, Peak    float64
	Switch       float64 // W, in the switches of the output that heats them most
	Diode        float64 // W, in the diodes of the output that heats them most
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
	coils := float64(g.Design.Coils())
	for i, s := range c.pixels {
		if f.Levels[i] == 0 {
			continue
		}
		d.Lit++
		d.Average = max(d.Average, math.Abs(s.Average))
		d.RMS = max(d.RMS, s.RMS)
		d.Peak = max(d.Peak, s.Max, -s.Min)
		d.Switch, d.Diode = max(d.Switch, coils*s.Switch), max(d.Diode, coils*s.Diode)
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
	Duty  float64 // drive.max_duty that does the same
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
	atBoard := d.Rail() * sized.Draw.Average / sized.Need.Value // the feeders' share taken off
	var list []Smaller
	for _, rating := range d.Supply.Kind.Powers(d.Rail()) {
		if rating >= sized.Rung.Total() {
			break
		}
		dim, err := supply.Dim(ctx, rating*d.UsableShare()*atBoard, func(scale float64) (float64, error) { return cold.dimmed(f, scale) })
		if err != nil {
			return nil, fmt.Errorf("dimming to %g W: %w", rating, err)
		}
		list = append(list, Smaller{rating, dim.Value, dim.Value * d.Drive.MaxDuty})
	}
	return list[max(0, len(list)-smallerSupplies):], nil
}

// DriverParts are the driver chips that a design asks for, with all pixels of a chip held at
// full level from cold, its kick included.
type DriverParts struct {
	Chips, Channels int
	Peak            float64 // A, of one channel at its highest: in mode kick in its kick
	Pixel           float64 // A, of one pixel at its highest: a scan's row carries all that are lit in it
	Limit           float64 // A, that a channel bears; 0 = no driver chosen
	Conduction      float64 // W, of one channel, held
	Switching       float64 // W, of one channel: its edges
	Chip            float64 // W, of a chip with all its channels on
	Temperature     float64 // K, of that chip in the ambient air; 0 = not known
}

// Parts works out a design's driver chips. An edge's loss goes with the current that is
// switched, and is given for the full one: two edges a period make 2 E f.
func Parts(g *grid.Grid) (DriverParts, error) {
	d := g.Design
	out := DriverParts{Channels: d.Drive.Channels, Limit: d.Drive.DriverCurrent}
	out.Chips = d.DriverChips()
	frame := d.Scene.FrameTime
	if frame == 0 {
		frame = max(d.Drive.KickTime, d.Drive.ScanTime, 1/d.Drive.Frequency)
	}
	levels := AllOn(g) // the shortest way to a driver carries most
	carried, err := DriveFrame(g, scenes.Frame{Levels: levels, Duration: frame})
	if err != nil {
		return out, fmt.Errorf("working out the drivers: %w", err)
	}
	out.Peak, out.Pixel = carried.Peak, carried.Peak
	if d.Drive.Mode == design.DriveScan {
		out.Peak *= float64(min(d.Grid.Cols, d.Drive.MostLit))
	}
	c, err := newCold(g)
	if err != nil {
		return out, err
	}
	if err := c.drive.Steady(c.pixels, levels, c.resistance); err != nil {
		return out, fmt.Errorf("working out the drivers: %w", err)
	}
	held := slices.MaxFunc(c.pixels, func(p, q drive.PixelState) int { return cmp.Compare(p.Switch+p.Diode, q.Switch+q.Diode) })
	out.Conduction = float64(d.Coils()) * (held.Switch + held.Diode - held.OnBoard)
	if held.RMS > 0 {
		out.Switching = 2 * d.Drive.EdgeLoss * d.Drive.Frequency / float64(d.Turns())
	}
	out.Chip = float64(min(out.Channels, d.Outputs())) * (out.Conduction + out.Switching)
	if d.Drive.DriverResistance > 0 {
		out.Temperature = d.Heat.Ambient + d.Drive.DriverResistance*out.Chip
	}
	return out, nil
}
