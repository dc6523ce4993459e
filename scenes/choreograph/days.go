package choreograph

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Days says how long a carried scene is looped with drops that run together.
type Days struct {
	Loops int     // how often the scene is played; 0 for not at all
	Loss  float64 // chance that a drop which arrives runs together with one beside it, 0…1
	Seed  uint64
}

// Lives is how many times such days are played by a plan, each with a chance of its own, and
// Enough in how many of them every loop has to show enough. Plans is how many plans are played
// so: what is parted when is by chance, too, which plans that part a little later stand for.
const (
	Lives  = 100
	Enough = 95
	Plans  = 8
)

// Spread is a mean, and the standard deviation from it.
type Spread struct{ Mean, Deviation float64 }

// Lasting is what a scene shows that is looped while drops run together.
type Lasting struct {
	Every float64 // s between two times that all drops are parted, 0 for never
	// Kept are the lives of a plan, of Lives, of which every loop shows enough: over the plans, whose
	// deviation has the lives' chance in it; Worst is the plan with the fewest.
	Kept  Spread
	Worst float64
	// Over all lives of all plans: Shown is the share of the wanted pixels with a drop at the
	// frames' ends in the loop that shows least, and Last that in the last; Fused are the drops
	// that ran together.
	Shown, Last, Fused Spread
}

// Last carries a scene, parting every drop so often, s, and plays that over and over by counting
// drops, each whole and on one pixel: of those
// that arrive some, by chance, run together with one beside them, and are carried as one from
// then on. A kick of a pixel whose drop is missing draws one of two from beside it where the
// tank says that such a kick parts them: those that part drops do, and those of moves where the tank
// has it beside a guard. One that parts drops and falls on two takes in a third. The same arguments give the same result.
func Last(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options, every float64, days Days, enough float64) (Lasting, error) {
	out := Lasting{Every: every, Worst: Lives}
	o.rough, o.Gather = true, every
	var plan *Plan
	for k := range Plans {
		if o.shift = float64(k) / Plans; plan == nil || every > 0 {
			var err error
			if plan, err = Scene(ctx, g, s, t, o); err != nil {
				return out, err
			}
		}
		if err := plan.last(ctx, days, enough, k, &out); err != nil {
			return out, err
		}
	}
	out.Kept.over(Plans)
	for _, s := range []*Spread{&out.Shown, &out.Last, &out.Fused} {
		s.over(Plans * Lives)
	}
	return out, nil
}

// last sums a plan's lives, with the chance of the k-th plan.
func (p *Plan) last(ctx context.Context, days Days, enough float64, k int, to *Lasting) error {
	kept := 0.0
	for n := range Lives {
		if err := ctx.Err(); err != nil {
			return err
		}
		least, last, fused := p.life(days, rand.New(rand.NewPCG(days.Seed, uint64(k*Lives+n))))
		if least >= enough {
			kept++
		}
		to.Shown.add(least)
		to.Last.add(last)
		to.Fused.add(float64(fused))
	}
	to.Kept.add(kept)
	to.Worst = min(to.Worst, kept)
	return nil
}

// add sums a value and its square.
func (s *Spread) add(v float64) { s.Mean, s.Deviation = s.Mean+v, s.Deviation+v*v }

// over makes mean and deviation of what so many values add up to.
func (s *Spread) over(n float64) {
	s.Mean /= n
	s.Deviation = math.Sqrt(max(s.Deviation/n-s.Mean*s.Mean, 0) * n / (n - 1))
}

// life is one of those that last plays: the shares in the worst loop and in the last, and the
// drops that ran together.
func (p *Plan) life(days Days, random *rand.Rand) (least, last float64, fused int) {
	rows, cols := p.Scene.Rows, p.Scene.Cols
	n := make([]int, rows*cols)
	for v, at := range p.Stops[0].At {
		if at {
			n[v] = 1
		}
	}
	beside := func(v, side int) (w int, ok bool) { // from which a drop goes to that side to v
		row, col := v/cols-sidesOf[side].row, v%cols-sidesOf[side].col
		return row*cols + col, row >= 0 && row < rows && col >= 0 && col < cols
	}
	draw := func(v int, draws func(side int) bool) {
		for side := range sidesOf {
			if w, ok := beside(v, side); ok && n[v] == 0 && n[w] > 1 && draws(side) {
				n[v], n[w] = 1, n[w]-1
			}
		}
	}
	parts := func(side int) bool { return p.Timing.Part[side].Value > 0 }
	guarded := func(side int) bool { return p.Timing.draws[side] }
	// What is more than one reaches so far that a kick of its own pixel takes in a drop at its side (the tests).
	swallow := func(v int) {
		for _, side := range []int{left, right} {
			if w, ok := beside(v, side); ok && n[w] == 1 && parts(side) {
				n[v], n[w] = n[v]+1, 0
				return
			}
		}
	}
	arrive := func(a Arrival) {
		from, _ := beside(a.To, a.Side)
		n[a.To], n[from] = n[a.To]+n[from], 0
		draw(a.To, guarded)
		if n[a.To] == 0 || random.Float64() >= days.Loss {
			return
		}
		var near []int
		for side := range sidesOf {
			if w, ok := beside(a.To, side); ok && n[w] > 0 {
				near = append(near, w)
			}
		}
		if len(near) > 0 {
			w := near[random.IntN(len(near))]
			n[w], n[a.To] = n[w]+n[a.To], 0
			fused++
		}
	}
	least = 1
	for range days.Loops {
		stop, t, wanted, shown := 0, 0.0, 0, 0
		until := func(t float64) {
			for ; stop < len(p.Stops) && p.Stops[stop].by(t); stop++ {
				for _, a := range p.Stops[stop].Moves {
					arrive(a)
				}
				for _, v := range p.Stops[stop].Parted {
					if n[v] > 1 {
						swallow(v)
					}
					draw(v, parts)
				}
			}
		}
		for _, f := range p.Wanted.Frames {
			t += f.Duration
			until(t)
			for v, level := range f.Levels {
				if level != 0 {
					wanted++
					shown += min(n[v], 1)
				}
			}
		}
		until(math.Inf(1)) // what ends with the scene
		if last = 1; wanted > 0 {
			last = float64(shown) / float64(wanted)
		}
		least = min(least, last)
	}
	return least, last, fused
}

// periods are the times between two partings that are tried beside once a loop, s, the longest
// first.
var periods = []float64{3600, 1800, 1200, 600, 300, 120, 60}

// Gathered is what a scene shows that is looped, with one time between two partings after the
// other, the longest first, up to one with which every loop of Enough lives shows enough.
func Gathered(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options, days Days, enough float64) (list []Lasting, err error) {
	once := s.Duration()
	for _, every := range append([]float64{once}, slices.DeleteFunc(slices.Clone(periods), func(p float64) bool { return p >= once })...) {
		l, err := Last(ctx, g, s, t, o, every, days, enough)
		if err != nil {
			return nil, err
		}
		if list = append(list, l); l.Kept.Mean >= Enough {
			break
		}
	}
	return list, nil
}
