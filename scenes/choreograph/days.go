package choreograph

import (
	"context"
	"math/rand/v2"

	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Days says how long a carried scene is looped with drops that run together.
type Days struct {
	Tides int     // how often the scene is played; 0 for not at all
	Loss  float64 // chance that a drop which arrives runs together with one beside it, 0…1
	Seed  uint64
}

// Lasting is what a scene shows that is looped while drops run together.
type Lasting struct {
	// Shown is the share of the wanted pixels with a drop at the frames' ends, in each loop.
	Shown []float64
	Fused int // drops that ran together
	Bare  int // places without their drop at the end
}

// Least is the share shown in the worst loop.
func (l Lasting) Least() float64 {
	least := 1.0
	for _, v := range l.Shown {
		least = min(least, v)
	}
	return least
}

// Last plays a plan over and over by counting drops, each whole and on one pixel: of those
// that arrive some, by chance, run together with one beside them, and are carried as one from
// then on. A kick of a pixel whose drop is missing draws one of two from beside it where the
// tank says that such a kick parts them: those that part drops do, and of the others those
// beside a guard that is no stronger. The same arguments give the same result.
func (p *Plan) Last(days Days) (out Lasting) {
	rows, cols := p.Scene.Rows, p.Scene.Cols
	n := make([]int, rows*cols)
	for v, at := range p.Stops[0].At {
		if at {
			n[v] = 1
		}
	}
	random := rand.New(rand.NewPCG(days.Seed, 2))
	beside := func(v, side int) (w int, ok bool) { // from which a drop goes to that side to v
		row, col := v/cols-sidesOf[side].row, v%cols-sidesOf[side].col
		return row*cols + col, row >= 0 && row < rows && col >= 0 && col < cols
	}
	draw := func(v int, level float64) {
		for side := range sidesOf {
			if w, ok := beside(v, side); ok && n[v] == 0 && n[w] > 1 && p.Timing.Part[side].Value >= level && p.Timing.Part[side].Value > 0 {
				n[v], n[w] = 1, n[w]-1
			}
		}
	}
	arrive := func(a Arrival) {
		from, _ := beside(a.To, a.Side)
		n[a.To], n[from] = n[a.To]+n[from], 0
		draw(a.To, p.Timing.Guard.Value)
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
			out.Fused++
		}
	}
	for range days.Tides {
		stop, parting, t, wanted, shown := 0, 0, 0.0, 0, 0
		for _, f := range p.Wanted.Frames {
			t += f.Duration
			for {
				moved := stop < len(p.Stops) && p.Stops[stop].by(t)
				if parting < len(p.Partings) && p.Partings[parting].Time <= t && (!moved || p.Partings[parting].Time < p.Stops[stop].Time) {
					for _, v := range p.Partings[parting].Kicked {
						draw(v, 0)
					}
					parting++
					continue
				}
				if !moved {
					break
				}
				for _, a := range p.Stops[stop].Moves {
					arrive(a)
				}
				stop++
			}
			for v, level := range f.Levels {
				if level != 0 {
					wanted++
					shown += min(n[v], 1)
				}
			}
		}
		for ; stop < len(p.Stops); stop++ { // that end with the scene
			for _, a := range p.Stops[stop].Moves {
				arrive(a)
			}
		}
		share := 1.0
		if wanted > 0 {
			share = float64(shown) / float64(wanted)
		}
		out.Shown = append(out.Shown, share)
	}
	for v, at := range p.Stops[len(p.Stops)-1].At {
		if at && n[v] == 0 {
			out.Bare++
		}
	}
	return out
}

// periods are the times between two partings that are tried, s, the longest first.
var periods = []float64{3600, 1800, 1200, 600, 300, 120, 60}

// Gathered is the longest of some times between two partings of all drops, s, with which a
// scene that is looped shows enough every time, and what it then shows; 0 where none does.
func Gathered(ctx context.Context, g *grid.Grid, s scenes.Scene, t Timing, o Options, days Days, enough float64) (every float64, l Lasting, err error) {
	o.rough = true
	for _, o.Gather = range periods {
		p, err := Scene(ctx, g, s, t, o, nil)
		if err != nil {
			return 0, l, err
		}
		if l = p.Last(days); l.Least() >= enough {
			return o.Gather, l, nil
		}
	}
	return 0, l, nil
}
