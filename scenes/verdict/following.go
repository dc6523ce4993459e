package verdict

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drops"
	"lodegrid/field/root"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// MostFollowed is the most frames of a scene for which it is looked what would show it: a
// dozen trials play it whole.
const MostFollowed = 1000

// mostEffort is the most parts and joints of drops that one play of such a scene may look at,
// a few seconds' work. The tide sign's takes 3e5; only fluid that crowds on itself comes near.
const mostEffort = 1e8

// slowest is how many times as slow as it is a scene is tried at, and where that is not
// enough, so many times as slow again and again while it lasts no longer than longest, s.
// speedTolerance is the width to which its speed is solved, in the logarithm, and eased what it
// is slowed by at a time until it holds.
const (
	slowest        = 8
	longest        = 2 * 3600
	speedTolerance = 0.05
	eased          = 0.95
)

// following are settings with which the drop model shows enough of the scene, each solved
// for: a slower scene, more duty as far as heat allows, a kick, liquids of more equal
// weight, a smaller drop, no more fluid than the fullest picture needs; and where none of
// these does alone, with a slower scene. They are looked for once for both limits of what is
// seen, and not at all for a scene of more than MostFollowed frames or of drops that crowd
// on one another.
func (x *played) following(ctx context.Context, heatDuty float64) ([][]design.Change, error) {
	if x.follow != nil {
		return *x.follow, nil
	}
	if len(x.wanted.Frames) > MostFollowed || x.effort > mostEffort {
		return nil, nil
	}
	var sets [][]design.Change
	stronger := x.stronger(heatDuty)
	for _, set := range stronger {
		kept, err := x.keeps(ctx, set)
		if err != nil {
			return nil, err
		}
		if kept {
			sets = append(sets, set)
		}
	}
	slow := [][]design.Change{nil}
	if n := len(stronger); n > 0 && len(sets) == 0 {
		slow = append(slow, stronger[n-1]) // the strongest
	}
	for _, set := range slow {
		set, err := x.slower(ctx, set)
		if err != nil {
			return nil, err
		}
		if set != nil {
			sets = append(sets, set)
			break
		}
		if len(x.wanted.Frames) == 1 {
			break // as slow as can be
		}
	}
	x.follow = &sets
	return sets, nil
}

// stronger are settings that move drops better, the strongest last.
func (x *played) stronger(heatDuty float64) (sets [][]design.Change) {
	d := x.player.Grid().Design
	if f := player.FillOf(x.player.Grid(), x.scene); d.Fluid.Volume > 1.05*f.Need && f.Need > 0 {
		sets = append(sets, filling(f.Need))
	}
	if v := d.Fluid.DropDiameter; v > 0.61*d.Grid.Pitch {
		sets = append(sets, []design.Change{{Key: "fluid.drop_diameter", Value: fmt.Sprintf("%.3g mm", 0.6*d.Grid.Pitch*1e3)}})
	}
	if v := d.Fluid.DensityDifference; math.Abs(v) > 3 && d.Heat.Orientation == design.Vertical {
		sets = append(sets, []design.Change{{Key: "fluid.density_difference", Value: fmt.Sprintf("%g kg/m3", math.Copysign(3, v))}})
	}
	if x.plan != nil {
		for _, times := range []float64{1.5, 2.25} {
			sets = append(sets, kicked(d, times, 1))
		}
		return slices.DeleteFunc(sets, func(s []design.Change) bool { return s == nil })
	}
	if heatDuty > 1.05*d.Drive.MaxDuty {
		sets = append(sets, duty(d, heatDuty, math.Floor))
	}
	for _, ms := range []float64{200, 400, 800} {
		set := []design.Change{{Key: "drive.kick_time", Value: fmt.Sprintf("%g ms", ms)}}
		switch d.Drive.Mode {
		case design.DriveKick:
			if ms < 1.5e3*d.Drive.KickTime {
				continue
			}
		case design.DriveScan:
			continue
		default:
			set = append(set, design.Change{Key: "drive.mode", Value: string(design.DriveKick)}, design.Change{Key: "drive.max_duty", Value: "100 %"},
				design.Change{Key: "drive.hold_duty", Value: fmt.Sprintf("%.4g %%", 100*d.Drive.MaxDuty)})
		}
		sets = append(sets, set)
	}
	return slices.DeleteFunc(sets, func(s []design.Change) bool { return s == nil })
}

// slowed is how many times as slow a scene has to be for a condition, to a factor of slowest;
// 0 where it is not met as slow as it is tried.
func (x *played) slowed(met func(times float64) (bool, error)) (float64, error) {
	for times := float64(slowest); times == slowest || times*x.wanted.Duration() <= longest; times *= slowest {
		if ok, err := met(1 / times); ok || err != nil {
			return times, err
		}
	}
	return 0, nil
}

// slower is a set with the greatest speed of the scene, below its own, at which enough of it
// shows; nil when a scene as slow as is tried does not.
func (x *played) slower(ctx context.Context, set []design.Change) ([]design.Change, error) {
	own := x.player.Grid().Design.Scene.Speed
	at := func(times float64) []design.Change {
		return append(append([]design.Change{}, set...), design.Change{Key: "scene.speed", Value: fmt.Sprintf("%.2g", own*times)})
	}
	most, err := x.slowed(func(times float64) (bool, error) { return x.keeps(ctx, at(times)) })
	if most == 0 || err != nil {
		return nil, err
	}
	best := 1 / most
	_, _, err = root.Edge(ctx, func(log float64) (bool, error) {
		kept, err := x.keeps(ctx, at(math.Exp(log)))
		if kept {
			best = max(best, math.Exp(log))
		}
		return kept, err
	}, math.Log(best), math.Log(best*slowest), speedTolerance)
	// The search takes long steps and cold coils: what it found is eased until it holds.
	limits := x.player.Grid().Design.Limits
	for err == nil && best > 1/most/slowest {
		best *= eased
		var played *played
		if played, err = replay(ctx, x, at(best)); err == nil && played.seen != nil && played.seen.Keeps(limits.Shown, limits.Stray) {
			return at(best), nil
		}
		if ctx.Err() == nil {
			err = nil // a trial may fail
		}
	}
	return nil, err
}

// keeps tells whether the display with settings, its coils cold, shows enough of the scene,
// to the precision of a search: steps are twice as long as usual; false where it cannot be
// built.
func (x *played) keeps(ctx context.Context, set []design.Change) (bool, error) {
	g := x.player.Grid()
	d, err := g.Design.With(set...)
	if err != nil || g.Rebuilds(d) {
		return false, nil
	}
	p, s, wanted, err := x.on(ctx, d)
	if err != nil {
		return false, ctx.Err()
	}
	kept, err := shown.Kept(ctx, p, s, wanted, 2*drops.DefaultStep)
	if player.Restless(err) {
		return false, nil
	}
	return kept, err
}
