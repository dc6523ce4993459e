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
// display to 69 °C. What a foot does is chance near where it tears, and where a drop came out the panes
// keep a dent in the pool, beside which a kick takes longer or draws nothing: what lifts a drop is
// looked for anew each time, in the display's own tank.
const (
	StartCells                    = 8 // a pitch, where none are asked for
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
	Drops float64 // reference drops that come to the pixel above the lowest
}

// mostStart is how much of the tank a start is given, in cells times seconds of fluid, some minutes' work, and
// leastStart what a drop takes at the least, s: 8 drops of 5 × 4 pixels take 36 s each to be played, 84 s to be found.
const (
	mostStart  = 4e6
	leastStart = 30
)

// errLong ends what takes the tank longer than it is given.
var errLong = errors.New("it takes the tank longer than it is given; want fewer drops (--drops), coarser cells (--cells) or a smaller grid")

// LongStartError tells that a start takes the tank longer than it is given.
type LongStartError struct {
	Drops, Came int // wanted, and out of the pool when it was given up
	Cells       int // a pitch
	Few         int // drops of which it would be begun
}

func (e *LongStartError) Error() string {
	fewer := ""
	if e.Few > 0 {
		fewer = fmt.Sprintf("fewer drops (--drops; %d at most are tried), ", e.Few)
	}
	return fmt.Sprintf("whether %d drops come out of the pool takes the tank longer than it is given, at %d cells a pitch (%d had come): it is not known, and no start is written; want %scoarser cells (--cells), a smaller grid, or drops put in by hand (fluid.start = \"picture\")",
		e.Drops, e.Cells, e.Came, fewer)
}

// poolTank is a tank with a pool that a start is played in as it is planned.
type poolTank struct {
	player      *player.Player
	tank        *player.Tank
	live        *player.Live // keeps moments
	place, cell []float64    // after what was played last, as player.Tank's Cover has them
	played      int          // frames of a start, but for those
	done        float64      // seconds of its last
	work        float64      // cells times seconds that were played
}

// newPoolTank is a player's tank, at rest, with a pool so deep, m.
func newPoolTank(p *player.Player, cells int, depth float64) (*poolTank, error) {
	n := p.Grid().Design.Pixels()
	b, err := player.NewTank(p.Grid(), cells, 0)
	if err == nil {
		b.Pool(depth)
	}
	p.Reset()
	return &poolTank{player: p, tank: b, live: player.NewLive(p), place: make([]float64, n), cell: make([]float64, n)}, err
}

// play moves the fluid for so many seconds.
func (o *poolTank) play(ctx context.Context, levels []float64, seconds float64) error {
	if _, err := o.player.Push(ctx, scenes.Frame{Levels: levels, Duration: seconds}); err != nil {
		return err
	}
	err := o.player.Move(0, seconds, o.tank.Step)
	o.tank.Cover(o.place, o.cell)
	rows, cols := o.tank.Cells()
	if o.work += float64(rows*cols) * seconds; o.work > mostStart && err == nil {
		err = errLong
	}
	return err
}

// follow plays what has come to a start.
func (o *poolTank) follow(ctx context.Context, frames []scenes.Frame) error {
	for k := max(o.played-1, 0); k < len(frames); k++ {
		f := frames[k]
		if k < o.played {
			f.Duration -= o.done
		}
		if f.Duration > instant {
			if err := o.play(ctx, f.Levels, f.Duration); err != nil {
				return err
			}
		}
		o.played, o.done = k+1, frames[k].Duration
	}
	return nil
}

// lift looks for what takes a drop out of the pool to the second of two pixels, one above the other, and
// leaves the fluid as that has it; as it was, and no Drops, where nothing does. levels has the two at
// theirs, and what else stands guarded.
func (o *poolTank) lift(ctx context.Context, t Timing, low, high int, levels func(low, high float64) ([]float64, error)) (best Lift, frames []scenes.Frame, err error) {
	off := math.Inf(1) // by how much the best is not one drop
	play := func(f [3]float64) (scenes.Frame, error) {
		v, err := levels(f[0], f[1])
		if err == nil {
			err = o.play(ctx, v, f[2])
		}
		return scenes.Frame{Levels: v, Duration: f[2]}, err
	}
	end := o.live.Moment(o.tank)
	o.tank.Cover(o.place, o.cell)
	lies := o.cell[low] // of a deep pool
	for kick, tried := liftStep, 0; kick <= liftMost && tried < liftKicks && off > nearDrop; kick += liftStep {
		drawn, err := play([3]float64{1, 0, liftStep})
		if err != nil {
			return best, nil, err
		}
		if o.cell[low]-lies < leastDrop {
			continue
		}
		tried++
		kicked := o.live.Moment(o.tank)
		drawn.Duration = kick
		for _, level := range necks {
			list := []scenes.Frame{drawn}
			for _, f := range [][3]float64{{level, 0, liftNeck}, {0, 1, t.Kick[0].Value}, {0, t.Guard.Value, liftRest}, {0, t.HoldLevel.Value, liftRest}} {
				f, err := play(f)
				if err != nil {
					return best, nil, err
				}
				list = append(list, f)
			}
			drops := o.cell[high]
			if o.cell[low]-lies < leastDrop && drops >= leastDrop && drops <= mostDrop && math.Abs(drops-1) < off {
				best, off, frames, end = Lift{Kick: kick, Level: level, Drops: drops}, math.Abs(drops-1), list, o.live.Moment(o.tank)
			}
			if err := o.live.Resume(o.tank, kicked); err != nil {
				return best, nil, err
			}
			if off <= nearDrop {
				break
			}
		}
	}
	if err := o.live.Resume(o.tank, end); err != nil {
		return best, nil, err
	}
	o.tank.Cover(o.place, o.cell)
	return best, frames, nil
}

// Start is how the drops come to their pixels out of the pool: at the first start, after the
// current was off, or when drops were lost. It is planned in the display's own tank, of so many Cells a
// pitch: after every lift and every round of moves what the tank has is looked at, and planned on from.
type Start struct {
	Scene scenes.Scene // played once; it ends as the carried scene begins
	Fall  float64      // s, all off at its beginning: until every drop has fallen
	Depth float64      // m, of the pool with every drop in it
	Left  float64      // m, when no more come
	Drops int          // wanted
	Came  int          // that the tank has on pixels when no more come
	Cells int
	Lifts []Lift // one for each drop that was lifted, those that fell again among them
	// Volume is the least of some volumes of fluid, m³, out of which the most are lifted by a small
	// tank, and Most how many come then in the display's own; the volume is 0 where no more do than of what
	// there is.
	Volume float64
	Most   int
	// Confirmed are the pixels that the tank has half full at the end of playing it from the beginning,
	// of Again cells a pitch; −1 where that was not asked.
	Confirmed, Again int
	// Once is what playing it draws and heats, from cold; nothing where that was not played.
	Once player.Summary
}

// TooHot tells that playing it breaks limits.board.
func (s Start) TooHot(l design.Limits) bool { return s.Once.Hottest > l.Board }

// Unconfirmed tells that the tank was asked again and has fewer drops on their pixels than came.
func (s Start) Unconfirmed() bool { return s.Confirmed >= 0 && s.Confirmed < s.Came }

// pond is a small tank with a pool, as wide as tells a first lift.
type pond struct {
	player *player.Player
	timing Timing
	known  map[int]Lift // by depth in steps
}

func newPond(ctx context.Context, g *grid.Grid, t Timing) (*pond, error) {
	p, err := small(ctx, g, t)
	return &pond{p, t, map[int]Lift{}}, err
}

// lift finds how a drop is taken out of a pool that is so deep, m, in the middle of the small tank.
func (o *pond) lift(ctx context.Context, depth float64) (Lift, error) {
	k := int(math.Round(depth / depthStep))
	best, ok := o.known[k]
	if ok {
		return best, nil
	}
	b, err := newPoolTank(o.player, partCells, float64(k)*depthStep)
	if err != nil {
		return best, err
	}
	const high = tryPixels * tryPixels / 2
	best, _, err = b.lift(ctx, o.timing, high+tryPixels, high, func(low, up float64) ([]float64, error) {
		levels := make([]float64, tryPixels*tryPixels)
		levels[high+tryPixels], levels[high] = o.timing.sign*low, o.timing.sign*up
		return levels, nil
	})
	best.Depth = float64(k) * depthStep
	o.known[k] = best
	return best, err
}

// fall is how long a drop takes to fall by a pixel with nothing on, s.
func (o *pond) fall(ctx context.Context) (float64, error) {
	b, err := newPoolTank(o.player, partCells, 0)
	if err != nil {
		return 0, err
	}
	const top = tryPixels / 2
	if err := b.tank.Add(0, top, 1); err != nil {
		return 0, err
	}
	const step, most = 0.25, 120
	for t := step; t < most; t += step {
		if err := b.play(ctx, make([]float64, tryPixels*tryPixels), step); err != nil || b.cell[top] < 1-shown.Full {
			return 2 * t, err // half of it has gone half a pixel
		}
	}
	return 0, fmt.Errorf("a drop that nothing holds has not fallen by a pixel after %d s", most)
}

// lifts is how many drops come out of a pool one by one, until there are enough or none comes; shallow is
// how much one lowers it, m.
func (o *pond) lifts(ctx context.Context, depth, shallow float64, drops int) (n int, err error) {
	for ; n < drops && depth > 0; n++ {
		l, err := o.lift(ctx, depth)
		if err != nil || l.Drops == 0 {
			return n, err
		}
		depth -= l.Drops * shallow
	}
	return n, nil
}

// most is the volume, m³, out of which the most drops come by the small tank, more than so many, and how
// many: from what all of them take up to the middle of the lowest pixels, which are lit by themselves
// then; 0 where none gives more. A drop is of so many m³, the pool of an area in m².
func (o *pond) most(ctx context.Context, drops, most int, drop, area float64) (volume float64, n int, err error) {
	for depth := float64(drops) * drop / area; most < drops && depth < 1.5*o.player.Grid().Design.Grid.Pitch; depth += depthStep {
		n, err := o.lifts(ctx, depth, drop/area, drops)
		if err != nil {
			return 0, 0, err
		}
		if n > most {
			most, volume = n, depth*area
		}
	}
	return volume, most, nil
}

// Started plans how the drops of a plan come out of the pool to where it begins. The grid is
// that of the scene's own design, the player that of the planned one; cells are those of the tank.
func Started(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, o Options, cells int) (Start, error) {
	s, x, err := drawn(ctx, g, p, plan, o, cells)
	if err == nil {
		err = x.settle(&s, plan)
	}
	if err != nil {
		return s, fmt.Errorf("starting from the pool: %w", err)
	}
	return s, nil
}

// fromPool has a scene begin with its drops in the pool: it is planned with those that come out.
func fromPool(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, scene scenes.Scene, o Options, cells int) (Result, error) {
	fail := func(err error) (Result, error) {
		return Result{}, fmt.Errorf("starting from the pool (fluid.start): %w", err)
	}
	s, x, err := drawn(ctx, g, p, plan, o, cells)
	switch {
	case err != nil:
		return fail(err)
	case s.Came == 0 && s.Most > 0:
		return fail(fmt.Errorf("no drop comes out of a pool that is %s deep; with fluid.volume = %q %d of %d do, or want fluid.start = \"picture\" and drops put in by hand",
			quantity.Format(s.Depth, quantity.Length), quantity.Format(s.Volume, quantity.Volume), s.Most, s.Drops))
	case s.Came == 0:
		return fail(fmt.Errorf("no drop comes out of any pool that was tried; a stronger kick (drive.max_duty) may, or want fluid.start = \"picture\" and drops put in by hand"))
	case s.Came < plan.Drops:
		o.Drops = s.Came
		if plan, err = Scene(ctx, g, scene, plan.Timing, o); err != nil {
			return Result{}, err
		}
	}
	if err := x.settle(&s, plan); err != nil {
		return fail(err)
	}
	var on []string
	for v, at := range plan.Stops[0].At {
		if at {
			on = append(on, fmt.Sprintf("%d,%d", v/plan.Scene.Cols+1, v%plan.Scene.Cols+1))
		}
	}
	p, err = p.With(func(d *design.Design) {
		d.Fluid.Start, d.Fluid.Volume = strings.Join(on, " "), s.Depth*area(g)
	})
	return Result{Plan: plan, Player: p, Start: &s}, err
}

// area is that of the pool, m².
func area(g *grid.Grid) float64 {
	return float64(g.Raster.Cols) * g.Raster.Spacing * g.Design.Fluid.TankGap
}

// Whole is the start and a scene's loop after it, as they are played and as they are wanted: until
// the start is over, the first picture.
func (s Start) Whole(played, wanted scenes.Scene) (scenes.Scene, scenes.Scene) {
	first := scenes.Frame{Levels: wanted.Frames[0].Levels, Duration: s.Scene.Duration()}
	played.Frames = slices.Concat(s.Scene.Frames, played.Frames)
	wanted.Frames = slices.Concat([]scenes.Frame{first}, wanted.Frames)
	return played, wanted
}

// drawn brings as many drops of a plan out of the pool as come, and finds the volume that gives more
// where not all do.
func drawn(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, o Options, cells int) (Start, *stage, error) {
	d := g.Design
	s := Start{Confirmed: -1, Drops: plan.Drops, Cells: cells}
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
	each := leastStart * float64(cells*cells*d.Pixels())
	long := &LongStartError{s.Drops, 0, cells, int(mostStart / each)}
	if s.Drops > long.Few {
		return s, nil, long
	}
	pond, err := newPond(ctx, g, plan.Timing)
	if err != nil {
		return s, nil, err
	}
	falls, err := pond.fall(ctx)
	if err != nil {
		return s, nil, err
	}
	s.Fall = falls * float64(d.Grid.Rows+1)
	f, area := player.FillOf(g, plan.Wanted), area(g)
	s.Depth = max(f.Fluid(), float64(s.Drops)*f.Drop) / area
	x, err := raised(ctx, g, p, plan, o, &s)
	if errors.Is(err, errLong) {
		long.Came = s.Came
		return s, nil, long
	}
	if err != nil || s.Came == s.Drops {
		return s, x, err
	}
	volume, _, err := pond.most(ctx, s.Drops, s.Came, f.Drop, area)
	if err != nil || volume == 0 {
		return s, x, err
	}
	more := Start{Drops: s.Drops, Cells: cells, Depth: volume / area}
	switch _, err := raised(ctx, g, p, plan, o, &more); {
	case errors.Is(err, errLong):
		return s, x, nil // not tried to its end
	case err != nil:
		return s, nil, err
	}
	if more.Came > s.Came {
		s.Volume, s.Most = volume, more.Came
	}
	return s, x, nil
}

// raised plays in the tank how drops are lifted out of the pool and carried up, until there are as many
// as a plan wants or no more come.
func raised(ctx context.Context, g *grid.Grid, p *player.Player, plan *Plan, options Options, s *Start) (*stage, error) {
	d := g.Design.Grid
	options.Gather = 0 // none is parted before it has come
	x := &stage{ctx: ctx, grid: g, timing: plan.Timing, options: options, at: make([]bool, d.Rows*d.Cols), blocked: make([]bool, d.Rows*d.Cols), passes: passes{}}
	for _, v := range options.Broken {
		x.blocked[v] = true
	}
	x.plan = &Plan{Timing: plan.Timing, Drops: plan.Drops, Scene: scenes.Scene{Name: plan.Scene.Name + ", start", Rows: d.Rows, Cols: d.Cols}}
	for side := range x.timing.Kick {
		x.timing.Kick[side].Value *= wider // nothing hurries, and drops stand close
	}
	x.timing.Back = quantity.Derived{} // what does not come is seen, and kicked again
	x.gathers()
	if err := x.budget(1); err != nil {
		return nil, err
	}
	p, err := p.With(func(d *design.Design) { d.Fluid.Start, d.Fluid.Volume = design.StartPool, s.Depth*area(g) })
	if err != nil {
		return nil, err
	}
	if x.tank, err = newPoolTank(p, s.Cells, s.Depth); err != nil {
		return nil, err
	}
	x.frame(make([]float64, len(x.at)), s.Fall)
	x.tank.played, x.tank.done = 1, s.Fall // what is to fall in it lies in the pool already
	// The lowest row draws up the drops, so that it gets its own at the end, from above; so does
	// a pixel over a broken one of that row, which draws up none.
	home, upper := plan.Stops[0].At, (d.Rows-1)*d.Cols
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
	if err := x.reach(carry.Problem{Rows: d.Rows - 1, Cols: d.Cols, To: first, Blocked: blocked, Pool: true}, s); err != nil {
		s.Came, _ = x.pool(s.Depth)
		return nil, err
	}
	s.Came, s.Left = x.pool(s.Depth)
	return x, nil
}

// pool is how many drops stand on pixels, and how deep a pool that was so deep is without them, m.
func (x *stage) pool(depth float64) (drops int, left float64) {
	for v, at := range x.at {
		if at {
			drops++
			depth -= x.tank.cell[v] * x.grid.Drop().Volume / area(x.grid)
		}
	}
	return drops, depth
}

// settle carries the drops that came to where a plan begins, which wants as many or more.
func (x *stage) settle(s *Start, plan *Plan) error {
	d := x.grid.Design.Grid
	home := slices.Clone(plan.Stops[0].At)
	for over := plan.Drops - s.Came; over > 0; over-- { // the lowest stay bare
		for v := len(home) - 1; v >= 0; v-- {
			if home[v] {
				home[v] = false
				break
			}
		}
	}
	err := x.reach(carry.Problem{Rows: d.Rows, Cols: d.Cols, To: home, Blocked: x.blocked}, s)
	s.Scene = x.plan.Scene
	return err
}

// reach carries drops to where a problem wants them, and lifts them out of the pool where it has one,
// planning on after every round from where the tank has them, until it is done or nothing helps.
func (x *stage) reach(p carry.Problem, s *Start) error {
	n, cols, always, pool := len(p.To), p.Cols, p.Blocked, p.Pool
	p.From, p.Blocked = x.at[:n], slices.Clone(always)
	for range 4 * n * cols {
		if err := x.look(n); err != nil {
			return err
		}
		up, left := x.pool(s.Depth)
		p.Pool = pool && up < s.Drops
		way, err := carry.Solve(x.ctx, p)
		if err != nil {
			return err
		}
		rounds := p.Rounds(way, func(round []carry.Move, at []bool) bool {
			pooled := slices.ContainsFunc(round, func(m carry.Move) bool { return m.From == carry.Pool || m.To == carry.Pool })
			return !pooled && x.fits(round, append(slices.Clone(at), make([]bool, len(x.at)-n)...))
		})
		if len(rounds) == 0 || rounds[0][0].To == carry.Pool { // what is over stays
			return nil
		}
		if rounds[0][0].From != carry.Pool {
			if err := x.dance(rounds[0]); err != nil {
				return err
			}
			continue
		}
		v := rounds[0][0].To
		l, err := x.lift(v)
		l.Depth = left
		switch {
		case err != nil:
			return err
		case l.Drops == 0:
			p.Blocked[v] = true // until another has changed the pool
			continue
		}
		copy(p.Blocked, always)
		if s.Lifts = append(s.Lifts, l); len(s.Lifts) >= 2*s.Drops {
			return x.look(n) // they fall as fast as they come
		}
	}
	return nil
}

// look has the tank play what has come to a start, and takes the drops on the first n pixels to be where
// it has them.
func (x *stage) look(n int) error {
	if err := x.tank.follow(x.ctx, x.plan.Scene.Frames); err != nil {
		return err
	}
	for v := range n {
		x.at[v] = !x.blocked[v] && x.tank.place[v] >= shown.Full
	}
	return nil
}

// lift brings a drop out of the pool to a pixel of the row above the lowest.
func (x *stage) lift(v int) (Lift, error) {
	t, low := x.timing, v+x.grid.Design.Grid.Cols
	guards := x.guards([]carry.Move{{From: carry.Pool, To: v}}, x.at)
	l, frames, err := x.tank.lift(x.ctx, t, low, v, func(down, up float64) ([]float64, error) {
		levels := x.held()
		for w := range guards {
			levels[w] = t.sign * t.Guard.Value
		}
		levels[low], levels[v] = t.sign*down, t.sign*up
		err := x.secure.hold(levels, t.sign)
		levels[low], levels[v] = t.sign*down, t.sign*up // a neck is meant not to hold
		return levels, err
	})
	for _, f := range frames {
		x.frame(f.Levels, f.Duration)
	}
	all := x.plan.Scene.Frames
	x.tank.played, x.tank.done = len(all), all[len(all)-1].Duration
	return l, err
}

// Confirmed is how many of the pixels where a plan begins the tank has half full after a start that is
// played from its beginning.
func Confirmed(ctx context.Context, p *player.Player, plan *Plan, s Start, cells int) (n int, err error) {
	p, err = p.With(func(d *design.Design) {
		d.Fluid.Start, d.Fluid.Volume = design.StartPool, s.Depth*area(p.Grid())
	})
	if err != nil {
		return 0, err
	}
	cols, played := plan.Scene.Cols, s.Scene
	played.Frames = played.Frames[1:] // dark: what is to fall in it lies in the pool already
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
