package studies

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// LargeBank is the capacitance from which on it is looked for less, F: larger ones are banks
// of their own (common practice, no source).
const LargeBank = 10e-3

// Sparing is a setting with which a scene's supply needs other capacitors.
type Sparing struct {
	Set []design.Change // none: as it is
	*supply.Proposal
}

// SpareCapacitors sizes the supply with settings that spare capacitors, one at a time, the
// design's own first: shorter scans, more rows at once, periods spread out, higher volts, more
// droop; what changes the current does so that a pixel's mean square stays. Nil where the
// capacitors are not large, nor more than a port of USB Power Delivery bears.
func SpareCapacitors(ctx context.Context, g *grid.Grid, s scenes.Scene, l *player.Ledger, own *supply.Proposal) ([]Sparing, error) {
	d := g.Design
	enough := LargeBank
	if d.Supply.Kind == supply.USBPD {
		enough = supply.MostUSB
	}
	if own.Capacitor.Value <= enough {
		return nil, nil
	}
	var sets [][]design.Change
	volts := func(v float64) string { return quantity.Exact(math.Round(v*1e3)/1e3, quantity.Voltage) }
	duty := func(share float64) design.Change {
		return design.Change{Key: "drive.max_duty", Value: quantity.Exact(math.Round(d.Drive.MaxDuty*share*1e4)/1e4, quantity.Ratio)}
	}
	switch d.Drive.Mode {
	case design.DriveScan:
		for _, part := range []float64{4, 16, 64} {
			// A row's turn still holds some periods of the PWM.
			if t := d.Drive.ScanTime / part; t*d.Drive.Frequency >= 8*float64(d.Turns()) {
				sets = append(sets, []design.Change{{Key: "drive.scan_time", Value: fmt.Sprintf("%.3g ms", t*1e3)}})
			}
		}
		for _, rows := range []int{2, 4, 8} {
			more := d
			if more.Drive.ScanRows = rows * d.Drive.ScanRows; more.Drive.ScanRows <= d.Grid.Rows && more.Pieces() == more.Drive.ScanRows {
				sets = append(sets, []design.Change{{Key: "drive.scan_rows", Value: strconv.Itoa(more.Drive.ScanRows)}, duty(math.Sqrt(float64(more.Turns()) / float64(d.Turns())))})
			}
		}
	case design.DriveDirect:
		sets = append(sets, []design.Change{{Key: "drive.mode", Value: string(design.DriveStagger)}})
	}
	if d.Drive.Mode != design.DriveKick {
		for _, v := range d.Supply.Kind.Voltages() {
			if v >= 1.5*d.Rail() && v <= 4*d.Rail() {
				key := "supply.voltage"
				if d.Drive.Mode == design.DriveScan {
					key = "drive.kick_voltage"
				}
				sets = append(sets, []design.Change{{Key: key, Value: volts(v)}, duty(d.Rail() / v)})
			}
		}
	}
	for _, share := range []float64{0.05, 0.1} {
		if v := share * d.Rail(); v > 1.2*d.Supply.Droop {
			sets = append(sets, []design.Change{{Key: "supply.droop", Value: volts(v)}})
		}
	}
	list := []Sparing{{Proposal: own}}
	for _, set := range sets {
		changed, err := d.With(set...)
		if err != nil {
			continue // not with the design's other keys
		}
		h := g.With(changed)
		p, err := Sizing(ctx, h, s, l)
		if err != nil {
			return nil, fmt.Errorf("trying %v: %w", set, err)
		}
		list = append(list, Sparing{set, p})
	}
	return list, nil
}
