package choreograph

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"reflect"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/field/root"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Aim says how a scene is to be carried and how much of it the tank is asked about.
type Aim struct {
	Options
	Hop  float64 // s, that the slowest hop may take
	Duty float64 // of the kick; 0 to have it solved, or taken from a design whose scene is carried
	// Proof is how many seconds of the plan the tank is run over, 0 for none, with Cells
	// cells per pitch; Tries is how many plans are made at most.
	Proof float64
	Cells int
	Tries int
	Days  Days
	Known *Timing // of a design that may move drops as this one: its times are not solved again then
}

// Result is a scene whose drops are carried.
type Result struct {
	Plan   *Plan
	Player *player.Player // of the design that the plan is for, at rest
	Proof  *Proof         // nil when none was asked for
	// Held tells that the tank lost drops that stood still: no slower move mends that.
	Held bool
	// Start brings the drops out of the pool where the design begins so; nil where it does not. The
	// plan is of those that come, and begins when they stand.
	Start *Start
}

// Set is what the design's keys have to be for the plan.
func (r Result) Set(own design.Design) []design.Change {
	d := r.Player.Grid().Design
	list := []design.Change{
		{Key: "drive.max_duty", Value: fmt.Sprintf("%.4g %%", d.Drive.MaxDuty*100)},
		{Key: "scene.hold_level", Value: fmt.Sprintf("%.4g", d.Scene.HoldLevel)},
	}
	if own.Scene.Carry {
		list = append(list, design.Change{Key: "scene.carry", Value: "false"})
	}
	if d.Drive.Mode != own.Drive.Mode {
		list = append(list, design.Change{Key: "drive.mode", Value: string(d.Drive.Mode)})
	}
	return list
}

// UsualHop is a hop's time where none is asked for, s: a fraction of a second (common
// practice, no source).
const UsualHop = 0.3

// Follows is the share of wanted pixels from which a scene is said to be followed.
const Follows = 0.9

// Comparison is a scene carried beside the same with its pixels just switched.
type Comparison struct {
	Before, After player.Summary // both looped
	Light         float64        // what the tank shows of the scene when it is just switched
	// Speed is the greatest factor on the scene's speed at which the plan shows Follows,
	// 0 for none, and Shown what it then shows; Slowest is how many times slower was tried.
	Speed, Shown, Slowest float64
}

// Carry plans a scene for a display, has the tank try the plan, and plans anew with more
// time and stronger guards for what the tank loses.
func Carry(ctx context.Context, p *player.Player, s scenes.Scene, a Aim) (Result, error) {
	g := p.Grid()
	if err := a.check(g.Design.Pixels()); err != nil { // before anything is solved for
		return Result{}, fmt.Errorf("carrying scene %q: %w", s.Name, err)
	}
	if a.Duty == 0 && g.Design.Scene.Carry {
		a.Duty = g.Design.Drive.MaxDuty
	}
	timing, err := a.solved(ctx, g)
	a.Gather = g.Design.Scene.Gather
	if err == nil && (a.Gather > 0 || a.Days.Loops > 0) && timing.Part == ([4]quantity.Derived{}) {
		err = timing.parting(ctx, g)
	}
	if err != nil {
		return Result{}, err
	}
	var best Result
	for try := 1; ; try++ {
		plan, err := Scene(ctx, g, s, timing, a.Options)
		if err != nil {
			return Result{}, err
		}
		r := Result{Plan: plan}
		planned := func(d *design.Design) { *d = Planned(*d, timing.Duty) }
		if r.Player, err = p.With(planned); err != nil {
			return Result{}, err
		}
		if g.Design.Fluid.Start == design.StartPool {
			if r, err = fromPool(ctx, g, r.Player, plan, s, a.Options, cmp.Or(a.Cells, StartCells)); err != nil {
				return r, err
			}
		}
		if a.Proof <= 0 {
			return r, nil
		}
		proof, err := Prove(ctx, r.Player, r.Plan, a.Proof, a.Cells)
		if err != nil {
			return Result{}, err
		}
		proof.Tries = try
		r.Proof = &proof
		r.Player.Reset()
		// Slower moves lose fewer drops, but come later: what is seen decides.
		if best.Plan == nil || proof.Shown > best.Proof.Shown {
			best = r
		}
		best.Proof.Tries = try
		if len(proof.Lost) == 0 || try >= a.Tries {
			return best, nil
		}
		wide, helps := timing.Wider(proof.Lost)
		if !helps {
			best.Held = true
			return best, nil
		}
		timing = wide
	}
}

// solved are the times of a grid's moves.
func (a Aim) solved(ctx context.Context, g *grid.Grid) (Timing, error) {
	of := g.Design
	of.Scene.Speed, of.Scene.Gather, of.Supply.Power, of.Limits.Shown, of.Limits.Stray = 0, 0, 0, 0, 0 // none of which moves a drop
	if a.Known != nil && reflect.DeepEqual(a.Known.of, of) {
		return *a.Known, nil
	}
	t, err := Solve(ctx, g, ForLiquid(), a.Hop, a.Duty)
	if err != nil {
		return t, err
	}
	t.of = of
	return t, t.InTank(ctx, g)
}

// How far the speed of a scene is looked for, in octaves, and how exactly.
const (
	octaves     = 6
	mostOctaves = 2 * octaves // slower, for a scene that asks for more
	part        = 0.1
)

// Slowest is how many times slower than it is Fastest looks at a scene: it may not last longer
// than any scene may.
func Slowest(s scenes.Scene) float64 {
	longest := math.Floor(scenes.DefaultLimits().Duration / s.Duration() * (1 - 1e-9)) // not by rounding
	return min(max(longest, 1), 1<<mostOctaves)
}

// Fastest is the greatest factor by which a scene can be sped up, 1/Slowest…64, so that its
// plan shows at least a share of the wanted pixels, and the share it then shows; 0 when
// none does. A slower scene need not show more: it is the first that fails above one
// that does.
func Fastest(ctx context.Context, p *player.Player, s scenes.Scene, t Timing, o Options, share float64) (speed, shown float64, err error) {
	o.rough = true
	at := func(octave float64) (float64, error) {
		plan, err := Scene(ctx, p.Grid(), s.Faster(math.Exp2(octave)), t, o)
		if err != nil {
			return 0, err
		}
		return plan.Shown, nil
	}
	holds := func(octave float64) (bool, error) {
		v, err := at(octave)
		return v >= share, err
	}
	least := -math.Log2(Slowest(s))
	low, octave, tooFast := max(-octaves, least), float64(octaves), false
	for ok := false; !ok; {
		if ok, err = holds(low); err != nil || !ok && low <= least {
			return 0, 0, err
		}
		if !ok {
			low, octave, tooFast = max(low-octaves, least), low, true
		}
	}
	if !tooFast {
		ok, err := holds(octave)
		if err != nil {
			return 0, 0, err
		}
		tooFast = !ok
	}
	if tooFast {
		if octave, _, err = root.Edge(ctx, holds, low, octave, part); err != nil {
			return 0, 0, err
		}
	}
	speed = math.Exp2(octave)
	digit := math.Pow(10, math.Floor(math.Log10(speed))-1)
	fits := func(v float64) bool { return v > 0 && s.Duration()/v < scenes.DefaultLimits().Duration }
	if short := math.Floor(speed/digit) * digit; fits(short) {
		speed = short // two digits, to the safe side
	}
	// A plan a little slower may show a little less.
	for shown, err = at(math.Log2(speed)); err == nil && shown < share && fits(speed-digit); {
		speed -= digit
		shown, err = at(math.Log2(speed))
	}
	return speed, shown, err
}

// Looped is what a scene that loops costs; its zero value when it settles in no state.
func Looped(ctx context.Context, p *player.Player, s scenes.Scene) (player.Summary, error) {
	p.Reset()
	if _, err := p.Warm(ctx, s); player.Restless(err) {
		return player.Summary{}, nil
	} else if err != nil {
		return player.Summary{}, err
	}
	l, err := p.Play(ctx, s, nil)
	if player.Restless(err) {
		return player.Summary{}, nil
	} else if err != nil {
		return player.Summary{}, err
	}
	return l.Summary(), nil
}
