package studies

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
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
// to touch, or twice the design's own if that is higher.
func LargestVoltage(ctx context.Context, p *player.Player, s scenes.Scene) (VoltageLimit, error) {
	d := p.Grid().Design
	l := VoltageLimit{Top: max(supply.HighestVoltage, 2*d.Supply.Voltage)}
	var err error
	l.Voltage, err = largest(ctx, func(volts float64) (float64, error) {
		q, err := atVoltage(p, volts)
		if err != nil {
			return 0, err
		}
		return overheat(ctx, q, s)
	}, d.Supply.Voltage, l.Top, voltageTolerance*l.Top)
	if err != nil || l.Voltage == 0 {
		return l, err
	}
	l.Bounded = l.Voltage < l.Top
	l.Boost = d.Drive.KickVoltage * l.Voltage / d.Supply.Voltage
	q, err := atVoltage(p, l.Voltage)
	if err != nil {
		return l, err
	}
	l.Board, l.Touch, err = q.LoopPeaks(ctx, s)
	return l, err
}

// atVoltage is a player of the same display on another supply voltage, at rest; a kick
// or scan rail goes with it in proportion.
func atVoltage(p *player.Player, volts float64) (*player.Player, error) {
	q, err := p.With(func(d *design.Design) {
		d.Drive.KickVoltage *= volts / d.Supply.Voltage
		d.Supply.Voltage = volts
	})
	if err != nil {
		return nil, fmt.Errorf("trying %.4g V: %w", volts, err)
	}
	return q, nil
}
