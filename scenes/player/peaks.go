package player

import (
	"context"

	"lodegrid/array/design"
	"lodegrid/array/drive"
)

// rails fills in what a frame takes from the supply's rails, from the states before
// it: the exact waveform of its PWM, so its peak is that of the worst instant.
func (p *Player) rails(ctx context.Context, e *Entry, levels []float64) error {
	p.meter.Known = p.known
	l, err := p.meter.FrameLoad(ctx, p.pixels, levels, p.resistance, e.Duration)
	p.meter.Known = 0
	if err == nil {
		p.rail = l
		p.tell(e)
	}
	return err
}

// tell puts the rails into an entry.
func (p *Player) tell(e *Entry) {
	l := p.rail
	main := MainRail(l)
	e.SupplyRMSCurrent, e.SupplyPeakCurrent = main.RMS, main.Peak
	e.SupplyPeakPower = l.Supply.Peak*l.Supply.Voltage + l.Boost.Peak*l.Boost.Voltage
	if p.grid.Design.Drive.Mode == design.DriveKick {
		e.KickRMSCurrent, e.KickPeakCurrent = l.Boost.RMS, l.Boost.Peak
	}
}

// MainRail is the rail that carries the picture: the supply's, or the boosted one
// where all rows are scanned from it.
func MainRail(l drive.Load) drive.Rail {
	if l.Supply.Peak == 0 && l.Boost.Peak > 0 {
		return l.Boost
	}
	return l.Supply
}
