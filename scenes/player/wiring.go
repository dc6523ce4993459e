package player

import (
	"fmt"
	"math"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field/material"
)

// WireDrops is what the copper between the board's terminals and the pixels does to a
// picture held with cold coils.
type WireDrops struct {
	drive.Drops
	Feeder, Bus float64 // Ω, of one pitch of a feeder and of a bus, at 20 °C
	// Current and Pull are what is left of the farthest corner's current and of the
	// force on its drop, 0…1, when it is lit within this picture, against a pixel at the
	// terminals.
	Current, Pull float64
	// Turn is the row, from 0, whose turn drops most in mode scan; −1 in other modes.
	Turn int
}

// Wiring finds the voltage at every pixel for a picture: the board's terminals stand at
// the top left corner, the rows' bus runs down and the columns' bus across, as the
// design lays them. It takes the instant that drops most: in mode scan a row's turn, in
// mode kick all kicks at once. Feeders carry the mean of the PWM's pulses, as they do
// with capacitors along them.
func (p *Player) Wiring(levels []float64) (WireDrops, error) {
	d := p.grid.Design
	w := WireDrops{Turn: -1}
	rho := material.CopperResistivity(roomTemperature)
	w.Feeder = drive.SegmentResistance(d.Grid.Pitch, d.Drive.FeederWidth, d.Drive.FeederCopper, rho)
	if d.Drive.BusWidth > 0 {
		w.Bus = drive.SegmentResistance(d.Grid.Pitch, d.Drive.BusWidth, d.Drive.FeederCopper, rho)
	}
	feeders := drive.Feeders{Segment: w.Feeder, Bus: w.Bus, Feed: drive.FeedNear}
	if d.Drive.FeederEnds == 2 {
		feeders.Feed = drive.FeedBoth
	}
	q, err := p.changed(func(d *design.Design) {
		if d.Drive.Mode == design.DriveScan || d.Drive.Mode == design.DriveKick {
			d.Supply.Voltage = d.Drive.KickVoltage
		}
		d.Drive.Mode = design.DriveDirect
	})
	if err != nil {
		return w, err
	}
	q.measure()
	volts := q.grid.Design.Supply.Voltage
	net, err := drive.NewNetwork(drive.Wiring{Rows: d.Grid.Rows, Cols: d.Grid.Cols, Voltage: volts, Row: feeders, Column: feeders})
	if err != nil {
		return w, fmt.Errorf("wiring the grid: %w", err)
	}
	if d.Drive.Mode != design.DriveScan {
		w.Drops, err = net.SolveDrive(q.drive, levels, q.resistance)
	} else {
		w.Turn, w.Drops, err = q.worstTurn(net, levels)
	}
	if err != nil {
		return w, fmt.Errorf("wiring the grid: %w", err)
	}
	return w, w.weaken(q)
}

// worstTurn solves each row by itself and returns the row that drops most; Loss and
// Delivered are the means over all turns.
func (p *Player) worstTurn(net *drive.Network, levels []float64) (int, drive.Drops, error) {
	g := p.grid.Design.Grid
	turn, worst := 0, drive.Drops{WorstDrop: -1}
	var loss, delivered float64
	row := make([]float64, len(levels))
	for r := range g.Rows {
		clear(row)
		copy(row[r*g.Cols:(r+1)*g.Cols], levels[r*g.Cols:(r+1)*g.Cols])
		d, err := net.SolveDrive(p.drive, row, p.resistance)
		if err != nil {
			return 0, d, err
		}
		loss += d.Loss / float64(g.Rows)
		delivered += d.Delivered / float64(g.Rows)
		if d.WorstDrop > worst.WorstDrop {
			turn, worst = r, d
		}
	}
	worst.Loss, worst.Delivered = loss, delivered
	return turn, worst, nil
}

// weaken works out what is left of the far corner's current and pull.
func (w *WireDrops) weaken(p *Player) error {
	n := p.grid.Design.Pixels()
	volts := w.Voltage
	wired, err := p.drive.WithVoltages(volts)
	if err != nil {
		return fmt.Errorf("weakening the far corner: %w", err)
	}
	levels, states := make([]float64, n), make([]drive.PixelState, n)
	levels[w.FarCorner] = 1
	pull := func(d *drive.Drive) (current, force float64, err error) {
		if err := d.Steady(states, levels, p.resistance); err != nil {
			return 0, 0, err
		}
		for i, s := range states {
			p.currents[i] = s.Average
			p.states[i] = p.grid.StateOf(levels[i])
		}
		if err := p.grid.FieldInto(p.plane, p.currents); err != nil {
			return 0, 0, err
		}
		array.NewHold(p.grid).Ratios(p.holds, p.plane, p.states)
		return math.Abs(states[w.FarCorner].Average), p.holds[w.FarCorner], nil
	}
	fullCurrent, fullPull, err := pull(p.drive)
	if err != nil {
		return err
	}
	if w.Current, w.Pull, err = pull(wired); err != nil {
		return err
	}
	w.Current /= fullCurrent
	if fullPull > 0 {
		w.Pull /= fullPull
	}
	return nil
}

// MostLit is the legal picture that draws most, and drops most: as many pixels at full
// level as the firmware lights, row by row from the corner farthest from the terminals.
func (p *Player) MostLit() []float64 {
	d := p.grid.Design
	l := make([]float64, d.Pixels())
	for k := range min(d.Drive.MostLit, len(l)) {
		l[len(l)-1-k] = 1
	}
	return l
}
