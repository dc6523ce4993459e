package verdict

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drops"
	"lodegrid/field/quantity"
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

// following are settings with which the drop model shows enough of the scene, each the mildest that
// does: no more fluid than the fullest picture needs, where drops are carried as many lit pixels as it wants, a smaller drop,
// liquids of more equal weight, a stronger drive, a kick, more volts, another pitch, a wider coil; a slower scene; and where none of these does alone, the strongest drive with a slower scene. They are looked for once for both limits
// of what is seen, and not at all for a scene of more than MostFollowed frames or of drops that crowd
// on one another.
func (x *played) following(ctx context.Context, heatDuty float64, tried map[string]*played) ([][]design.Change, error) {
	if x.follow != nil {
		return *x.follow, nil
	}
	if len(x.wanted.Frames) > MostFollowed || x.effort > mostEffort {
		return nil, nil
	}
	var sets [][]design.Change
	for _, d := range x.dials(heatDuty) {
		set, err := x.mildest(ctx, d, tried)
		if err != nil {
			return nil, err
		}
		if set != nil {
			sets = append(sets, set)
		}
	}
	slow := [][]design.Change{nil}
	if set := x.strongest(heatDuty); set != nil && len(sets) == 0 {
		slow = append(slow, set)
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

// dial is a setting that may show more of a scene the farther it goes from what it is to an end.
type dial struct {
	from, to float64
	set      func(v float64) []design.Change // nil where there is none
}

// dialTolerance is the width to which a dial is solved, in the logarithm.
const dialTolerance = 0.05

// mildest is a dial's setting nearest to what it is with which enough of the scene shows, as far as
// it is seen from a few on its way; nil where none of these shows enough.
func (x *played) mildest(ctx context.Context, d dial, tried map[string]*played) ([]design.Change, error) {
	from, to := math.Log(d.from), math.Log(d.to)
	at := func(log float64) []design.Change {
		return d.set(min(max(math.Exp(log), min(d.from, d.to)), max(d.from, d.to)))
	}
	kept := func(log float64) (bool, error) { return x.keeps(ctx, at(log)) }
	stops := 3.0
	if x.plan != nil {
		stops = 1 // each is planned anew, its kicks tried in the tank
	}
	way := (to - from) / stops
	for k := 1.0; k <= stops; k++ {
		ok, err := kept(from + k*way)
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		edge, _, err := root.Edge(ctx, kept, from+k*way, from+(k-1)*way, dialTolerance)
		if err != nil {
			return nil, err
		}
		return x.farther(ctx, edge, to, at, tried)
	}
	return nil, nil
}

// farther is a setting found by the search, which takes long steps and cold coils, taken farther
// until it holds when it is played; nil where none does.
func (x *played) farther(ctx context.Context, edge, to float64, at func(log float64) []design.Change, tried map[string]*played) ([]design.Change, error) {
	limits := x.player.Grid().Design.Limits
	for beyond := 0.0; ; beyond = 2*beyond + dialTolerance {
		set := at(edge + math.Copysign(beyond, to-edge))
		y, err := changed(ctx, x, set, tried)
		if err != nil {
			return nil, err
		}
		if y != nil && y.seen != nil && y.seen.Keeps(limits.Shown, limits.Stray) {
			return set, nil
		}
		if beyond >= math.Abs(to-edge) {
			return nil, nil
		}
	}
}

// How far dials go: the least drop over the pitch and the least difference in density, kg/m³, that are
// tried; by how much the pitch may change; the kick's times, s; how strong the kick of a
// carried scene may get; how many times the volts.
const (
	leastWide  = 0.5
	leastApart = 1
	mostPitch  = 1.5
	leastPitch = 0.75
	shortKick  = 0.1
	longKick   = 0.8
	mostKick   = 2.25
	mostVolts  = 3
)

// dials are those of a design. An end that no design may have shows nothing: it is left out.
func (x *played) dials(heatDuty float64) (list []dial) {
	g := x.player.Grid()
	d := g.Design
	add := func(from, to float64, set func(v float64) []design.Change) {
		if math.Abs(math.Log(to/from)) > dialTolerance {
			list = append(list, dial{from, to, set})
		}
	}
	length := func(key string) func(v float64) []design.Change {
		return func(v float64) []design.Change {
			return []design.Change{{Key: key, Value: fmt.Sprintf("%.3g mm", v*1e3)}}
		}
	}
	if f := player.FillOf(g, x.scene); d.Fluid.Volume > 1.05*f.Need && f.Need > 0 {
		add(d.Fluid.Volume, f.Need, filling)
	}
	if f := player.FillOf(g, x.wanted); x.plan != nil && f.Need > float64(d.Drive.MostLit)*f.Drop { // each drop is on a lit one
		add(float64(d.Drive.MostLit), f.Need/f.Drop, func(v float64) []design.Change {
			return []design.Change{{Key: string(MostLit), Value: fmt.Sprint(int(math.Ceil(v - 1e-6)))}}
		})
	}
	if v := d.Fluid.DropDiameter; v > leastWide*d.Grid.Pitch {
		add(v, leastWide*d.Grid.Pitch, length("fluid.drop_diameter"))
	}
	if v := d.Fluid.DensityDifference; math.Abs(v) > leastApart && d.Heat.Orientation == design.Vertical {
		add(math.Abs(v), leastApart, func(to float64) []design.Change {
			return []design.Change{{Key: "fluid.density_difference", Value: quantity.Figure(math.Copysign(to, v), 2) + " kg/m3"}}
		})
	}
	switch {
	case x.plan != nil:
		add(1, min(mostKick, 1/d.Drive.MaxDuty), func(v float64) []design.Change { return kicked(d, v, 1) })
	case d.Drive.Mode != design.DriveScan:
		from := d.Drive.KickTime
		if d.Drive.Mode != design.DriveKick {
			from = shortKick
		}
		if from < longKick {
			add(from, longKick, func(v float64) []design.Change { return kick(d, v) })
		}
	}
	if x.plan == nil && heatDuty > d.Drive.MaxDuty {
		add(d.Drive.MaxDuty, min(heatDuty, 1), func(v float64) []design.Change { return duty(d, v, math.Floor) })
	}
	if sold := slices.DeleteFunc(slices.Clone(d.Supply.Kind.Voltages()), func(v float64) bool { return v <= d.Supply.Voltage || v > mostVolts*d.Supply.Voltage }); len(sold) > 0 {
		add(d.Supply.Voltage, sold[len(sold)-1], func(to float64) []design.Change {
			k := slices.IndexFunc(sold, func(v float64) bool { return v >= to*(1-1e-9) })
			set := []design.Change{{Key: "supply.voltage", Value: fmt.Sprintf("%g V", sold[k])}}
			if x.plan != nil { // the hold stays what it is
				set = append(set, design.Change{Key: "scene.hold_level", Value: fmt.Sprintf("%.3g", d.Scene.HoldLevel*d.Supply.Voltage/sold[k])})
			}
			return set
		})
	}
	add(d.Grid.Pitch, mostPitch*d.Grid.Pitch, length("grid.pitch"))
	const tenth = 1e-4 // m, to which they are told
	add(d.Grid.Pitch, max(leastPitch*d.Grid.Pitch, math.Ceil((d.Coil.Outer+d.Coil.Gap)/tenth)*tenth), length("grid.pitch"))
	if room := math.Floor((d.Grid.Pitch-d.Coil.Gap)/tenth+1e-6) * tenth; room > d.Coil.Outer {
		add(d.Coil.Outer, room, length("coil.outer"))
	}
	return list
}

// strongest is the strongest drive that is tried, nil for none.
func (x *played) strongest(heatDuty float64) []design.Change {
	d := x.player.Grid().Design
	if x.plan != nil {
		return kicked(d, min(mostKick, 1/d.Drive.MaxDuty), 1)
	}
	switch {
	case d.Drive.Mode != design.DriveScan:
		return kick(d, longKick)
	case heatDuty > d.Drive.MaxDuty:
		return duty(d, heatDuty, math.Floor)
	}
	return nil
}

// kick is a kick so long, s, and what held a drop as its hold.
func kick(d design.Design, seconds float64) []design.Change {
	set := []design.Change{{Key: "drive.kick_time", Value: quantity.Figure(1e3*seconds, 2) + " ms"}}
	if d.Drive.Mode != design.DriveKick {
		set = append(set, design.Change{Key: "drive.mode", Value: string(design.DriveKick)}, design.Change{Key: "drive.max_duty", Value: "100 %"},
			design.Change{Key: "drive.hold_duty", Value: fmt.Sprintf("%.4g %%", 100*d.Drive.MaxDuty)})
	}
	return set
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
		return append(append([]design.Change{}, set...), design.Change{Key: "scene.speed", Value: quantity.Figure(own*times, 2)})
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
	if set == nil || err != nil {
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
