package player

import "lodegrid/array/drive"

// rails fills in what a frame takes from the supply's rails, from the states before
// it: the exact waveform of its PWM, so its peak is that of the worst instant.
func (p *Player) rails(e *Entry, levels []float64) (drive.Load, error) {
	l, err := p.meter.FrameLoad(p.pixels, levels, p.resistance, e.Duration)
	if err != nil {
		return l, err
	}
	e.SupplyRMSCurrent = l.Supply.RMS
	e.SupplyPeakCurrent = l.Supply.Peak
	e.SupplyPeakPower = l.Supply.Peak*l.Supply.Voltage + l.Boost.Peak*l.Boost.Voltage
	if l.Supply.Peak == 0 && l.Boost.Peak > 0 { // everything runs from the boost rail
		e.SupplyRMSCurrent, e.SupplyPeakCurrent = l.Boost.RMS, l.Boost.Peak
	}
	return l, nil
}
