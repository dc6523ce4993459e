package studies

import (
	"context"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// UsualFrequencies are the steps tried in search of a cooler one, Hz; above the last
// the switches' own losses, which are not modelled, decide.
var UsualFrequencies = []float64{25e3, 40e3, 63e3, 100e3, 160e3, 250e3}

// CoolingFrequency is the lowest usual PWM frequency f above the design's at which the looped
// scene stays within the limits of heat, Hz; 0 when none does. A period short against L/R leaves
// a triangular ripple ΔI = V D (1 − D) / (L f) on the mean current, which heats by
//
//	R I_rms² = R (I² + ΔI²/12)
//
// so that its part falls as 1/f² (R. W. Erickson and D. Maksimović, Fundamentals of Power
// Electronics, from memory); the search takes the drive's closed form, which needs no short
// period. The mean currents stay as they are but for the diode's share.
func CoolingFrequency(ctx context.Context, p *player.Player, s scenes.Scene) (float64, error) {
	for _, f := range UsualFrequencies {
		if f <= p.Grid().Design.Drive.Frequency {
			continue
		}
		q, err := p.With(func(d *design.Design) { d.Drive.Frequency = f })
		if err != nil {
			return 0, err
		}
		over, err := overheat(ctx, q, s)
		if err != nil {
			return 0, err
		}
		if over <= 0 {
			return f, nil
		}
	}
	return 0, nil
}
