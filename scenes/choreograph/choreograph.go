package choreograph

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"lodegrid/array/drive"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/carry"
)

// Plan is a scene whose drops are carried.
type Plan struct {
	Scene  scenes.Scene // what is driven, for the design that Planned returns
	Wanted scenes.Scene // what is to be seen: the scene's pictures, wanted pixels at level 1
	Timing Timing
	Drops  int
	Moves  int
	Rounds int // kicks that begin together are one
	// Shown is the share of the wanted pixels that have their drop at the ends of the
	// frames after the first picture, by the plan: a drop that is on its way is on no pixel.
	// Stray is how many drops stand where none is wanted, over those wanted.
	Shown, Stray float64
	// Overtaken counts the pictures that were over before they could be reached, of
	// Pictures that differ from the one before.
	Overtaken, Pictures int
	// Most is how many working pixels a picture wants at most, and Broken how many wanted
	// pixels do not work. Short counts the pictures that some wanted pixel stays bare in
	// whatever the time: they want more drops than there are, or pixels that no drop gets to.
	Most, Broken, Short int
	// Stops are the ends of rounds: what the drops are believed to stand on from then on.
	Stops []Stop
	// Due is how many drops were to be parted, with one after another of the scene's Gather.
	Due int
	// Kick is the mean power of one kicked pixel, W; Peak that of the frame that draws most,
	// all coils as cold as the coldest air; Cap what the supply gives, 0 for no bound.
	Kick, Peak, Cap float64
}

// Stop is an instant from which the drops are believed to stand so.
type Stop struct {
	Time   float64 // s
	At     []bool  // pixels with a drop that stands on them
	Moving bool    // others are on their way
	// Moves are those of the round that ends here, and Guards the pixels that had a
	// guard in it.
	Moves  []Arrival
	Guards map[int]int
	// Parted are the pixels, of a round without moves, that were kicked to part drops.
	Parted []int
}

// by tells whether a stop is what is seen at an instant: moves that begin then are not.
func (s Stop) by(t float64) bool {
	if s.Moving {
		return s.Time < t-instant
	}
	return s.Time <= t+instant
}

// Arrival is where a drop came to, and to which side it went: 0 up, 1 left, 2 right,
// 3 down.
type Arrival struct{ To, Side int }

// instant is the time in s under which two instants are one.
const instant = scenes.SameInstant

// stage is a scene being carried.
type stage struct {
	ctx      context.Context
	grid     *grid.Grid
	timing   Timing
	options  Options
	pictures []picture
	length   float64
	blocked  []bool
	home     []bool // where the drops begin, and end

	at     []bool
	passes passes
	first  map[int]leaving // of each pixel
	time   float64
	plan   *Plan
	goal   int // index of the picture under way, −1 for none
	rounds [][]carry.Move
	gather gathering
	watts  [3]float64 // of a kicked, a guarding and a holding pixel
	secure *secure
	drive  *drive.Drive
	cap    float64      // W, what a frame may draw; 0 for no bound
	short  map[int]bool // pictures that stay bare somewhere
	tank   *poolTank    // of a start
}

// picture is what is wanted for a while.
type picture struct {
	wanted     []bool
	begin, end float64 // s
	frame      float64 // s, the shortest of its frames
}

// Scene carries the drops of a display through a scene, whose levels say by
// grid.StateOf which pixels are wanted; the grid is that of the scene's own design. It
// ends with the drops where they began, so that it can loop. The same arguments give the same result.
func Scene(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options) (*Plan, error) {
	p, err := choreograph(ctx, g, s, t, o)
	if err != nil {
		return nil, fmt.Errorf("carrying scene %q: %w", s.Name, err)
	}
	return p, nil
}

// choreograph plans with the supply's whole power, and again with less where guards that
// had to be raised have a frame draw more than that. What is never met the verdict tells.
func choreograph(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options) (*Plan, error) {
	p, err := attempt(ctx, g, s, t, o, 1)
	if err != nil {
		return nil, err
	}
	share := 1.0
	for try := 0; try < replans && p.Cap > 0 && p.Peak > p.Cap; try++ {
		share *= 0.99 * p.Cap / p.Peak
		q, err := attempt(ctx, g, s, t, o, share)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err != nil { // no drop can be moved with so little
			return p, nil
		}
		p = q
	}
	return p, nil
}

// replans is how often a plan that draws too much is made again, and one whose loop begins too soon after its end.
const replans = 3

// attempt plans with a share of what the supply gives, and again where drops would be kicked too soon after
// others passed them at the end of the loop before.
func attempt(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options, share float64) (*Plan, error) {
	before := passes{}
	for try := 0; ; try++ {
		x, err := once(ctx, g, s, t, o, share, maps.Clone(before))
		if err != nil {
			return nil, err
		}
		if try == replans || !x.loops(before) {
			return x.plan, nil
		}
	}
}

// once plans a loop that begins with drops that others have passed.
func once(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options, share float64, before passes) (*stage, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	d := g.Design
	if s.Rows != d.Grid.Rows || s.Cols != d.Grid.Cols {
		return nil, fmt.Errorf("it is for %d × %d pixels, the grid has %d × %d", s.Cols, s.Rows, d.Grid.Cols, d.Grid.Rows)
	}
	if err := o.check(d.Pixels()); err != nil {
		return nil, err
	}
	x := &stage{ctx: ctx, grid: g, timing: t, options: o, length: s.Duration(), blocked: make([]bool, d.Pixels()), goal: -1, short: map[int]bool{}, passes: before, first: map[int]leaving{}}
	for _, v := range o.Broken {
		x.blocked[v] = true
	}
	if !slices.Contains(x.blocked, false) {
		return nil, errors.New("every pixel is broken: nothing can hold or move a drop; the nearest possible is an empty pane")
	}
	w := wants(g, s)
	x.pictures = pictures(w, s)
	if len(x.pictures) == 1 && o.Gather > x.length { // it stands on
		s.Frames = slices.Clone(s.Frames)
		s.Frames[len(s.Frames)-1].Duration += o.Gather - x.length
		x.pictures, x.length = pictures(w, s), o.Gather
	}
	x.plan = &Plan{Timing: t, Pictures: len(x.pictures)}
	x.plan.Wanted = asked(s, w, t.sign)
	if err := x.place(); err != nil {
		return nil, err
	}
	if err := x.budget(share); err != nil {
		return nil, err
	}
	x.plan.Scene = scenes.Scene{Name: s.Name, Rows: s.Rows, Cols: s.Cols}
	if err := x.run(); err != nil {
		return nil, err
	}
	x.measure(s)
	var err error
	x.plan.Peak, err = x.peak()
	return x, err
}

// asked is a scene with its wanted pixels at full level.
func asked(s scenes.Scene, wants [][]bool, full float64) scenes.Scene {
	out := scenes.New(s.Name, s.Rows, s.Cols, len(s.Frames), 0)
	for i, f := range s.Frames {
		out.Frames[i].Duration = f.Duration
		for v, want := range wants[i] {
			if want {
				out.Frames[i].Levels[v] = full
			}
		}
	}
	return out
}

// pictures are the scene's, those alike that follow each other as one.
func pictures(wants [][]bool, s scenes.Scene) (list []picture) {
	t := 0.0
	for i, f := range s.Frames {
		wanted := wants[i]
		if k := len(list) - 1; k >= 0 && slices.Equal(list[k].wanted, wanted) {
			list[k].end += f.Duration
			list[k].frame = min(list[k].frame, f.Duration)
		} else {
			list = append(list, picture{wanted, t, t + f.Duration, f.Duration})
		}
		t += f.Duration
	}
	return list
}

// place puts the drops on the last picture's pixels, from where a loop goes on with the
// first; those that are over on the pixels that are wanted soonest. A design that says where
// its drops begin has them begin, and end, there.
func (x *stage) place() error {
	most, usable := 0, 0
	broken := make([]bool, len(x.blocked))
	for _, p := range x.pictures {
		n := 0
		for v, want := range p.wanted {
			switch {
			case want && x.blocked[v]:
				broken[v] = true
			case want:
				n++
			}
		}
		most = max(most, n)
	}
	x.plan.Most = most
	for _, b := range broken {
		if b {
			x.plan.Broken++
		}
	}
	for _, b := range x.blocked {
		if !b {
			usable++
		}
	}
	start, err := x.grid.Design.StartAt()
	if err != nil {
		return fmt.Errorf("fluid.start: %w", err)
	}
	if len(start) == 0 {
		start = nil // of a pool: where the pictures want them, once they are out of it
	}
	drops := x.options.Drops
	switch {
	case start != nil && drops != 0 && drops != len(start):
		return fmt.Errorf("%d drops, but fluid.start puts %d on pixels; want as many, or fluid.start = \"picture\"", drops, len(start))
	case start != nil:
		drops = len(start)
	case drops == 0:
		drops = min(most, x.grid.Design.Drive.MostLit)
	}
	if drops == 0 {
		return errors.New("no frame wants a drop on a pixel that works: nothing can be carried")
	}
	if drops > usable {
		return fmt.Errorf("%d drops on %d pixels that work: want %d or fewer", drops, usable, usable)
	}
	if lit := x.grid.Design.Drive.MostLit; drops > lit {
		return fmt.Errorf("%d drops: the firmware lights %d pixels at most (drive.most_lit), each drop needs one; want %d drops or fewer", drops, lit, lit)
	}
	x.plan.Drops = drops
	x.at = make([]bool, len(x.blocked))
	for _, v := range start {
		if x.blocked[v] {
			return fmt.Errorf("fluid.start puts a drop on a broken pixel, %s; want one that works", extent.PlaceOf(v, x.grid.Design.Grid.Cols))
		}
		x.at[v] = true
		drops--
	}
	last := len(x.pictures) - 1
	for k := range x.pictures {
		for v, want := range x.pictures[(last+k)%len(x.pictures)].wanted {
			if want && !x.blocked[v] && !x.at[v] && drops > 0 {
				x.at[v] = true
				drops--
			}
		}
	}
	for v := len(x.at) - 1; v >= 0 && drops > 0; v-- { // more than are ever wanted: at the bottom
		if !x.at[v] && !x.blocked[v] {
			x.at[v] = true
			drops--
		}
	}
	x.home = slices.Clone(x.at)
	return nil
}

// budget works out what pixels draw at the supply, all coils as cold as the coldest air,
// of a share of what it gives.
func (x *stage) budget(share float64) (err error) {
	d := Planned(x.grid.Design, x.timing.Duty)
	g := x.grid.With(d)
	if !x.options.rough {
		if x.secure, err = newSecure(g); err != nil {
			return err
		}
	}
	x.drive = g.Drive(0)
	for k, level := range [3]float64{1, x.timing.Guard.Value, x.timing.HoldLevel.Value} {
		if x.watts[k], err = x.draws(x.timing.sign * level); err != nil {
			return err
		}
	}
	x.plan.Kick, x.plan.Cap, x.cap = x.watts[0], d.UsablePower(), share*d.UsablePower()
	if rest := float64(x.plan.Drops) * x.watts[2]; x.cap > 0 && rest+x.watts[0] > x.cap {
		return fmt.Errorf("a kick takes %s and holding %d drops %s, the supply gives %s: no drop can be moved; supply.power would have to be %s",
			quantity.Format(x.watts[0], quantity.Power), x.plan.Drops, quantity.Format(rest, quantity.Power),
			quantity.Format(x.plan.Cap, quantity.Power), quantity.AtLeast((rest+x.watts[0])/d.UsableShare(), quantity.Power))
	}
	return nil
}

// draws is what levels have the supply give, W, each coil as cold as the coldest air.
func (x *stage) draws(levels ...float64) (watts float64, err error) {
	n, ohms := x.grid.Design.Pixels(), x.grid.Pixel.Coil.Resistance(x.grid.Design.Heat.AmbientLow)
	states, all := make([]drive.PixelState, n), make([]float64, n)
	copy(all, levels)
	if err := x.drive.Steady(states, all, slices.Repeat([]float64{ohms}, n)); err != nil {
		return 0, fmt.Errorf("asking the drive for pixels' power: %w", err)
	}
	for k := range levels {
		watts += states[k].Power
	}
	return watts * supply.AtTerminals(x.grid.Design.Supply.Tolerance), nil
}

// peak is what the plan's frame that draws most has the supply give, W.
func (x *stage) peak() (most float64, err error) {
	for _, f := range x.plan.Scene.Frames {
		watts, err := x.draws(f.Levels...)
		if err != nil {
			return 0, err
		}
		most = max(most, watts)
	}
	return most, nil
}

// power is what a round draws with drops on pixels.
func (x *stage) power(round []carry.Move, at []bool) float64 {
	guards := len(x.guards(round, at))
	return float64(len(round))*x.watts[0] + float64(guards)*x.watts[1] + float64(x.plan.Drops-len(round)-guards)*x.watts[2]
}

// fits tells whether the supply and the bound of kicks allow a round.
func (x *stage) fits(round []carry.Move, at []bool) bool {
	return len(round) <= x.options.Kicks && (x.cap == 0 || x.power(round, at) <= x.cap)
}

// guards are the pixels with a drop beside the kicked ones, and how many of those each
// has beside it. The drops that move are none of them: rounds see to that.
func (x *stage) guards(round []carry.Move, at []bool) map[int]int {
	d := x.grid.Design.Grid
	out := map[int]int{}
	for _, m := range round {
		row, col := m.To/d.Cols, m.To%d.Cols
		for _, s := range sidesOf {
			r, c := row+s.row, col+s.col
			if v := r*d.Cols + c; r >= 0 && r < d.Rows && c >= 0 && c < d.Cols && at[v] && v != m.From {
				out[v]++
			}
		}
	}
	return out
}

// roundTime is how long a round takes, s.
func (x *stage) roundTime(round []carry.Move) float64 {
	longest := 0.0
	for _, m := range round {
		longest = max(longest, x.timing.Kick[x.side(m)].Value)
	}
	return longest + x.timing.Settle
}

// side is that to which a move goes.
func (x *stage) side(m carry.Move) int {
	d := x.grid.Design.Grid
	row, col := m.To/d.Cols-m.From/d.Cols, m.To%d.Cols-m.From%d.Cols
	for k, s := range sidesOf {
		if s.row == row && s.col == col {
			return k
		}
	}
	panic(fmt.Sprintf("choreograph: %v is no move to a neighbour", m)) // package carry's rule
}

// run carries the drops from the scene's start to its end.
func (x *stage) run() error {
	x.plan.Stops = append(x.plan.Stops, Stop{At: slices.Clone(x.at)})
	x.rest(max(x.timing.slowest(), x.timing.Settle)) // drops are put in with their pixels on
	x.gathers()
	for {
		if err := x.ctx.Err(); err != nil {
			return err
		}
		begin, err := x.choose()
		switch {
		case err != nil:
			return err
		case len(x.rounds) == 0: // nothing to do up to the end
			return x.pause(x.length)
		case begin > x.time+instant:
			if err := x.pause(begin); err != nil {
				return err
			}
		}
		if err := x.dance(x.rounds[0]); err != nil {
			return err
		}
		x.rounds = x.rounds[1:]
	}
}

// solve plans the way to a picture, how long it takes, and how many of its pixels stay bare.
func (x *stage) solve(wanted []bool) (rounds [][]carry.Move, seconds float64, bare int, err error) {
	d := x.grid.Design.Grid
	p := carry.Problem{Rows: d.Rows, Cols: d.Cols, From: x.at, To: wanted, Blocked: x.blocked}
	plan, err := carry.Solve(x.ctx, p)
	if err != nil {
		return nil, 0, 0, err
	}
	rounds = p.Rounds(plan, x.fits)
	return rounds, x.timeOf(rounds), len(plan.Bare), nil
}

// choose decides which picture to carry the drops to, plans it and returns when to begin,
// s. Without anything to do it leaves no rounds.
func (x *stage) choose() (begin float64, err error) {
	last := len(x.pictures)
	if len(x.rounds) > 0 {
		left := x.timeOf(x.rounds)
		if x.goal == last || !x.late(x.goal, left) {
			return x.time, nil // the picture under way is still the one that is wanted
		}
	}
	x.rounds = nil
	k := max(x.goal, 0)
	for k < last && x.pictures[k].end <= x.time+instant {
		k++
	}
	for ; k <= last; k++ {
		wanted := x.home
		if k < last {
			wanted = x.pictures[k].wanted
		}
		rounds, seconds, bare, err := x.solve(wanted)
		if err != nil {
			return 0, err
		}
		if bare > 0 {
			x.short[k] = true
		}
		if len(rounds) == 0 {
			continue // it is there already
		}
		if k < last && x.late(k, seconds) {
			continue
		}
		x.goal, x.rounds = k, rounds
		switch {
		case k == last:
			return max(x.length-seconds, x.time), nil
		case x.pictures[k].frame >= seconds:
			return max(x.pictures[k].begin, x.time), nil
		}
		return max(x.pictures[k].begin-seconds/2, x.time), nil
	}
	return x.time, nil
}

// late tells whether a picture will be over before what is left of the way to it, s, is
// half done.
func (x *stage) late(k int, left float64) bool {
	return x.time+left/2 >= x.pictures[k].end-instant
}

// measure compares the plan with the pictures at the ends of the scene's frames.
func (x *stage) measure(s scenes.Scene) {
	p := x.plan
	t, stop, all, full, stray := 0.0, 0, 0, 0, 0
	reached := map[int]bool{}
	for _, f := range s.Frames {
		t += f.Duration
		for stop+1 < len(p.Stops) && p.Stops[stop+1].by(t) {
			stop++
		}
		picture := x.pictureAt(t - f.Duration/2)
		wanted, there := 0, 0
		for v, want := range x.pictures[picture].wanted {
			switch at := p.Stops[stop].At[v]; {
			case want && at:
				wanted, there = wanted+1, there+1
			case want:
				wanted++
			case at && (picture > 0 || len(x.pictures) == 1):
				stray++
			}
		}
		if there == wanted {
			reached[picture] = true
		}
		if picture > 0 || len(x.pictures) == 1 {
			all, full = all+wanted, full+there
		}
	}
	if p.Shown = 1; all > 0 {
		p.Shown, p.Stray = float64(full)/float64(all), float64(stray)/float64(all)
	}
	p.Overtaken, p.Short = p.Pictures-len(reached), len(x.short)
}

// pictureAt is the picture that is wanted at a time.
func (x *stage) pictureAt(t float64) int {
	k := 0
	for k+1 < len(x.pictures) && x.pictures[k].end <= t {
		k++
	}
	return k
}
