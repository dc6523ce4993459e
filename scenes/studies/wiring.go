package studies

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// WireDrops is what the copper between the board's terminals and the pixels does to a
// picture held with cold coils.
type WireDrops struct {
	drive.Drops
	// Feeder and Bus are the resistances of one pitch of a feeder and of a bus, Ω, at 20 °C.
	Feeder, Bus quantity.Derived
	// Current and Pull are what is left of the farthest corner's current and of the
	// force on its drop, 0…1, when it is lit within this picture, against a pixel at the
	// terminals.
	Current, Pull float64
}

// Wiring finds the voltage at every pixel for a picture: the board's terminals stand at
// the top left corner, the rows' bus runs down and the columns' bus across, as the
// design lays them. It takes the instant that drops most: in mode scan a row's turn, in
// mode kick all kicks at once. Feeders carry the mean of the PWM's pulses, as they do
// with capacitors along them.
func Wiring(ctx context.Context, g *grid.Grid, levels []float64) (WireDrops, error) {
	d := g.Design
	var w WireDrops
	rho := material.CopperResistivity(field.RoomTemperature)
	w.Feeder = drive.SegmentResistance(d.Grid.Pitch, d.Drive.FeederWidth, d.Drive.FeederCopper, rho)
	if d.Drive.BusWidth > 0 {
		w.Bus = drive.SegmentResistance(d.Grid.Pitch, d.Drive.BusWidth, d.Drive.FeederCopper, rho)
	}
	feeders := drive.Feeders{Segment: w.Feeder.Value, Bus: w.Bus.Value, Feed: drive.FeedNear}
	if d.Drive.FeederEnds == 2 {
		feeders.Feed = drive.FeedBoth
	}
	direct := d
	if d.Drive.Mode == design.DriveScan || d.Drive.Mode == design.DriveKick {
		direct.Supply.Voltage = d.Drive.KickVoltage
	}
	direct.Drive.Mode = design.DriveDirect
	other := g.With(direct)
	q, err := newCold(other)
	if err != nil {
		return w, err
	}
	p := q.drive.Params()
	if p.PathDrop = d.PathDrop(); p.PathDrop > 0 {
		q.drive = drive.New(p)
	}
	volts := q.grid.Design.Supply.Voltage
	net, err := drive.NewNetwork(drive.Wiring{Rows: d.Grid.Rows, Cols: d.Grid.Cols, Voltage: volts, Row: feeders, Column: feeders})
	if err != nil {
		return w, fmt.Errorf("wiring the grid: %w", err)
	}
	if d.Drive.Mode != design.DriveScan {
		w.Drops, err = net.SolveDrive(q.drive, levels, q.resistance)
	} else {
		w.Drops, err = q.worstTurn(ctx, net, levels, g)
	}
	if err != nil {
		return w, fmt.Errorf("wiring the grid: %w", err)
	}
	return w, w.weaken(q)
}

// worstTurn solves each turn of a scanned grid by itself and returns that of the one which
// drops most; Loss and Delivered are the means over all turns.
func (c *cold) worstTurn(ctx context.Context, net *drive.Network, levels []float64, scanned *grid.Grid) (drive.Drops, error) {
	turns := scanned.Turns()
	worst := drive.Drops{WorstDrop: -1}
	var loss, delivered float64
	on := make([]float64, len(levels))
	for turn := range turns {
		if err := ctx.Err(); err != nil {
			return worst, err
		}
		for k, v := range levels {
			if on[k] = 0; scanned.TurnOf(k) == turn {
				on[k] = v
			}
		}
		d, err := net.SolveDrive(c.drive, on, c.resistance)
		if err != nil {
			return d, err
		}
		loss += d.Loss / float64(turns)
		delivered += d.Delivered / float64(turns)
		if d.WorstDrop > worst.WorstDrop {
			worst = d
		}
	}
	worst.Loss, worst.Delivered = loss, delivered
	return worst, nil
}

// weaken works out what is left of the far corner's current and pull.
func (w *WireDrops) weaken(c *cold) error {
	g := c.grid
	n := g.Design.Pixels()
	volts := slices.Clone(w.Voltage)
	for i, v := range volts {
		volts[i] = max(0, v) // feeders that take it all leave none
	}
	wired := c.drive.WithVoltages(volts)
	levels, pixels := make([]float64, n), make([]drive.PixelState, n)
	currents, states := g.NewCurrents(), make([]grid.State, n)
	plane, meter := grid.NewPlane(g.Raster), hold.New(g)
	g.Design.Light(levels, w.FarCorner, 1)
	pull := func(d *drive.Drive) (current, force float64, err error) {
		if err := d.Steady(pixels, levels, c.resistance); err != nil {
			return 0, 0, err
		}
		for i, s := range pixels {
			currents.Mean[i] = s.Average
			states[i] = g.StateOf(levels[i])
		}
		g.Follow(currents, d, levels, c.resistance, nil)
		g.FieldInto(plane, currents)
		row, col := w.FarCorner/g.Design.Grid.Cols, w.FarCorner%g.Design.Grid.Cols
		return math.Abs(pixels[w.FarCorner].Average), meter.Force(row, col, plane, states), nil
	}
	fullCurrent, fullPull, err := pull(c.drive)
	if err != nil {
		return err
	}
	if w.Current, w.Pull, err = pull(wired); err != nil {
		return err
	}
	if fullCurrent > 0 {
		w.Current /= fullCurrent
	}
	if fullPull > 0 {
		w.Pull /= fullPull
	}
	return nil
}
