package player

import (
	"fmt"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// VoltageLimit is the largest voltage, all else as in the design, at which a looped
// scene keeps board and touchable surfaces within the limits.
type VoltageLimit struct {
	Voltage float64 // V, of the supply rail; 0 when none of use is small enough
	Boost   float64 // V, of the kick or scan rail, which goes with it in the design's proportion
	Bounded bool    // false: even Top is not too much
	Top     float64 // V, the highest looked at
	Board   float64 // K, hottest coil of the looped scene at Voltage
	Touch   float64 // K, hottest surface within reach at Voltage
}

// voltageTolerance is the width to which voltages are solved, as a share of the
// highest.
const voltageTolerance = 2e-5

// LargestVoltage solves for the largest supply voltage with the whole looped scene
// played at every trial. It looks up to the voltage that is usually taken to be safe
// to touch, or twice the design's own if that is higher. It leaves the player's
// temperatures and currents changed.
func (p *Player) LargestVoltage(s scenes.Scene) (VoltageLimit, error) {
	d := p.grid.Design
	l := VoltageLimit{Top: max(supply.HighestVoltage, 2*d.Supply.Voltage)}
	at := func(volts float64) (*Player, error) {
		q, err := p.atVoltage(volts)
		if err != nil {
			return nil, fmt.Errorf("trying %.4g V: %w", volts, err)
		}
		return q, nil
	}
	var err error
	l.Voltage, err = crossing(func(volts float64) (float64, error) {
		q, err := at(volts)
		if err != nil {
			return 0, err
		}
		return q.overheat(s)
	}, d.Supply.Voltage, l.Top, voltageTolerance*l.Top)
	if err != nil || l.Voltage == 0 {
		return l, err
	}
	l.Bounded = l.Voltage < l.Top
	l.Boost = d.Drive.KickVoltage * l.Voltage / d.Supply.Voltage
	q, err := at(l.Voltage)
	if err != nil {
		return l, err
	}
	l.Board, l.Touch, err = q.loopPeaks(s)
	return l, err
}

// atVoltage is a player of the same display on another supply voltage, at rest; a kick
// or scan rail goes with it in proportion. It shares what atDuty shares.
func (p *Player) atVoltage(volts float64) (*Player, error) {
	return p.changed(func(d *design.Design) {
		d.Drive.KickVoltage *= volts / d.Supply.Voltage
		d.Supply.Voltage = volts
	})
}

// changed is a player of the same display with another drive, at rest. It shares this
// player's scratch and heat network, whose state it overwrites. The kernel per ampere
// is kept: steel that is driven into its bend by the coil alone would need a new one,
// which the report's steel note tells.
func (p *Player) changed(change func(*design.Design)) (*Player, error) {
	g, q := *p.grid, *p
	change(&g.Design)
	q.grid = &g
	var err error
	if q.drive, err = Drive(&g, p.drive.Params().FrameTime); err != nil {
		return nil, err
	}
	q.meter = q.drive.NewMeter()
	q.load.law = newHeatLaw(q.drive, q.load.resistance20, g.Design.Heat.Ambient+usualRise)
	q.hold = array.NewHold(&g)
	q.Reset()
	return &q, nil
}
