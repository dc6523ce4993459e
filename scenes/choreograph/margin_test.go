package choreograph

import (
	"math/rand/v2"
	"os"
	"testing"

	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// How many hops of drops of liquid arrive in the tank against the margin over a rigid drop's time:
// drops of 0.8 to 1.2 times the usual volume, from the middle to each side of three by three pixels, up
// to three others standing beside and guarded; looked at half a second after the plan's settling. With
// the margin that plans begin with all arrive that go up or to a side. Those that go down do not: they
// are half on their place then, and the hold has to draw in the rest.
func TestHopsArriveWithTheMargin(t *testing.T) {
	g, timing := demoCorner(t)
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	hops := 8
	if os.Getenv("LODEGRID_CI") != "" {
		hops = 24
	}
	own := ForLiquid().Kick
	margins := []float64{0.9, 1, 1.1, 1.2, own, 1.5, 2}
	if hops < 10 {
		margins = []float64{own}
	}
	for _, margin := range margins {
		r := rand.New(rand.NewPCG(1, 2))
		var here [4]int
		most := 1.0
		for k := range hops {
			side := k % len(sidesOf)
			volume := 0.8 + 0.4*r.Float64()
			const from = 4
			to := from + 3*sidesOf[side].row + sidesOf[side].col
			b, err := player.NewTank(p.Grid(), 12, 0)
			if err != nil {
				t.Fatal(err)
			}
			on := []int{}
			for _, v := range r.Perm(9)[:4] {
				if v != from && v != to && len(on) < 3 {
					on = append(on, v)
				}
			}
			if err := b.Add(1, 1, volume); err != nil {
				t.Fatal(err)
			}
			for _, v := range on {
				if err := b.Add(v/3, v%3, 1); err != nil {
					t.Fatal(err)
				}
			}
			p.Reset()
			seconds := timing.Kick[side].Value * margin / own
			for _, f := range []struct{ kick, from, seconds float64 }{{0, timing.HoldLevel.Value, stand}, {1, 0, seconds}, {timing.HoldLevel.Value, 0, timing.Settle + stand}} {
				levels := make([]float64, 9)
				levels[from], levels[to] = timing.sign*f.from, timing.sign*f.kick
				for _, v := range on {
					levels[v] = timing.sign * timing.HoldLevel.Value
					if row, col := v/3-to/3, v%3-to%3; f.kick == 1 && row*row+col*col == 1 {
						levels[v] = timing.sign * timing.Guard.Value
					}
				}
				if _, err := p.Push(t.Context(), scenes.Frame{Levels: levels, Duration: f.seconds}); err != nil {
					t.Fatal(err)
				}
				if err := p.Move(0, f.seconds, b.Step); err != nil {
					t.Fatal(err)
				}
			}
			place, cell := make([]float64, 9), make([]float64, 9)
			b.Cover(place, cell)
			if place[to] >= shown.Full && cell[from] < 0.1 {
				here[side]++
			}
			most = min(most, place[to]/min(volume, 1))
		}
		t.Logf("margin %.2f: of %d each up, left, right, down arrive %v, the worst with %.2f on its place", margin, hops/4, here, most)
		for side, n := range here {
			if margin == own && side < 3 && n < hops/4 {
				t.Errorf("%s: %d of %d arrive with the margin that plans begin with", sidesOf[side].name, n, hops/4)
			}
		}
	}
}
