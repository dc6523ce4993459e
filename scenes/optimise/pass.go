package optimise

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lodegrid/array/grid"
	"lodegrid/field/root"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// pass makes a new scene frame by frame, from a player in the state that the scene
// begins with.
type pass struct {
	*timing
	options Options
	target  float64 // hold ratio of a dimmed pixel
	player  *player.Player
	trial   *player.Trial
	before  []player.Entry // the scene as it was
	pinned  []bool         // frames to be left as they were
	cap     float64        // W; +Inf for none
	restAll bool           // dim all that may be, whatever the cap

	since  []float64 // s that each pixel has been on in the new scene; 0 = off
	factor []float64 // of each pixel's level when it was dimmed last
	least  []float64 // factor below which the pixel would no longer count as lit
	levels []float64 // of the frame being made
	full   []float64 // of the same frame without dimming
	lift   []float64 // by which a repair has raised each pixel's target
	held   []bool    // kept at full by a repair
	out    outcome
}

// outcome is a new scene and what was done to make it.
type outcome struct {
	frames  []scenes.Frame
	rested  int     // pixels dimmed, counted in every frame
	lit     int     // lit pixels, counted in every frame
	waiting int     // pixels that came on later
	longest float64 // s, the longest wait
	kicked  int     // pixels given more than their level when they came on
	kept    int     // frames left as they were because a drop would have been lost
	over    int     // frames over the cap
	peak    float64 // W, of the frame that draws most
	energy  float64 // J
}

func newPass(t *timing, o Options, p *player.Player, before []player.Entry, pinned []bool, limit float64, restAll bool) *pass {
	n := t.size()
	g := p.Grid()
	s := &pass{
		timing: t, options: o, player: p, trial: player.NewTrial(p), before: before, pinned: pinned, cap: limit, restAll: restAll,
		target: g.Design.Limits.Hold * o.Margin,
		since:  make([]float64, n), factor: make([]float64, n), least: make([]float64, n),
		levels: make([]float64, n), full: make([]float64, n), held: make([]bool, n), lift: make([]float64, n),
	}
	last := len(t.scene.Frames) - 1
	for i := range n {
		s.factor[i] = 1
		if t.state(last, i) == grid.Lit && t.state(0, i) == grid.Lit {
			s.since[i] = math.Inf(1) // the scene is looped
		}
	}
	return s
}

// run makes all frames.
func (s *pass) run(ctx context.Context) (outcome, error) {
	for k, f := range s.scene.Frames {
		if err := ctx.Err(); err != nil {
			return s.out, err
		}
		if err := s.frame(ctx, k, f); err != nil {
			return s.out, fmt.Errorf("frame %d: %w", k+1, err)
		}
	}
	return s.out, nil
}

// frame makes frame k and plays it.
func (s *pass) frame(ctx context.Context, k int, f scenes.Frame) error {
	if s.pinned[k] {
		copy(s.levels, f.Levels)
		return s.play(ctx, k, f)
	}
	s.begin(k, f)
	clear(s.held)
	for i := range s.lift {
		s.lift[i] = 1
	}
	waits := make([]bool, s.size())
	fine := false
	for range repairs {
		e, err := s.dim(k, f, waits)
		if err != nil {
			return err
		}
		if fine = !s.mend(k, e, waits); fine {
			break
		}
	}
	if !fine {
		copy(s.levels, f.Levels)
		s.out.kept++
	}
	return s.play(ctx, k, f)
}

// repairs bounds how often a frame is tried anew after a drop would have been lost.
const repairs = 6

// begin takes the frame's own levels, raised where a pixel is kicked.
func (s *pass) begin(k int, f scenes.Frame) {
	copy(s.full, f.Levels)
	for i, v := range f.Levels {
		if s.state(k, i) == grid.Lit {
			s.least[i] = s.leastFactor(v)
			if s.moving(i) && math.Abs(v) < s.options.KickLevel {
				s.full[i] = math.Copysign(s.options.KickLevel, v)
			}
		}
	}
	copy(s.levels, s.full)
}

// show tries the frame's levels. The coils of a string light together, so that each has the
// level of the one that needs most.
func (s *pass) show(f scenes.Frame) (player.Entry, error) {
	for from, n := 0, s.player.Grid().Design.Coils(); n > 1 && from < len(s.levels); from += n {
		levels, factors := s.levels[from:from+n], s.factor[from:from+n]
		most := slices.MaxFunc(levels, func(a, b float64) int { return cmp.Compare(math.Abs(a), math.Abs(b)) })
		factor := slices.Max(factors)
		for k := range n {
			levels[k], factors[k] = most, factor
		}
	}
	return s.trial.Show(s.levels, f.Duration)
}

// moving tells whether the fluid may still be on its way to a pixel.
func (s *pass) moving(i int) bool {
	return s.since[i] < s.options.Kick-scenes.SameInstant || s.since[i] == 0
}

// leastFactor is the smallest factor at which a level still counts as lit.
func (s *pass) leastFactor(level float64) float64 {
	g := s.player.Grid()
	lit, _ := root.Boundary(func(f float64) bool { return g.StateOf(f*level) == grid.Lit }, 1, 0, 1e-4)
	return lit
}

// dim chooses the levels of a frame: which pixels rest and how deep, and which wait.
func (s *pass) dim(k int, f scenes.Frame, waits []bool) (player.Entry, error) {
	for i := range s.levels {
		s.levels[i] = s.full[i]
		if waits[i] {
			s.levels[i] = s.scene.Frames[k-1].Levels[i]
		}
	}
	var full []float64 // W
	if !s.restAll {
		e, err := s.show(f)
		if err != nil || e.SupplyPower <= s.cap {
			return e, err
		}
		full = slices.Clone(s.trial.Power())
	}
	may := s.mayRest(k, waits)
	e, err := s.rest(f, may)
	if err != nil {
		return e, err
	}
	if e.SupplyPower > s.cap {
		if changed := s.wait(k, e.SupplyPower, waits); changed {
			return s.dim(k, f, waits)
		}
		return e, nil
	}
	if s.restAll {
		return e, nil
	}
	// Less dimming is enough: the hottest pixels rest, as many as it takes. The power of
	// a mixture is not quite the sum of its parts, so that it is tried again with more.
	rested := slices.Clone(s.trial.Power())
	coils := s.player.Coils()
	order := slices.Clone(may)
	sort.SliceStable(order, func(a, b int) bool { return coils[order[a]] > coils[order[b]] })
	all := slices.Clone(s.levels)
	need := 0
	for sum := total(full); need < len(order) && sum > s.cap; need++ {
		sum -= full[order[need]] - rested[order[need]]
	}
	for ; need < len(order); need += 1 + len(order)/16 {
		for _, i := range order[need:] {
			s.levels[i] = s.full[i]
		}
		mixed, err := s.rest(f, order[:need])
		if err != nil {
			return mixed, err
		}
		if mixed.SupplyPower <= s.cap {
			return mixed, nil
		}
	}
	copy(s.levels, all)
	return s.show(f)
}

// mayRest lists the pixels that have their drop, hold it with something to spare and
// have not been kept at full by a repair.
func (s *pass) mayRest(k int, waits []bool) []int {
	var list []int
	failing := s.before[k].Failing
	for i := range s.levels {
		if s.state(k, i) == grid.Lit && !waits[i] && !s.held[i] && !s.moving(i) && !slices.Contains(failing, i) {
			list = append(list, i)
		}
	}
	return list
}

// rest dims the listed pixels until each pulls as the target asks for, and leaves the
// levels in place. Pull goes with the square of the level in weak fields and with the
// level itself in strong ones; its root is a step that neither overshoots.
func (s *pass) rest(f scenes.Frame, list []int) (player.Entry, error) {
	for _, i := range list {
		s.factor[i] = min(max(s.factor[i], s.least[i]), 1)
		s.levels[i] = s.dimmed(i)
	}
	for round := range restRounds {
		e, err := s.show(f)
		if err != nil {
			return e, err
		}
		moved, short := 0.0, false
		holds := s.player.Holds()
		for _, i := range list {
			target := s.target * s.lift[i]
			scale := min(max(math.Sqrt((1+restReserve)*target/max(holds[i], 1e-6)), 0.6), 1.6)
			if holds[i] < target && s.factor[i] < 1 {
				short, scale = true, scale*(1+restReserve)
			} else if round >= restRounds/2 {
				continue // from here on upwards only, lest the levels' step keeps it swinging
			}
			next := min(max(s.factor[i]*scale, s.least[i]), 1)
			moved = max(moved, math.Abs(next-s.factor[i]))
			s.factor[i] = next
		}
		if moved < restTolerance && !short {
			return e, nil
		}
		for _, i := range list {
			s.levels[i] = s.dimmed(i)
		}
	}
	return s.show(f)
}

// dimmed is the level that a pixel's factor gives.
func (s *pass) dimmed(i int) float64 {
	v, full := math.Abs(s.full[i]*s.factor[i]), math.Abs(s.full[i])
	if step := s.options.Step; step > 0 {
		v = min(math.Ceil(v/step-1e-9)*step, full)
	}
	return math.Copysign(v, s.full[i])
}

// rest ends when no level moves by more than restTolerance and none pulls less than
// the target, restReserve above which it aims; or after restRounds.
const (
	restRounds    = 16
	restTolerance = 2e-3
	restReserve   = 3e-3
)

// wait lets pixels that would come on in this frame wait, those with most time left
// first, until power, in watts, is under the cap by their sum. It tells whether there
// was one to wait.
func (s *pass) wait(k int, power float64, waits []bool) bool {
	draws := slices.Clone(s.trial.Power())
	var may []int
	for i := range s.levels {
		if s.state(k, i) == grid.Lit && s.since[i] == 0 && !waits[i] && !s.held[i] && s.mayWait(k, i) && !s.handsOver(k, i) {
			may = append(may, i)
		}
	}
	if d := s.player.Grid().Design; d.Coils() > 1 { // a string waits as one
		all := slices.Clone(may)
		may = slices.DeleteFunc(may, func(i int) bool {
			from, to := d.String(i)
			for ; from < to; from++ {
				if !slices.Contains(all, from) {
					return true
				}
			}
			return false
		})
	}
	latest := s.latest[k*s.size():]
	sort.SliceStable(may, func(a, b int) bool { return latest[may[a]] > latest[may[b]] })
	for n, i := range may {
		if power <= s.cap {
			return n > 0
		}
		power -= draws[i]
		waits[i] = true
	}
	return len(may) > 0
}

// handsOver tells whether a pixel next to i goes dark in frame k, or so soon after it
// that its drop would find i not ready: it is on the way to i.
func (s *pass) handsOver(k, i int) bool {
	found := false
	soon := s.starts[k+1] + s.options.Kick
	s.around(i, 1, func(j int) {
		if s.since[j] > 0 {
			found = found || s.state(k, j) != grid.Lit || s.goes[k*s.size()+j] < soon+scenes.SameInstant
		}
	})
	return found
}

// around visits the pixels within reach of i, i itself included.
func (s *pass) around(i, reach int, visit func(j int)) {
	rows, cols := s.scene.Rows, s.scene.Cols
	for r := max(i/cols-reach, 0); r <= min(i/cols+reach, rows-1); r++ {
		for c := max(i%cols-reach, 0); c <= min(i%cols+reach, cols-1); c++ {
			visit(r*cols + c)
		}
	}
}

// A repair raises the target of a pixel and its neighbours by repairLift, and keeps
// them at full level once that comes to more than repairMost.
const (
	repairLift = 1.04
	repairMost = 1.1
)

// mend looks for pixels that would do wrong in the new frame and did not in the old
// one, dims their surroundings less, at last not at all, and lets nothing there wait.
// It tells whether there was one.
func (s *pass) mend(k int, e player.Entry, waits []bool) bool {
	was := s.before[k]
	bad := false
	repair := func(i int) {
		bad = true
		s.around(i, 1, func(j int) {
			s.lift[j] *= repairLift
			s.held[j] = s.held[j] || s.lift[j] > repairMost
			waits[j] = false
		})
	}
	for _, i := range e.Failing {
		if !slices.Contains(was.Failing, i) {
			repair(i)
		}
	}
	for _, i := range e.FalseOn {
		if !slices.Contains(was.FalseOn, i) {
			repair(i)
		}
	}
	return bad
}

// play accounts the frame as it now is and lets its time pass.
func (s *pass) play(ctx context.Context, k int, f scenes.Frame) error {
	frame := scenes.Frame{Levels: slices.Clone(s.levels), Duration: f.Duration}
	e, err := s.player.Show(ctx, frame)
	if err != nil {
		return err
	}
	g := s.player.Grid()
	for i, v := range frame.Levels {
		if s.state(k, i) == grid.Lit {
			s.out.lit++
		}
		if g.StateOf(v) != grid.Lit {
			s.since[i] = 0
			continue
		}
		if s.state(k, i) == grid.Lit {
			if math.Abs(v) < math.Abs(f.Levels[i])-1e-9 {
				s.out.rested++
			} else if s.since[i] == 0 && math.Abs(v) > math.Abs(f.Levels[i])+1e-9 {
				s.out.kicked++
			}
			if s.since[i] == 0 {
				if late := s.starts[k] - s.cameOn(k, i); late > scenes.SameInstant {
					s.out.waiting++
					s.out.longest = max(s.out.longest, late)
				}
			}
		}
		s.since[i] += f.Duration
	}
	if e.SupplyPower > s.cap*(1+1e-9) {
		s.out.over++
	}
	s.out.peak = max(s.out.peak, e.SupplyPower)
	s.out.energy += e.SupplyPower * f.Duration
	s.out.frames = append(s.out.frames, frame)
	return nil
}

// cameOn is when a pixel that is lit in frame k came on in the scene as it was, s.
func (s *pass) cameOn(k, i int) float64 {
	for k > 0 && s.state(k-1, i) == grid.Lit {
		k--
	}
	return s.starts[k]
}

func total(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x
	}
	return sum
}
