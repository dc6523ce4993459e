package choreograph

import (
	"cmp"
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// Proof is what the tank made of a plan.
type Proof struct {
	Seconds float64 // of the scene, that were computed
	Cells   int     // per pitch
	// Places are the drops at all stops looked at, and Full how many of their places
	// were at least half full of fluid; Least is how full the emptiest was.
	Places, Full int
	Least        float64
	// Shown is the share of the pixels that the scene wants that were at least half full
	// at its frames' ends, and Stray the fluid where none is wanted over that wanted.
	Shown, Stray float64
	// Lost are the drops whose place was less than half full where it was not so at the
	// stop before.
	Lost []Loss
	// Tries is how many plans were made and tried.
	Tries int
}

// Share is the share of the places that the tank confirms, 1 for none.
func (p Proof) Share() float64 {
	if p.Places == 0 {
		return 1
	}
	return float64(p.Full) / float64(p.Places)
}

// Loss is a drop that is not where the plan has it.
type Loss struct {
	Time  float64 // s
	Pixel int
	Share float64 // of its place that is full
	// Arriving tells that it was to come to the pixel with the round before; Guarded
	// that the pixel kept it beside a kick. Otherwise it was only held.
	Arriving, Guarded bool
	Side              int // to which it went, of an arriving one
}

// Prove lets the fluid move as a plan drives it, from its start and for so many seconds
// of it, in the tank with the given cells per pitch, 0 for as many as its
// drops ask for. The player is that of the planned design, at rest.
func Prove(ctx context.Context, p *player.Player, plan *Plan, seconds float64, cells int) (Proof, error) {
	proof := Proof{Cells: cmp.Or(cells, player.CellsFor(p.Grid().Design)), Least: 1, Tries: 1}
	cols := plan.Scene.Cols
	missing := make([]bool, plan.Scene.Rows*cols)
	stop := 0
	look := func(b *player.Tank, at float64) {
		for stop+1 < len(plan.Stops) && plan.Stops[stop+1].by(at) {
			stop++
		}
		s := plan.Stops[stop]
		if s.Moving {
			return
		}
		for v, there := range s.At {
			if !there {
				missing[v] = false
				continue
			}
			full := b.Covered(v/cols, v%cols)
			proof.Places++
			proof.Least = min(proof.Least, full)
			if full >= shown.Full {
				proof.Full++
			} else if !missing[v] {
				loss := s.loss(v)
				loss.Share = full
				proof.Lost = append(proof.Lost, loss)
			}
			missing[v] = full < shown.Full
		}
	}
	f, err := follow(ctx, p, plan.Scene, plan.Wanted, seconds, cells, look)
	if err != nil {
		return proof, err
	}
	proof.Seconds = f.seconds
	proof.Shown, proof.Stray = f.seen.Share()
	return proof, nil
}

// Light is the share of a scene's wanted pixels that the tank shows over so many seconds
// when they are just switched; see shown.Record.
func Light(ctx context.Context, p *player.Player, s scenes.Scene, seconds float64, cells int) (float64, error) {
	f, err := follow(ctx, p, s, s, seconds, cells, nil)
	if err != nil {
		return 0, err
	}
	share, _ := f.seen.Share()
	return share, nil
}

// wants are the pixels that each frame of a scene wants.
func wants(g *grid.Grid, s scenes.Scene) [][]bool {
	out := make([][]bool, len(s.Frames))
	for i, f := range s.Frames {
		out[i] = make([]bool, len(f.Levels))
		for v, level := range f.Levels {
			out[i][v] = g.StateOf(level) == grid.Lit
		}
	}
	return out
}

// followed is what was seen of a scene, over so many seconds.
type followed struct {
	seen    *shown.Record
	seconds float64
}

// follow lets the fluid move in what is played and looks at the ends of its frames.
func follow(ctx context.Context, p *player.Player, played, wanted scenes.Scene, seconds float64, cells int, look func(b *player.Tank, at float64)) (f followed, err error) {
	b, err := player.NewTank(p.Grid(), cells, 0)
	if err != nil {
		return f, err
	}
	r, err := shown.Begin(shown.Tank, b, p.Grid(), played, wanted, Follows)
	if err != nil {
		return f, err
	}
	run := shown.NewRun(p, played, r)
	err = run.Each(ctx, func() bool {
		f.seconds = run.Time()
		if look != nil {
			look(b, f.seconds)
		}
		return f.seconds < seconds
	})
	f.seen = r.Record()
	return f, err
}

// loss is what the round before a stop did at a pixel.
func (s Stop) loss(v int) Loss {
	l := Loss{Time: s.Time, Pixel: v}
	for _, m := range s.Moves {
		if m.To == v {
			l.Arriving, l.Side = true, m.Side
		}
	}
	_, l.Guarded = s.Guards[v]
	return l
}

// How a timing is widened after losses, and how far.
const (
	wider  = 1.25
	slower = 0.15 // s of settling
)

// Wider is a timing that gives more of what drops were lost for want of: a longer kick to
// the sides at which they did not arrive, a stronger guard. It returns false where only
// more hold would help: the drops that were lost stood still.
func (t Timing) Wider(lost []Loss) (Timing, bool) {
	helps := false
	var longer [4]bool
	guard := false
	for _, l := range lost {
		switch {
		case l.Arriving:
			longer[l.Side], helps = true, true
		case l.Guarded:
			guard, helps = true, true
		}
	}
	for side, yes := range longer {
		if yes {
			k := t.Kick[side]
			t.Kick[side] = quantity.Derived{Value: wider * k.Value, Why: fmt.Sprintf("%s; × %g as the tank asks", k.Why, wider)}
		}
	}
	if guard {
		t.Guard = quantity.Derived{Value: min(wider*t.Guard.Value, 1), Why: fmt.Sprintf("%s; × %g as the tank asks", t.Guard.Why, wider)}
	}
	if helps {
		t.of = design.Design{} // not its own times
		t.Settle += slower
	}
	return t, helps
}
