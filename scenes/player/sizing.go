package player

import (
	"fmt"
	"math"

	"lodegrid/array/drive"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// Sizing proposes a supply for a played scene: sized for its hungriest frame with
// cold coils, which draw most, with the scene's mean and all pixels on beside it.
func (p *Player) Sizing(s scenes.Scene, l *Ledger) (*supply.Proposal, error) {
	d, z := p.grid.Design, l.Summary()
	hungriest := s.Frames[z.PeakFrame]
	frame, err := p.coldRail(hungriest)
	if err != nil {
		return nil, err
	}
	all, err := p.coldRail(scenes.Frame{Levels: p.Uniform(1), Duration: hungriest.Duration})
	if err != nil {
		return nil, err
	}
	mean := supply.Draw{Kind: supply.Scene, Average: z.AverageCurrent, Peak: frame.Peak, Period: frame.Period}
	var square float64
	for _, e := range l.Entries {
		square += e.SupplyRMSCurrent * e.SupplyRMSCurrent * e.Duration / z.Duration
		mean.Peak = max(mean.Peak, e.SupplyPeakCurrent)
	}
	mean.RMS = min(max(math.Sqrt(square), mean.Average), mean.Peak)
	frame.Kind, all.Kind = supply.Frame, supply.AllOn
	proposal, err := supply.Propose(supply.Params{
		Voltage: d.Supply.Voltage, Draws: []supply.Draw{mean, frame, all}, Basis: supply.Frame,
		Derating: d.Supply.Derating * d.Limits.SupplyLoad, Efficiency: d.Supply.Efficiency, Droop: d.Supply.Droop,
		FeederLength: d.Supply.FeederLen, Ambient: d.Heat.Ambient, Rated: d.Supply.Power,
		Power: func(scale float64) (float64, error) { return p.dimmed(hungriest, scale) },
	})
	if err != nil {
		return nil, fmt.Errorf("sizing the supply: %w", err)
	}
	return proposal, nil
}

// coldRail is what one frame draws from rest at ambient temperature.
func (p *Player) coldRail(f scenes.Frame) (supply.Draw, error) {
	if _, err := p.cold(f); err != nil {
		return supply.Draw{}, err
	}
	rail := p.rail.Supply
	if rail.Peak == 0 {
		rail = p.rail.Boost
	}
	return draw(rail, p.rail.Time), nil
}

func draw(r drive.Rail, period float64) supply.Draw {
	return supply.Draw{Average: r.Average, RMS: r.RMS, Peak: r.Peak, PhasePeak: r.PhasePeak, Period: period}
}

// dimmed is the power in watts of a cold frame with all its levels scaled.
func (p *Player) dimmed(f scenes.Frame, scale float64) (float64, error) {
	levels := make([]float64, len(f.Levels))
	for i, v := range f.Levels {
		levels[i] = v * scale
	}
	e, err := p.cold(scenes.Frame{Levels: levels, Duration: f.Duration})
	return e.SupplyPower, err
}
