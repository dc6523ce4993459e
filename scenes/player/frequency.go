package player

import (
	"errors"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/heat"
	"lodegrid/scenes"
)

// RippleHeat is the share of a lit coil's heat, 0…1, that the ripple of its PWM makes:
// 1 − I_mean²/I_rms², settled, with the coil at 20 °C. The field follows the mean.
func RippleHeat(d design.Design, inductance, resistance float64) float64 {
	s := drive.Circuit{
		Bridge: drive.Bridge(d.Drive.Bridge), Voltage: d.Supply.Voltage, Resistance: resistance, Inductance: inductance,
		OnResistance: d.Drive.OnResistance, DiodeDrop: d.Drive.DiodeDrop,
	}.PWM(d.Drive.MaxDuty, 1/d.Drive.Frequency)
	if s.RMS == 0 {
		return 0
	}
	return 1 - s.Average*s.Average/(s.RMS*s.RMS)
}

// usualFrequencies are the steps tried in search of a cooler one, Hz; above the last
// the switches' own losses, which are not modelled, decide.
var usualFrequencies = []float64{25e3, 40e3, 63e3, 100e3, 160e3, 250e3}

// coolingFrequency is the lowest usual PWM frequency above the design's at which the
// looped scene stays within the limits of heat, Hz; 0 when none does. The mean
// currents, and so the field, stay as they are but for the diode's share.
func (p *Player) coolingFrequency(s scenes.Scene) (float64, error) {
	d := p.grid.Design
	for _, f := range usualFrequencies {
		if f <= d.Drive.Frequency {
			continue
		}
		q, err := p.changed(func(d *design.Design) { d.Drive.Frequency = f })
		if err != nil {
			return 0, err
		}
		board, touch, err := q.loopPeaks(s)
		var runaway *heat.RunawayError
		if errors.As(err, &runaway) {
			continue
		}
		if err != nil {
			return 0, err
		}
		if math.Max(board-d.Limits.Board, touch-d.Limits.Touch) <= 0 {
			return f, nil
		}
	}
	return 0, nil
}
