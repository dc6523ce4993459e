package player

import (
	"context"
	"math"
	"reflect"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Near is a player of a display that differs a little, its grid made by grid.Grid.Near or With.
func (p *Player) Near(g *grid.Grid) (*Player, error) {
	if p.cools(g.Design) {
		return p.passed(assemble(g, p.net.Twin()))
	}
	return p.passed(New(g))
}

// cools tells whether another design carries its heat away as this one does.
func (p *Player) cools(d design.Design) bool {
	was := p.grid.Design
	return d.Heat == was.Heat && steelOf(d) == steelOf(was) && reflect.DeepEqual(d.Board, was.Board) && reflect.DeepEqual(d.Coil, was.Coil)
}

// AsWarm tells whether the coils of another design make as much heat and get as warm.
func (p *Player) AsWarm(d design.Design) bool {
	was := p.grid.Design
	return p.cools(d) && d.Drive == was.Drive && d.Supply == was.Supply
}

// steelOf is what heat meets of a design's steel.
func steelOf(d design.Design) design.Iron {
	i := d.Iron
	i.MuR, i.Factor = 0, 0
	return i
}

// Probe is what a few frames of a played scene, its telling ones, ask of a display at the
// temperatures of the scene's mean heat, and how warm it gets. Two displays that differ a
// little are told apart by their probes: what a probe leaves out is left out of both.
type Probe struct {
	air         float64     // K
	mean        [][]float64 // of the scene's mean heat, as heat.Network.StartFrom takes it
	coils       []float64   // K, then
	turn, touch float64     // K, where the scene was hottest, after the frames before
	entries     map[int]Entry
	energy      []float64 // W, each coil's heat
}

// thinTo is how many frames stand for a scene's mean heat in a probe, warmFor how many are
// stepped through before the hottest.
const thinTo, warmFor = 48, 40

// thinned is a scene of every so manyeth frame, each lasting longer, as a probe takes its mean
// heat.
func thinned(s scenes.Scene) scenes.Scene {
	every := (len(s.Frames) + thinTo - 1) / thinTo
	if every < 2 {
		return s
	}
	thin, frames := s, s.Frames
	thin.Frames = nil
	for len(frames) > 0 {
		n := min(every, len(frames))
		f := frames[n/2]
		f.Duration = total(frames[:n])
		thin.Frames, frames = append(thin.Frames, f), frames[n:]
	}
	return thin
}

// telling are the frames of a played scene that its summary and the table of its hungriest
// tell of.
func (l *Ledger) telling() []int {
	z := l.Summary()
	list := append(l.Hungriest(5), z.PeakFrame, z.PeakPowerFrame, z.LeastHoldFrame, z.FalseOnFrame)
	slices.Sort(list)
	return slices.Compact(list)
}

// Probe takes a probe of a scene that was played on this display or on one near it, l its
// ledger there. From a probe of one as warm, which may be nil, temperatures are taken.
// Without rails their worst instants, which take most of the time, are left as they were.
func (p *Player) Probe(ctx context.Context, s scenes.Scene, l *Ledger, warm *Probe, rails bool) (*Probe, error) {
	out := &Probe{air: p.grid.Design.Heat.Ambient, entries: map[int]Entry{}}
	if warm != nil {
		out.mean, out.coils, out.turn, out.touch, out.energy = warm.mean, warm.coils, warm.turn, warm.touch, warm.energy
	} else if err := p.warmUp(ctx, s, l, out); err != nil {
		return nil, err
	}
	for i, t := range out.coils {
		p.resistance[i] = p.ohms(i, t)
	}
	for _, k := range l.telling() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		before, f := s.Frames[(k+len(s.Frames)-1)%len(s.Frames)], s.Frames[k]
		clear(p.pixels)
		if err := p.drive.FrameFor(p.pixels, before.Levels, p.resistance, before.Duration); err != nil {
			return nil, err
		}
		e := Entry{Duration: f.Duration}
		if rails {
			if err := p.rails(ctx, &e, f.Levels); err != nil {
				return nil, err
			}
		}
		if err := p.drive.FrameFor(p.pixels, f.Levels, p.resistance, f.Duration); err != nil {
			return nil, err
		}
		p.sum(&e)
		for i, v := range f.Levels {
			p.states[i] = p.grid.StateOf(v)
		}
		if err := p.see(f.Levels); err != nil {
			return nil, err
		}
		p.judge(&e)
		out.entries[k] = e
	}
	return out, nil
}

// warmUp fills in a probe's temperatures.
func (p *Player) warmUp(ctx context.Context, s scenes.Scene, l *Ledger, out *Probe) error {
	r, err := p.Mean(ctx, thinned(s))
	if err != nil {
		return err
	}
	if p.about == nil {
		full, err := p.Mean(ctx, s)
		if err != nil {
			return err
		}
		p.about = full.Coils
	}
	out.mean, out.coils, out.energy = r.State(), slices.Clone(r.Coils), slices.Clone(r.Watts)
	z := l.Summary()
	hottest, touch := z.HottestFrame, 0
	for i, e := range l.Entries {
		if e.Touch > l.Entries[touch].Touch {
			touch = i
		}
	}
	for _, end := range slices.Compact([]int{hottest, touch}) {
		p.net.StartFrom(out.mean)
		clear(p.pixels)
		if err := p.heatThrough(ctx, s.Frames[max(0, end+1-warmFor):end+1], nil); err != nil {
			return err
		}
		if end == hottest && z.HottestPixel >= 0 {
			out.turn = p.net.Turns()[z.HottestPixel]
		}
		if end == touch {
			out.touch = p.Touch()
		}
	}
	return nil
}

// Near is the ledger of the scene on a display near that which l is of, told by their probes:
// the telling frames by their own, the others by all of these together, temperatures by how
// they rise over the air. Pixels that fail are not counted anew.
func (l *Ledger) Near(from, to *Probe, limits design.Limits) *Ledger {
	z := l.Summary()
	out := *l
	out.Entries = slices.Clone(l.Entries)
	var a, b Entry
	for _, k := range l.telling() {
		a.draw(from.entries[k])
		b.draw(to.entries[k])
	}
	others := a.times(b)
	hold := share(to.entries[z.LeastHoldFrame].LeastHold, from.entries[z.LeastHoldFrame].LeastHold)
	falsely := share(to.entries[z.FalseOnFrame].GreatestFalseOn, from.entries[z.FalseOnFrame].GreatestFalseOn)
	turn, touch := share(to.turn-to.air, from.turn-from.air), share(to.touch-to.air, from.touch-from.air)
	for k := range out.Entries {
		e := &out.Entries[k]
		times, least, greatest := others, hold, falsely
		if x, told := from.entries[k]; told {
			y := to.entries[k]
			times = x.times(y)
			least, greatest = share(y.LeastHold, x.LeastHold), share(y.GreatestFalseOn, x.GreatestFalseOn)
		}
		for i, v := range e.scales() {
			*v *= times[i]
		}
		e.LeastHold *= least
		e.GreatestFalseOn *= greatest
		e.CrosstalkMargin = limits.FalseOn - e.GreatestFalseOn
		e.Hottest = to.air + (e.Hottest-from.air)*turn
		e.Touch = to.air + (e.Touch-from.air)*touch
		for side := range e.Behind {
			e.Behind[side] = to.air + (e.Behind[side]-from.air)*touch
		}
	}
	out.PixelPeak, out.PixelMean, out.PixelEnergy = slices.Clone(l.PixelPeak), slices.Clone(l.PixelMean), slices.Clone(l.PixelEnergy)
	for i := range out.PixelMean {
		rise := share(to.coils[i]-to.air, from.coils[i]-from.air)
		out.PixelPeak[i] = to.air + (l.PixelPeak[i]-from.air)*turn
		out.PixelMean[i] = to.air + (l.PixelMean[i]-from.air)*rise
		out.PixelEnergy[i] *= share(to.energy[i], from.energy[i])
	}
	return &out
}

// scales are the currents and powers of an entry.
func (e *Entry) scales() []*float64 {
	return []*float64{&e.SupplyPower, &e.SupplyPeakPower, &e.SupplyCurrent, &e.SupplyRMSCurrent, &e.SupplyPeakCurrent, &e.KickCurrent, &e.KickRMSCurrent, &e.KickPeakCurrent, &e.CoilHeat, &e.SwitchHeat, &e.DiodeHeat}
}

// draw adds the currents and powers of another entry.
func (e *Entry) draw(x Entry) {
	of := x.scales()
	for i, v := range e.scales() {
		*v += *of[i]
	}
}

// times is how many times as much another entry has of each current and power.
func (e *Entry) times(x Entry) (list []float64) {
	of := x.scales()
	for i, v := range e.scales() {
		list = append(list, share(*of[i], *v))
	}
	return list
}

// share is a over b, 1 where there is nothing to compare.
func share(a, b float64) float64 {
	if a == 0 || b == 0 || math.IsInf(a, 0) || math.IsInf(b, 0) {
		return 1
	}
	return a / b
}

// sum adds up what the pixels take.
func (p *Player) sum(e *Entry) {
	for i := range p.pixels {
		s := &p.pixels[i]
		p.currents.Mean[i] = s.Average
		e.SupplyPower += s.Power
		e.SupplyCurrent += s.RailAverage
		e.KickCurrent += s.BoostAverage
		e.CoilHeat += s.Copper
		e.SwitchHeat += s.Switch
		e.DiodeHeat += s.Diode
	}
	if p.grid.Design.Drive.Mode != design.DriveKick { // the boosted rail is the only one
		e.SupplyCurrent, e.KickCurrent = e.SupplyCurrent+e.KickCurrent, 0
	}
}
