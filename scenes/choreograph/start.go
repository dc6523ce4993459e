package choreograph

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/carry"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// How a drop is lifted out of the pool: a kick of the lowest pixel draws one up on a foot that
// stands in the pool; a weaker level for a while lets the foot run thin or tears it off, and the
// kick of the pixel above draws off what is one drop; a guard keeps it there while the rest
// falls back. Times in s; so many kicks are tried from the shortest that draws enough, each longer by
// a step, up to the longest: one of 8 s would lift a few more, but heats a coil of the built-in
// display to 69 °C. What a foot does is chance near where it tears, and beside the tank's side it
// tears sooner: a lift has to work there and in the middle.
const (
	liftStep, liftMost, liftKicks = 0.25, 4, 4
	liftNeck, liftRest            = 3, 2
)

// necks are the levels of the neck that are tried.
var necks = []float64{0.35, 0.4, 0.3, 0.25, 0.2}

// What counts as one drop, in reference drops, what is as near to one as is looked for, and the
// steps of the pool's depth that lifts are worked out for, m.
const (
	leastDrop, mostDrop = 0.75, 1.4
	nearDrop            = 0.2
	depthStep           = 0.2e-3
)

// Lift is how a drop is taken out of a pool of some depth; Drops is 0 where the tank lifts none.
type Lift struct {
	Depth float64 // m
	Kick  float64 // s, of the lowest pixel
	Level float64 // of the neck
	Drops float64 // reference drops that come to the pixel above the lowest, on average
}

// Start is how the drops come to their pixels out of the pool: at the first start, after the
// current was off, or when drops were lost.
type Start struct {
	Scene scenes.Scene // played once; it ends as the carried scene begins
	Fall  float64      // s, all off at its beginning: until every drop has fallen
	Depth float64      // m, of the pool with every drop in it
	Least float64      // m, of the shallowest pool that a drop is lifted from; 0 for none found
	Drops int          // wanted
	Lifts []Lift       // one for each drop that is lifted
	// Volume is the least of some volumes of fluid, m³, out of which the most are lifted, and
	// Most how many; the volume is 0 where no more are than of what there is.
	Volume float64
	Most   int
	// Confirmed are the pixels that the tank has half full at the end, −1 where it was not asked.
	Confirmed int
	// Once is what playing it draws and heats, from cold; nothing where that was not played.
	Once player.Summary
}

// TooHot tells that playing it breaks limits.board.
func (s Start) TooHot(l design.Limits) bool { return s.Once.Hottest > l.Board }

// Unconfirmed tells that the tank was asked and has fewer drops on their pixels than are lifted.
func (s Start) Unconfirmed() bool { return s.Confirmed >= 0 && s.Confirmed < len(s.Lifts) }

// pond is a small tank with a pool, as wide as tells the lift.
type pond struct {
	player *player.Player
	timing Timing
	known  map[int]Lift // by depth in steps
}

func newPond(ctx context.Context, g *grid.Grid, t Timing) (*pond, error) {
	p, err := small(ctx, g, t)
	return &pond{p, t, map[int]Lift{}}, err
}

// play moves the fluid of a small tank in levels of two pixels, one above the other, and tells
// how many drops are on each.
func (o *pond) play(ctx context.Context, b *player.Tank, row, col int, list ...[3]float64) (low, high float64, err error) {
	g := o.player.Grid()
	n, cols := g.Design.Pixels(), g.Design.Grid.Cols
	up := row*cols + col
	for _, f := range list {
		levels := make([]float64, n)
		levels[up+cols], levels[up] = o.timing.sign*f[0], o.timing.sign*f[1]
		if _, err := o.player.Push(ctx, scenes.Frame{Levels: levels, Duration: f[2]}); err != nil {
			return 0, 0, err
		}
		if err := o.player.Move(0, f[2], b.Step); err != nil {
			return 0, 0, err
		}
	}
	place, cell := make([]float64, n), make([]float64, n)
	b.Cover(place, cell)
	return cell[up+cols], cell[up], nil
}

// spots are the columns of the small tank at which a lift has to work: in its middle and at its side.
var spots = []int{1, 0}

// lift finds by the tank how a drop is taken out of a pool that is so deep, m.
func (o *pond) lift(ctx context.Context, depth float64) (Lift, error) {
	k := int(math.Round(depth / depthStep))
	best, ok := o.known[k]
	if ok {
		return best, nil
	}
	best.Depth = float64(k) * depthStep
	off := math.Inf(1) // by how much the worse of the best is not one drop
	kicked := make([]*player.Tank, len(spots))
	for n := range kicked {
		var err error
		if kicked[n], err = o.pool(best.Depth); err != nil {
			return best, err
		}
	}
	o.player.Reset()
	upper := o.player.Grid().Design.Grid.Rows - 2
	for kick, tried := liftStep, 0; kick <= liftMost && tried < liftKicks && off > nearDrop; kick += liftStep {
		drawn := math.Inf(1)
		for n, col := range spots {
			low, _, err := o.play(ctx, kicked[n], upper, col, [3]float64{1, 0, liftStep})
			if err != nil {
				return best, err
			}
			drawn = min(drawn, low)
		}
		if drawn < leastDrop {
			continue
		}
		tried++
		for _, level := range necks {
			drops, worst, err := o.drawnOff(ctx, kicked, upper, level)
			if err != nil {
				return best, err
			}
			if worst < off {
				best, off = Lift{best.Depth, kick, level, drops}, worst
			}
			if off <= nearDrop {
				break
			}
		}
	}
	o.known[k] = best
	return best, nil
}

// pool is a small tank with a pool of some depth, m.
func (o *pond) pool(depth float64) (*player.Tank, error) {
	b, err := player.NewTank(o.player.Grid(), partCells, 0)
	if err == nil {
		err = b.Pool(depth)
	}
	return b, err
}

// drawnOff is what of fluid that has been kicked up at each of the spots comes to the pixel above,
// in reference drops, and by how much the worst is not one: +Inf where one is none, or the rest
// does not fall back. The fluid is left as it is.
func (o *pond) drawnOff(ctx context.Context, kicked []*player.Tank, row int, level float64) (drops, worst float64, err error) {
	t := o.timing
	for n, col := range spots {
		b, err := o.pool(0)
		if err != nil {
			return 0, 0, err
		}
		b.Inherit(kicked[n])
		low, high, err := o.play(ctx, b, row, col, [3]float64{level, 0, liftNeck}, [3]float64{0, 1, t.Kick[0].Value}, [3]float64{0, t.Guard.Value, liftRest}, [3]float64{0, t.HoldLevel.Value, liftRest})
		if err != nil || low >= leastDrop || high < leastDrop || high > mostDrop {
			return 0, math.Inf(1), err
		}
		drops, worst = drops+high/float64(len(spots)), max(worst, math.Abs(high-1))
	}
	return drops, worst, nil
}

// fall is how long a drop takes to fall by a pixel with nothing on, s.
func (o *pond) fall(ctx context.Context) (float64, error) {
	g := o.player.Grid()
	b, err := player.NewTank(g, partCells, 0)
	if err != nil {
		return 0, err
	}
	if err := b.Add(0, g.Design.Grid.Cols/2, 1); err != nil {
		return 0, err
	}
	o.player.Reset()
	const step, most = 0.25, 120
	for t := step; t < most; t += step {
		if _, high, err := o.play(ctx, b, 0, g.Design.Grid.Cols/2, [3]float64{0, 0, step}); err != nil || high < 1-shown.Full {
			return 2 * t, err // half of it has gone half a pixel
		}
	}
	return 0, fmt.Errorf("a drop that nothing holds has not fallen by a pixel after %d s", most)
}

// lifts takes drops out of a pool one by one until there are enough or none comes; shallow is
// how much one drop lowers it, m.
func (o *pond) lifts(ctx context.Context, depth, shallow float64, drops int) (list []Lift, err error) {
	for len(list) < drops && depth > 0 {
		l, err := o.lift(ctx, depth)
		if err != nil || l.Drops == 0 {
			return list, err
		}
		list = append(list, l)
		depth -= l.Drops * shallow
	}
	return list, nil
}

// Started plans how the drops of a plan come out of the pool to where it begins. The grid is
// that of the scene's own design, the player that of the planned one. cells, when it is not 0,
// has the tank play it.
func Started(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, o Options, cells int) (Start, error) {
	s, err := started(ctx, g, p, plan, o, cells)
	if err != nil {
		return s, fmt.Errorf("starting from the pool: %w", err)
	}
	return s, nil
}

func started(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, o Options, cells int) (Start, error) {
	s, pond, err := drawn(ctx, g, plan)
	if err != nil || len(s.Lifts) == 0 {
		return s, err
	}
	if s.Scene, err = pond.raise(ctx, g, plan, o, s); err != nil || cells == 0 {
		return s, err
	}
	s.Confirmed, err = Confirmed(ctx, p, plan, s, cells)
	return s, err
}

// fromPool has a scene begin with its drops in the pool: it is planned with those that come out.
func fromPool(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, scene scenes.Scene, o Options) (Result, error) {
	fail := func(err error) (Result, error) {
		return Result{}, fmt.Errorf("starting from the pool (fluid.start): %w", err)
	}
	s, pond, err := drawn(ctx, g, plan)
	switch {
	case err != nil:
		return fail(err)
	case len(s.Lifts) == 0 && s.Most > 0:
		return fail(fmt.Errorf("no drop comes out of a pool that is %s deep; with fluid.volume = %q %d of %d do, or want fluid.start = \"picture\" and drops put in by hand",
			quantity.Format(s.Depth, quantity.Length), quantity.Format(s.Volume, quantity.Volume), s.Most, s.Drops))
	case len(s.Lifts) == 0:
		return fail(fmt.Errorf("no drop comes out of any pool that was tried; a stronger kick (drive.max_duty) may, or want fluid.start = \"picture\" and drops put in by hand"))
	case len(s.Lifts) < plan.Drops:
		o.Drops = len(s.Lifts)
		if plan, err = Scene(ctx, g, scene, plan.Timing, o); err != nil {
			return Result{}, err
		}
	}
	if s.Scene, err = pond.raise(ctx, g, plan, o, s); err != nil {
		return fail(err)
	}
	var on []string
	for v, at := range plan.Stops[0].At {
		if at {
			on = append(on, fmt.Sprintf("%d,%d", v/plan.Scene.Cols+1, v%plan.Scene.Cols+1))
		}
	}
	p, err = p.With(func(d *design.Design) {
		d.Fluid.Start, d.Fluid.Volume = strings.Join(on, " "), s.volume(g)
	})
	return Result{Plan: plan, Player: p, Start: &s}, err
}

// volume is how much fluid there is, m³.
func (s Start) volume(g *grid.Grid) float64 {
	return s.Depth * float64(g.Raster.Cols) * g.Raster.Spacing * g.Design.Fluid.TankGap
}

// Whole is the start and a scene's loop after it, as they are played and as they are wanted: until
// the start is over, the first picture.
func (s Start) Whole(played, wanted scenes.Scene) (scenes.Scene, scenes.Scene) {
	first := scenes.Frame{Levels: wanted.Frames[0].Levels, Duration: s.Scene.Duration()}
	played.Frames = slices.Concat(s.Scene.Frames, played.Frames)
	wanted.Frames = slices.Concat([]scenes.Frame{first}, wanted.Frames)
	return played, wanted
}

// drawn works out which drops of a plan come out of the pool, and how long they fall.
func drawn(ctx context.Context, g *grid.Grid, plan *Plan) (Start, *pond, error) {
	d := g.Design
	s := Start{Confirmed: -1, Drops: plan.Drops}
	switch {
	case d.Heat.Orientation != design.Vertical:
		return s, nil, errors.New("the display lies: there is no pool, and drops stay where the current left them")
	case d.Magnet.Kind != design.MagnetNone:
		return s, nil, errors.New("magnets hold the drops where the current left them: the firmware has to keep the number of the frame that stood, and go on from it")
	case d.Fluid.DensityDifference <= 0:
		return s, nil, fmt.Errorf("the fluid does not sink (fluid.density_difference %s): there is no pool at the bottom", quantity.Format(d.Fluid.DensityDifference, quantity.Density))
	case d.Grid.Rows < 3:
		return s, nil, fmt.Errorf("%d rows: a drop is drawn off by the second row, want 3 rows or more", d.Grid.Rows)
	}
	pond, err := newPond(ctx, g, plan.Timing)
	if err != nil {
		return s, nil, err
	}
	f := player.FillOf(g, plan.Wanted)
	area := float64(g.Raster.Cols) * g.Raster.Spacing * d.Fluid.TankGap
	s.Depth = max(f.Fluid(), float64(s.Drops)*f.Drop) / area
	if s.Lifts, err = pond.lifts(ctx, s.Depth, f.Drop/area, s.Drops); err != nil {
		return s, nil, err
	}
	if err := pond.most(ctx, &s, f.Drop, area); err != nil {
		return s, nil, err
	}
	for _, l := range pond.known {
		if l.Drops > 0 && (s.Least == 0 || l.Depth < s.Least) {
			s.Least = l.Depth
		}
	}
	if len(s.Lifts) > 0 {
		each, err := pond.fall(ctx)
		if err != nil {
			return s, nil, err
		}
		s.Fall = each * float64(d.Grid.Rows+1)
	}
	return s, pond, nil
}

// most looks for the volume out of which the most drops are lifted: from what all of them take, which is
// less than there is where that is too deep, up to the middle of the lowest pixels, which are lit by
// themselves then. A drop is of so many m³, the pool of an area in m².
func (o *pond) most(ctx context.Context, s *Start, drop, area float64) error {
	s.Most = len(s.Lifts)
	for depth := float64(s.Drops) * drop / area; s.Most < s.Drops && depth < 1.5*o.player.Grid().Design.Grid.Pitch; depth += depthStep {
		list, err := o.lifts(ctx, depth, drop/area, s.Drops)
		if err != nil {
			return err
		}
		if len(list) > s.Most {
			s.Most, s.Volume = len(list), depth*area
		}
	}
	return nil
}

// raise carries lifted drops to the pixels where a plan begins, as many as there are.
func (o *pond) raise(ctx context.Context, g *grid.Grid, plan *Plan, options Options, s Start) (scenes.Scene, error) {
	d := g.Design.Grid
	options.Gather = 0 // none is parted before it has come
	x := &stage{ctx: ctx, grid: g, timing: plan.Timing, options: options, at: make([]bool, d.Rows*d.Cols), blocked: make([]bool, d.Rows*d.Cols)}
	for _, v := range options.Broken {
		x.blocked[v] = true
	}
	x.plan = &Plan{Timing: plan.Timing, Drops: plan.Drops, Scene: scenes.Scene{Name: plan.Scene.Name + ", start", Rows: d.Rows, Cols: d.Cols}}
	x.gathers()
	if err := x.budget(1); err != nil {
		return x.plan.Scene, err
	}
	home := slices.Clone(plan.Stops[0].At)
	for over := plan.Drops - len(s.Lifts); over > 0; over-- { // the lowest stay bare
		for v := len(home) - 1; v >= 0; v-- {
			if home[v] {
				home[v] = false
				break
			}
		}
	}
	// The lowest row draws up the drops, so that it gets its own at the end, from above; so does
	// a pixel over a broken one of that row, which draws up none.
	upper := (d.Rows - 1) * d.Cols
	first, blocked := slices.Clone(home[:upper]), slices.Clone(x.blocked[:upper])
	for v := upper; v < len(home); v++ {
		if over := v - d.Cols; x.blocked[v] {
			first[over], blocked[over] = false, true
		}
	}
	for v, want := range home {
		if !want || v < upper && !blocked[v] {
			continue
		}
		best := -1
		for w := range first {
			if !first[w] && !blocked[w] && (best < 0 || x.steps(v, w) < x.steps(v, best)) {
				best = w
			}
		}
		if best >= 0 {
			first[best] = true
		}
	}
	x.frame(make([]float64, len(x.at)), s.Fall)
	lifts := s.Lifts
	for _, p := range []carry.Problem{
		{Rows: d.Rows - 1, Cols: d.Cols, From: make([]bool, upper), To: first, Blocked: blocked, Pool: true},
		{Rows: d.Rows, Cols: d.Cols, To: home, Blocked: x.blocked},
	} {
		if !p.Pool {
			p.From = slices.Clone(x.at)
		}
		way, err := carry.Solve(ctx, p)
		if err != nil {
			return x.plan.Scene, err
		}
		for _, round := range p.Rounds(way, func(round []carry.Move, at []bool) bool {
			pooled := slices.ContainsFunc(round, func(m carry.Move) bool { return m.From == carry.Pool })
			return !pooled && x.fits(round, append(slices.Clone(at), make([]bool, len(x.at)-len(at))...))
		}) {
			if round[0].From != carry.Pool {
				if err := x.dance(round); err != nil {
					return x.plan.Scene, err
				}
				continue
			}
			if err := x.lift(round[0].To, lifts[0]); err != nil {
				return x.plan.Scene, err
			}
			lifts = lifts[1:]
		}
	}
	return x.plan.Scene, nil
}

// lift brings a drop out of the pool to a pixel of the row above the lowest.
func (x *stage) lift(v int, l Lift) error {
	t, cols := x.timing, x.grid.Design.Grid.Cols
	guards := x.guards([]carry.Move{{From: carry.Pool, To: v}}, x.at)
	for _, f := range [][3]float64{{1, 0, l.Kick}, {l.Level, 0, liftNeck}, {0, 1, t.Kick[0].Value}, {0, t.Guard.Value, liftRest}} {
		levels := x.held()
		for w := range guards {
			levels[w] = t.sign * t.Guard.Value
		}
		levels[v+cols], levels[v] = t.sign*f[0], t.sign*f[1]
		if err := x.secure.hold(levels, t.sign); err != nil {
			return err
		}
		levels[v+cols], levels[v] = t.sign*f[0], t.sign*f[1] // a neck is meant not to hold
		x.frame(levels, f[2])
	}
	x.at[v] = true
	return nil
}

// Confirmed is how many of the pixels where a plan begins the tank has half full after a start.
func Confirmed(ctx context.Context, p *player.Player, plan *Plan, s Start, cells int) (n int, err error) {
	p, err = p.With(func(d *design.Design) {
		d.Fluid.Start = design.StartPool
		d.Fluid.Volume = s.volume(p.Grid())
	})
	if err != nil {
		return 0, err
	}
	cols, played := plan.Scene.Cols, s.Scene
	if s.Fall > 0 {
		played.Frames = played.Frames[1:] // dark: what is to fall in it lies in the pool already
	}
	_, err = follow(ctx, p, played, played, played.Duration(), cells, func(b *player.Tank, _ float64) {
		n = 0
		for v, at := range plan.Stops[0].At {
			if at && b.Covered(v/cols, v%cols) >= shown.Full {
				n++
			}
		}
	})
	return n, err
}
