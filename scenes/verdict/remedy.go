package verdict

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// Remedy is settings that mend a problem: played with them, the scene keeps the limit.
type Remedy struct {
	Set []design.Change
	// Value is then what the limit is about, in its unit: within the limit.
	Value float64
	// Left are the limits still broken then, all of them broken before.
	Left []Limit
}

// mostRemedies is how many remedies a problem is given, mostSeen one of what is seen: its remedies
// are other things to buy.
const (
	mostRemedies = 3
	mostSeen     = 6
)

// mend finds remedies for every problem and a cure for all of them.
func (v *Verdict) mend(ctx context.Context, own *played, trial func()) error {
	tried := map[string]*played{}
	if slices.ContainsFunc(v.Problems, func(p Problem) bool { return p.Limit.Thermal() || p.Limit == Holding || p.seen() }) {
		trial()
		if err := v.Duties(ctx); err != nil {
			return err
		}
	}
	for i := range v.Problems {
		p := &v.Problems[i]
		sets, err := v.candidates(ctx, own, *p, tried)
		if err != nil {
			return err
		}
		most := mostRemedies
		if p.seen() {
			most = mostSeen
		}
		for _, set := range sets {
			if len(p.Remedies) == most {
				break
			}
			trial()
			r, err := v.try(ctx, own, *p, set, tried)
			if err != nil {
				return err
			}
			if r != nil {
				p.Remedies = append(p.Remedies, *r)
			}
		}
		sort.SliceStable(p.Remedies, func(a, b int) bool { return len(p.Remedies[a].Left) < len(p.Remedies[b].Left) })
	}
	return v.cure(ctx, own, tried)
}

// try plays with settings, and once more with the supply that they ask for where only
// that is missing. It returns nil when they are no remedy.
func (v *Verdict) try(ctx context.Context, own *played, p Problem, set []design.Change, tried map[string]*played) (*Remedy, error) {
	for range 2 {
		x, err := changed(ctx, own, set, tried)
		if x == nil || err != nil {
			return nil, err
		}
		left, worse := v.compare(own, x.problems())
		if len(worse) == 0 {
			if slices.Contains(left, p.Limit) {
				return nil, nil
			}
			return &Remedy{Set: set, Value: x.figure(p.Limit), Left: left}, nil
		}
		if len(worse) > 1 || worse[0] != Power || own.player.Grid().Design.Supply.Power == 0 {
			return nil, nil
		}
		set = merge(set, supplyFor(x.supply))
		if set == nil {
			return nil, nil
		}
	}
	return nil, nil
}

// compare sorts the problems after a change: those left from before, and those new or
// worse. What is seen is compared with what the drop model saw before, and where another
// judged and saw what the drop model does not, it is left.
func (v *Verdict) compare(own *played, after []Problem) (left, worse []Limit) {
	ambient := own.player.Grid().Design.Heat.Ambient
	before := v.Problems
	if own.dropped != nil {
		before = slices.DeleteFunc(slices.Clone(before), Problem.seen)
		before = append(before, shows(own.dropped, own.player.Grid().Design.Limits)...)
	}
	for _, a := range after {
		i := slices.IndexFunc(before, func(b Problem) bool { return b.Limit == a.Limit })
		// A per cent is what rounding and settling leave.
		if i < 0 || !a.seen() && a.severity(ambient) > 1.01*before[i].severity(ambient) ||
			a.seen() && math.Abs(a.Value-a.Bound) > math.Abs(before[i].Value-a.Bound)+seenError {
			worse = append(worse, a.Limit)
		} else if v.broken(a.Limit) {
			left = append(left, a.Limit)
		}
	}
	for _, p := range v.Problems {
		if own.unseen(p) && !slices.Contains(worse, p.Limit) {
			left = append(left, p.Limit)
		}
	}
	return left, worse
}

// broken tells whether a limit was broken before anything was tried.
func (v *Verdict) broken(l Limit) bool {
	return slices.ContainsFunc(v.Problems, func(p Problem) bool { return p.Limit == l })
}

// unseen tells whether a problem is of what is seen and the drop model, which tries what mends
// it, does not see it: no trial of it tells anything then.
func (x *played) unseen(p Problem) bool {
	if !p.seen() || x.dropped == nil {
		return false
	}
	return !slices.ContainsFunc(shows(x.dropped, x.player.Grid().Design.Limits), func(o Problem) bool { return o.Limit == p.Limit })
}

// seenError is how much of a picture the drop model may be wrong by (DEVELOPERS.md tells it
// against the tank): one that is broken already is not broken worse by less.
const seenError = 0.08

// seen tells whether a problem is of what a viewer sees.
func (p Problem) seen() bool { return p.Limit == Shown || p.Limit == Stray }

// changed plays the scene with settings; nil when that cannot be.
func changed(ctx context.Context, own *played, set []design.Change, tried map[string]*played) (*played, error) {
	key := fmt.Sprint(set)
	if x, known := tried[key]; known {
		return x, nil
	}
	x, err := replay(ctx, own, set)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		x = nil // a trial may fail
	}
	tried[key] = x
	return x, nil
}

// replay plays the scene of a display with settings changed.
func replay(ctx context.Context, own *played, set []design.Change) (*played, error) {
	d, err := own.player.Grid().Design.With(set...)
	if err != nil {
		return nil, err
	}
	if own.ledger != nil && own.sizesOnly(set) {
		x := *own
		if x.dropped != nil {
			x.seen = x.dropped // as in every trial
		}
		if x.player, err = own.player.With(func(to *design.Design) { *to = d }); err != nil {
			return nil, err
		}
		x.supply, err = studies.Sizing(ctx, x.player.Grid(), x.scene, x.ledger)
		return &x, err
	}
	p, s, wanted, err := own.on(ctx, d)
	if err != nil {
		return nil, err
	}
	x, err := play(ctx, p, s, wanted, nil, func(after func([]player.Entry) error) (*player.Ledger, error) { return p.Try(ctx, s, after) })
	if err != nil {
		return nil, err
	}
	return x, x.draw(ctx)
}

// on is the display of another design at rest, with the scene, and what is to be seen, at
// its speed; of a carried scene the moves are planned anew.
func (x *played) on(ctx context.Context, d design.Design) (p *player.Player, scene, wanted scenes.Scene, err error) {
	if x.plan != nil {
		return x.plan(ctx, d)
	}
	was := x.player.Grid()
	g, err := was.Changed(ctx, d)
	switch {
	case err != nil:
		return nil, scene, wanted, err
	case was.Rebuilds(d):
		p, err = player.New(g)
	default:
		p, err = x.player.Near(g)
	}
	times := d.Scene.Speed / x.player.Grid().Design.Scene.Speed
	return p, x.scene.Faster(times), x.wanted.Faster(times), err
}

// sizesOnly tells whether settings change nothing that plays. Where drops are carried, there are as many as
// pixels may be lit, and as many are kicked at once as the supply gives.
func (x *played) sizesOnly(set []design.Change) bool {
	return !slices.ContainsFunc(set, func(c design.Change) bool {
		return x.plan != nil && (c.Key == string(MostLit) || c.Key == string(Power)) || !slices.Contains([]string{string(Power), string(MostLit), string(Driver), string(Bow), spacers, string(Drift), string(Room)}, c.Key)
	})
}

// figure is what a limit is about, in its unit.
func (x *played) figure(l Limit) float64 {
	d, z := x.player.Grid().Design, x.summary
	switch l {
	case Board, Magnets:
		return z.Hottest
	case Touch:
		return z.Touch
	case Power:
		return x.supply.Load.Value * d.UsablePower()
	case MostLit:
		return float64(z.MostLit)
	case Driver:
		return x.channel
	case Holding:
		return z.LeastHold
	case Bow:
		return x.bowed(d)
	case Room:
		ends, _ := x.liquids()
		return x.growth(ends[1].Fluid.Temperature)
	case Filled:
		return player.FillOf(x.player.Grid(), x.scene).Fluid()
	case Sticks:
		return x.stuck()
	case Drift, Turned:
		ends, ok := x.liquids()
		if l == Turned && ok {
			return turned(d.Fluid.DensityDifference, ends)
		}
		return min(ends[0].Hold, ends[1].Hold)
	case Planes:
		if x.misfit != nil {
			return 0
		}
		return 1
	case Wiring:
		return float64(x.wired())
	case Shown, Stray:
		share, stray := x.seen.Share()
		if l == Shown {
			return share
		}
		return stray
	}
	return z.GreatestFalseOn
}

// cure looks for settings that leave no limit broken: the remedy that leaves the fewest, with
// the first of each that it leaves, or else the first of every problem together.
func (v *Verdict) cure(ctx context.Context, own *played, tried map[string]*played) error {
	var all []design.Change
	var best *Remedy
	for i, p := range v.Problems {
		for k := range p.Remedies {
			if r := &p.Remedies[k]; best == nil || len(r.Left) < len(best.Left) {
				best = r
			}
		}
		switch {
		case len(p.Remedies) == 0: // only what mends others may mend it
			all = nil
		case i == 0 || all != nil:
			all = merge(all, p.Remedies[0].Set)
		}
	}
	if best == nil {
		return nil
	}
	few, left := best.Set, best.Left
	for len(left) > 0 && few != nil {
		p := v.Problems[slices.IndexFunc(v.Problems, func(p Problem) bool { return p.Limit == left[0] })]
		if len(p.Remedies) == 0 {
			few = nil
			break
		}
		i := max(0, slices.IndexFunc(p.Remedies, func(r Remedy) bool { return merge(few, r.Set) != nil }))
		few = merge(few, p.Remedies[i].Set)
		left = slices.DeleteFunc(slices.Clone(left), func(l Limit) bool { return !slices.Contains(p.Remedies[i].Left, l) })
	}
	for _, set := range [][]design.Change{few, all} {
		if v.Cure != nil || set == nil {
			continue
		}
		x, err := changed(ctx, own, set, tried)
		if err != nil {
			return err
		}
		if x == nil {
			continue
		}
		if left, worse := v.compare(own, x.problems()); len(left)+len(worse) == 0 {
			v.Cure = set
		}
	}
	return nil
}

// merge joins settings; nil when they contradict each other.
func merge(a, b []design.Change) []design.Change {
	out := slices.Clone(a)
	for _, c := range b {
		i := slices.IndexFunc(out, func(o design.Change) bool { return o.Key == c.Key })
		switch {
		case i < 0:
			out = append(out, c)
		case out[i].Value != c.Value:
			return nil
		}
	}
	return out
}

// supplyFor sets the supply that a proposal asks for.
func supplyFor(p *supply.Proposal) []design.Change {
	if p == nil {
		return nil
	}
	return []design.Change{{Key: string(Power), Value: fmt.Sprintf("%g W", p.Power.Value*p.Supplies.Value)}}
}

// candidates are the settings that might mend a problem, each solved for.
func (v *Verdict) candidates(ctx context.Context, own *played, p Problem, tried map[string]*played) ([][]design.Change, error) {
	d := own.player.Grid().Design
	var sets [][]design.Change
	add := func(set []design.Change) {
		if set != nil {
			sets = append(sets, set)
		}
	}
	switch {
	case p.Limit.Thermal():
		f, err := own.coolingFrequency(ctx)
		if err != nil {
			return nil, err
		}
		if f > 0 {
			add([]design.Change{{Key: "drive.frequency", Value: fmt.Sprintf("%g kHz", f/1e3)}})
		}
		add(duty(d, v.HeatDuty, math.Floor))
		set, err := own.cooler(ctx)
		if err != nil {
			return nil, err
		}
		add(set)
	case p.Limit == Power:
		add(supplyFor(own.supply))
		add(duty(d, own.supply.Dimming.Value*d.Drive.MaxDuty, math.Floor))
	case p.Limit == Driver:
		add([]design.Change{{Key: string(Driver), Value: fmt.Sprintf("%g A", math.Ceil(p.Value*10)/10)}})
	case p.Limit == Room:
		add([]design.Change{{Key: string(Room), Value: fmt.Sprintf("%g %%", math.Ceil(100*p.Value+1))}})
	case p.Limit == Filled:
		add(filling(p.Bound))
	case p.Limit == MostLit:
		add([]design.Change{{Key: string(MostLit), Value: fmt.Sprint(int(p.Value))}})
	case p.Limit == Holding:
		add(duty(d, v.HoldDuty, math.Ceil))
		add(own.firmer())
	case p.Limit == Releases:
		f, err := studies.FalseDuty(ctx, own.player, own.scene, p.Frame)
		if err != nil {
			return nil, err
		}
		add(duty(d, f, math.Floor))
		add([]design.Change{{Key: "grid.pitch", Value: fmt.Sprintf("%g mm", math.Ceil(d.Grid.Pitch*1e3*1.25*2)/2)}})
	}
	if p.Limit == Drift || p.Limit == Turned {
		for _, set := range own.steadier(p) {
			add(set)
		}
	}
	if p.Limit == Sticks {
		for _, set := range own.looser() {
			add(set)
		}
	}
	if p.Limit == Bow {
		for _, set := range own.stiffer() {
			add(set)
		}
	}
	if p.Limit == Wiring {
		switch {
		case own.undrawn == "":
		case d.Coils() > 1: // whose joints are for a second board
			add([]design.Change{{Key: "drive.place", Value: string(design.PlaceBoard)}})
		case d.Drive.Mode == design.DriveScan && d.Drive.Bridge != design.BridgeLowSide: // whose diodes pass one way alone
			add([]design.Change{{Key: "drive.bridge", Value: string(design.BridgeLowSide)}})
		}
		a, pixel := own.wiring(), own.player.Grid().Pixel
		if pitch := a.Wider(d, pixel.Coil, pixel.FullCurrent); pitch > 0 {
			add([]design.Change{{Key: "grid.pitch", Value: fmt.Sprintf("%.6g mm", pitch*1e3)}})
		}
		if layers := a.Fewer(d, pixel.FullCurrent); layers > 0 {
			add([]design.Change{{Key: "coil.layers", Value: fmt.Sprint(layers)}})
		}
		if len(sets) == 0 {
			if outer := a.Smaller(d, pixel.Coil, pixel.FullCurrent); outer > 0 {
				add([]design.Change{{Key: "coil.outer", Value: fmt.Sprintf("%.6g mm", outer*1e3)}})
			}
		}
	}
	if p.Unseen || p.seen() && v.Carried && own.plan == nil {
		return nil, nil // moves stretched or sped up are none
	}
	if p.seen() {
		return own.following(ctx, v.HeatDuty, tried)
	}
	return sets, nil
}

// coolingFrequency is that of the studies, looked for once whatever the number of limits
// of heat that are broken.
func (x *played) coolingFrequency(ctx context.Context) (float64, error) {
	if x.cooling == nil {
		f, err := studies.CoolingFrequency(ctx, x.player, x.scene)
		if err != nil {
			return 0, err
		}
		x.cooling = &f
	}
	return *x.cooling, nil
}

// leastDuty is the smallest duty worth setting.
const leastDuty = 1e-3

// duty sets the duty at level 1, rounded to three digits to the safe side, and in mode
// kick that of the hold in the design's proportion; nil when it is of no use, and for a
// planned scene, whose times go with the kick's strength.
func duty(d design.Design, v float64, round func(float64) float64) []design.Change {
	if !(v >= leastDuty) || v > 1 || d.Scene.HoldLevel != 1 {
		return nil
	}
	share := func(v float64) string {
		step := math.Pow(10, math.Floor(math.Log10(v*100))-2)
		return fmt.Sprintf("%.4g %%", math.Min(round(v*100/step+1e-9)*step, 100))
	}
	set := []design.Change{{Key: "drive.max_duty", Value: share(v)}}
	if d.Drive.Mode == design.DriveKick && d.Drive.HoldDuty > 0 {
		set = append(set, design.Change{Key: "drive.hold_duty", Value: share(min(d.Drive.HoldDuty*v/d.Drive.MaxDuty, 1))})
	}
	return set
}
