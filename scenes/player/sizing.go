package player

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// Sizing proposes a supply for a played scene: sized with cold coils, which draw most,
// for its hungriest frame, or for as many pixels as the firmware lights where the
// design caps them; the scene's mean and all pixels on stand beside it. It is that of
// the main rail: the supply's, or the boosted one of mode scan.
func (p *Player) Sizing(s scenes.Scene, l *Ledger) (*supply.Proposal, error) {
	d, z := p.grid.Design, l.Summary()
	hungriest := s.Frames[z.PeakFrame]
	duration := hungriest.Duration
	frame, err := p.coldRail(hungriest, mainRail)
	if err != nil {
		return nil, err
	}
	all, err := p.coldRail(scenes.Frame{Levels: p.Uniform(1), Duration: duration}, mainRail)
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
	draws, basis, sizedFor := []supply.Draw{mean, frame}, supply.Frame, hungriest
	if d.Drive.MostLit < d.Pixels() {
		legal := scenes.Frame{Levels: p.MostLit(), Duration: duration}
		draw, err := p.coldRail(legal, mainRail)
		if err != nil {
			return nil, err
		}
		draw.Kind = supply.Legal
		draws = append(draws, draw)
		if draw.Average > frame.Average {
			basis, sizedFor = supply.Legal, legal
		}
	}
	proposal, err := supply.Propose(supply.Params{
		Voltage: p.mainVoltage(), Draws: append(draws, all), Basis: basis,
		Derating: d.Supply.Derating * d.Limits.SupplyLoad, Efficiency: d.Supply.Efficiency, Droop: d.Supply.Droop,
		FeederLength: d.Supply.FeederLen, Ambient: d.Heat.Ambient, Rated: d.Supply.Power,
		Power: func(scale float64) (float64, error) { return p.dimmed(sizedFor, scale) },
	})
	if err != nil {
		return nil, fmt.Errorf("sizing the supply: %w", err)
	}
	return proposal, nil
}

// KickSizing proposes the supply of a kick rail of its own, mode kick with a
// drive.kick_voltage above the supply's; nil without one. It is sized for the frame that
// kicks most pixels, all from rest.
func (p *Player) KickSizing(s scenes.Scene, l *Ledger) (*supply.Proposal, error) {
	d := p.grid.Design
	if d.Drive.Mode != design.DriveKick || d.Drive.KickVoltage == d.Supply.Voltage {
		return nil, nil
	}
	most, mean := 0, supply.Draw{Kind: supply.Scene}
	total, square := 0.0, 0.0
	for i, e := range l.Entries {
		if e.KickCurrent > l.Entries[most].KickCurrent {
			most = i
		}
		total += e.Duration
		mean.Average += e.KickCurrent * e.Duration
		square += e.KickRMSCurrent * e.KickRMSCurrent * e.Duration
		mean.Peak = max(mean.Peak, e.KickPeakCurrent)
		mean.Period = e.Duration
	}
	mean.Average /= total
	mean.RMS = min(max(math.Sqrt(square/total), mean.Average), mean.Peak)
	boost := func(l drive.Load) drive.Rail { return l.Boost }
	frame, err := p.coldRail(s.Frames[most], boost)
	if err != nil {
		return nil, err
	}
	all, err := p.coldRail(scenes.Frame{Levels: p.Uniform(1), Duration: s.Frames[most].Duration}, boost)
	if err != nil {
		return nil, err
	}
	frame.Kind, all.Kind = supply.Frame, supply.AllOn
	proposal, err := supply.Propose(supply.Params{
		Voltage: d.Drive.KickVoltage, Draws: []supply.Draw{mean, frame, all}, Basis: supply.Frame,
		Derating: d.Supply.Derating * d.Limits.SupplyLoad, Efficiency: d.Supply.Efficiency, Droop: d.Supply.Droop,
		FeederLength: d.Supply.FeederLen, Ambient: d.Heat.Ambient,
	})
	if err != nil {
		return nil, fmt.Errorf("sizing the kick rail: %w", err)
	}
	return proposal, nil
}

// mainVoltage is the voltage of the rail that carries the picture.
func (p *Player) mainVoltage() float64 {
	if d := p.grid.Design; d.Drive.Mode == design.DriveScan {
		return d.Drive.KickVoltage
	}
	return p.grid.Design.Supply.Voltage
}

// coldRail is what one frame draws from a rail, from rest at ambient temperature.
func (p *Player) coldRail(f scenes.Frame, of func(drive.Load) drive.Rail) (supply.Draw, error) {
	p.Reset()
	p.measure()
	load, err := p.meter.FrameLoad(p.pixels, f.Levels, p.resistance, f.Duration)
	if err != nil {
		return supply.Draw{}, err
	}
	return draw(of(load), load.Time), nil
}

func draw(r drive.Rail, period float64) supply.Draw {
	return supply.Draw{Average: r.Average, RMS: r.RMS, Peak: r.Peak, PhasePeak: r.PhasePeak, Period: period}
}

// dimmed is the power in watts that a cold frame takes from all rails with its levels
// scaled.
func (p *Player) dimmed(f scenes.Frame, scale float64) (float64, error) {
	levels := make([]float64, len(f.Levels))
	for i, v := range f.Levels {
		levels[i] = v * scale
	}
	p.Reset()
	p.measure()
	if err := p.drive.FrameFor(p.pixels, levels, p.resistance, f.Duration); err != nil {
		return 0, err
	}
	var watts float64
	for _, st := range p.pixels {
		watts += st.Power
	}
	return watts, nil
}
