package studies

import (
	"context"
	"fmt"
	"math"

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
	Set design.Change // no key: as it is
	*supply.Proposal
}

// SpareCapacitors sizes the supply with settings that spare capacitors, one at a time, the
// design's own first: shorter scans, periods spread out, more droop. Nil where the capacitors
// are not large, nor more than a port of USB Power Delivery bears.
func SpareCapacitors(ctx context.Context, g *grid.Grid, s scenes.Scene, l *player.Ledger, own *supply.Proposal) ([]Sparing, error) {
	d := g.Design
	enough := LargeBank
	if d.Supply.Kind == supply.USBPD {
		enough = supply.MostUSB
	}
	if own.Capacitor.Value <= enough {
		return nil, nil
	}
	var sets []design.Change
	switch d.Drive.Mode {
	case design.DriveScan:
		for _, part := range []float64{4, 16, 64} {
			// A row's turn still holds some periods of the PWM.
			if t := d.Drive.ScanTime / part; t*d.Drive.Frequency >= 8*float64(d.Grid.Rows) {
				sets = append(sets, design.Change{Key: "drive.scan_time", Value: fmt.Sprintf("%.3g ms", t*1e3)})
			}
		}
	case design.DriveDirect:
		sets = append(sets, design.Change{Key: "drive.mode", Value: string(design.DriveStagger)})
	}
	for _, share := range []float64{0.05, 0.1} {
		if v := share * mainVoltage(d); v > 1.2*d.Supply.Droop {
			sets = append(sets, design.Change{Key: "supply.droop", Value: quantity.Exact(math.Round(v*1e3)/1e3, quantity.Voltage)})
		}
	}
	list := []Sparing{{Proposal: own}}
	for _, set := range sets {
		changed, err := d.With(set)
		if err != nil {
			continue // not with the design's other keys
		}
		h, err := g.With(changed)
		if err != nil {
			return nil, fmt.Errorf("trying %s = %q: %w", set.Key, set.Value, err)
		}
		p, err := Sizing(ctx, h, s, l)
		if err != nil {
			return nil, fmt.Errorf("trying %s = %q: %w", set.Key, set.Value, err)
		}
		list = append(list, Sparing{set, p})
	}
	return list, nil
}
