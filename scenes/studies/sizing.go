package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Sizing proposes a supply for a played scene: sized with cold coils, which draw most,
// for the frame that draws most, or for as many pixels as the firmware lights where the
// design caps them (not where level 1 is a kick, of which the scene itself keeps the
// number down); the scene's mean and all pixels on stand beside it. It is that of
// the main rail: the supply's, or the boosted one of mode scan.
func Sizing(ctx context.Context, g *grid.Grid, s scenes.Scene, l *player.Ledger) (*supply.Proposal, error) {
	d, z := g.Design, l.Summary()
	c, err := newCold(g)
	if err != nil {
		return nil, err
	}
	most := s.Frames[z.PeakFrame]
	duration := most.Duration
	frame, err := c.draw(ctx, supply.Frame, most, pictureRail)
	if err != nil {
		return nil, err
	}
	all, err := c.draw(ctx, supply.AllOn, scenes.Frame{Levels: AllOn(g), Duration: duration}, pictureRail)
	if err != nil {
		return nil, err
	}
	mean := supply.Draw{Kind: supply.Scene, Average: z.AverageCurrent, Peak: max(frame.Peak, z.AverageCurrent), Period: frame.Period}
	var square float64
	for _, e := range l.Entries {
		square += e.SupplyRMSCurrent * e.SupplyRMSCurrent * e.Duration / z.Duration
		mean.Peak = max(mean.Peak, e.SupplyPeakCurrent)
	}
	mean.RMS = min(max(math.Sqrt(square), mean.Average), mean.Peak)
	draws, basis, sizedFor := []supply.Draw{mean, frame}, supply.Frame, most
	if d.Drive.MostLit < d.Pixels() && d.Scene.HoldLevel == 1 {
		legal := scenes.Frame{Levels: MostLit(g), Duration: duration}
		draw, err := c.draw(ctx, supply.Legal, legal, pictureRail)
		if err != nil {
			return nil, err
		}
		draws = append(draws, draw)
		if draw.Average > frame.Average {
			basis, sizedFor = supply.Legal, legal
		}
	}
	params := parameters(d)
	params.Draws, params.Basis, params.Rated = append(draws, all), basis, d.Supply.Power
	params.Power = func(scale float64) (float64, error) { return c.dimmed(sizedFor, scale) }
	proposal, err := supply.Propose(ctx, params)
	if err != nil {
		return nil, fmt.Errorf("sizing the supply: %w", err)
	}
	return proposal, nil
}

// parameters are what a design says of the supply of its main rail.
func parameters(d design.Design) supply.Params {
	return supply.Params{
		Sort: d.Supply.Kind, Voltage: d.Rail(), Tolerance: d.Supply.Tolerance, ESR: d.Supply.SeriesResistance, ResponseTime: d.Supply.Response,
		Derating: d.UsableShare(), Efficiency: d.Supply.Efficiency, Droop: d.Supply.Droop,
		FeederLength: d.Supply.FeederLen, Ambient: d.Heat.Ambient, Contact: d.Supply.ContactCurrent,
	}
}

// kickParameters are the same of a kick rail of its own.
func kickParameters(d design.Design) supply.Params {
	p := parameters(d)
	p.Sort, p.Voltage = supply.Usual, d.Drive.KickVoltage
	return p
}

// KickSizing proposes the supply of a kick rail of its own, mode kick with a
// drive.kick_voltage above the supply's; nil without one. It is sized to carry the kick
// of the frame that kicks most pixels, all from rest, for as long as it lasts: switched on
// within a fuller frame the firmware kicks one part after the other (faults.Guarantee). Mean is
// what it gives over the scene, and bank the capacitance in farads that lets a supply
// for the mean of that frame do, as the capacitors carry the kick.
func KickSizing(ctx context.Context, g *grid.Grid, s scenes.Scene, l *player.Ledger) (proposal *supply.Proposal, bank Bank, err error) {
	d := g.Design
	if !ownKickRail(d) {
		return nil, bank, nil
	}
	c, err := newCold(g)
	if err != nil {
		return nil, bank, err
	}
	most, mean := 0, supply.Draw{Kind: supply.Scene, Period: 1 / d.Drive.Frequency}
	total, square := 0.0, 0.0
	for i, e := range l.Entries {
		if e.KickCurrent > l.Entries[most].KickCurrent {
			most = i
		}
		total += e.Duration
		mean.Average += e.KickCurrent * e.Duration
		square += e.KickRMSCurrent * e.KickRMSCurrent * e.Duration
		mean.Peak = max(mean.Peak, e.KickPeakCurrent)
	}
	mean.Average /= total
	f := s.Frames[most]
	frame, err := c.draw(ctx, supply.Frame, f, kickRail)
	if err != nil {
		return nil, bank, err
	}
	mean.Peak = max(mean.Peak, frame.Peak, mean.Average)
	mean.RMS = min(max(math.Sqrt(square/total), mean.Average), mean.Peak)
	all, err := c.draw(ctx, supply.AllOn, scenes.Frame{Levels: AllOn(g), Duration: f.Duration}, kickRail)
	if err != nil {
		return nil, bank, err
	}
	params := kickParameters(d)
	params.Draws, params.Basis = []supply.Draw{mean, frame, all}, supply.Frame
	proposal, err = supply.Propose(ctx, params)
	if err != nil {
		return nil, bank, fmt.Errorf("sizing the kick rail: %w", err)
	}
	kick := min(d.Drive.KickTime, f.Duration)
	high := 1 + d.Supply.Tolerance
	peak := frame.Average * high
	over := peak * kick / f.Duration // A, mean over the frame
	bank.Droop = d.Supply.Droop
	bank.Why = fmt.Sprintf("(I_kick − I_mean) t_kick/(ΔV − (I_kick − I_mean) ESR) = (%.5g A − %.5g A) × %.5g s / (%.5g V − %.5g A × %.5g Ω); a larger supply.droop makes it smaller",
		peak, over, kick, bank.Droop, peak-over, d.Supply.SeriesResistance)
	if bank.Capacitance = math.Inf(1); (peak-over)*d.Supply.SeriesResistance < bank.Droop {
		bank.Capacitance = supply.BulkCapacitance(peak-over, kick, bank.Droop, d.Supply.SeriesResistance)
	}
	bank.Rung = params.Rate(over / high)
	return proposal, bank, nil
}

// Bank is capacitors that carry kicks beside a supply for the mean.
type Bank struct {
	Capacitance float64 // F; +Inf where their series resistance alone takes the droop
	Why         string  // its derivation
	Droop       float64 // V, by which the rail falls over a kick
	Rung        supply.Rung
}

// ownKickRail tells whether kicks come from a rail of their own.
func ownKickRail(d design.Design) bool {
	return d.Drive.Mode == design.DriveKick && d.Drive.KickVoltage != d.Supply.Voltage
}

// railKind picks a rail.
type railKind bool

const (
	pictureRail railKind = false // that which carries the picture: the supply's, or a boosted scan's
	kickRail    railKind = true  // a kick rail of its own
)

// draw is what a frame draws from a rail, from rest at ambient temperature, over the
// stretch that a supply must carry by itself: a PWM period, or a scan, whose rows the
// capacitors level. A kick lasts longer than a supply takes to follow, so in mode kick it
// is the kick for the rail that gives it, and the hold for a supply beside that.
func (c *cold) draw(ctx context.Context, kind supply.Kind, f scenes.Frame, of railKind) (supply.Draw, error) {
	c.start()
	d := c.grid.Design
	var load drive.Load
	var err error
	kicked := d.Drive.Mode == design.DriveKick && (of == kickRail || !ownKickRail(d))
	if kicked {
		load, err = c.meter.FrameLoad(ctx, c.pixels, f.Levels, c.resistance, min(d.Drive.KickTime, f.Duration))
	} else {
		load, err = c.meter.Load(ctx, f.Levels, c.resistance)
	}
	if err != nil {
		return supply.Draw{}, fmt.Errorf("working out what a frame draws: %w", err)
	}
	r := player.MainRail(load)
	if of == kickRail {
		r = load.Boost
	}
	out := supply.Draw{Kind: kind, Average: r.Average, RMS: r.RMS, Peak: r.Peak, PhasePeak: r.PhasePeak, Period: load.Time}
	if d.Drive.Mode == design.DriveKick {
		out.Period = 1 / d.Drive.Frequency
	}
	if held, err := c.meter.Load(ctx, f.Levels, c.resistance); err == nil && kicked && of == pictureRail && held.Supply.Average > out.Average {
		// The design holds with more than it kicks.
		out.Average, out.RMS = held.Supply.Average, held.Supply.RMS
		out.Peak, out.PhasePeak = max(out.Peak, held.Supply.Peak), max(out.PhasePeak, held.Supply.PhasePeak)
	} else if err != nil {
		return supply.Draw{}, fmt.Errorf("working out what a frame draws: %w", err)
	}
	return out, nil
}

// dimmed is the power in watts that a cold frame takes from the picture's rail with its
// levels scaled: draw's average without its waveform.
func (c *cold) dimmed(f scenes.Frame, scale float64) (float64, error) {
	levels := make([]float64, len(f.Levels))
	for i, v := range f.Levels {
		levels[i] = v * scale
	}
	c.start()
	amps := func() (sum float64) {
		for _, s := range c.pixels {
			sum += s.RailAverage + s.BoostAverage
		}
		return sum
	}
	if err := c.drive.Steady(c.pixels, levels, c.resistance); err != nil {
		return 0, fmt.Errorf("dimming a frame: %w", err)
	}
	most := amps()
	if d := c.grid.Design; d.Drive.Mode == design.DriveKick && !ownKickRail(d) {
		clear(c.pixels)
		if err := c.drive.FrameFor(c.pixels, levels, c.resistance, min(d.Drive.KickTime, f.Duration)); err != nil {
			return 0, fmt.Errorf("dimming a frame: %w", err)
		}
		most = max(most, amps())
	}
	return most * c.grid.Design.Rail(), nil
}
