package choreograph

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// Hops of drops of liquid in the tank at the cells of a film, with the times that were solved for at
// fewer cells: drops of 0.8 to 1.2 times the usual volume, from the middle to each side of three by
// three pixels, up to three others standing beside and guarded; looked at when the plan has them
// arrived, cold coils and warm ones. All arrive then, and in three quarters of the time not all of any side do.
func TestHopsArrive(t *testing.T) {
	g, timing := demoCorner(t)
	if err := timing.InTank(t.Context(), g); err != nil {
		t.Fatal(err)
	}
	for _, k := range timing.Kick {
		t.Log(k.Value, k.Why)
	}
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	hops := 8
	if os.Getenv("LODEGRID_CI") != "" {
		hops = 24
	}
	const own, short = 1, 0.75
	for _, margin := range []float64{short, own} {
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
			if k/len(sidesOf)%2 == 1 {
				p.Network().Start(warmest(g.Design))
			}
			seconds := timing.Kick[side].Value
			if margin != own {
				seconds = margin * timing.arrival[side]
			}
			for _, f := range []struct{ kick, from, seconds float64 }{{0, timing.HoldLevel.Value, stand}, {1, 0, seconds}, {timing.HoldLevel.Value, 0, timing.Settle}} {
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
		t.Logf("%.2f of the time: of %d each up, left, right, down arrive %v, the worst with %.2f on its place", margin, hops/4, here, most)
		for side, n := range here {
			if (n == hops/4) != (margin == own) {
				t.Errorf("%s: %d of %d arrive in %g of the time that was solved for", sidesOf[side].name, n, hops/4, margin)
			}
		}
	}
}

// In a display of one row or column, or of one pixel, no drop goes to the sides that are not there;
// the others' kicks are those of a like display that has them.
func TestOneRowOrColumn(t *testing.T) {
	if testing.Short() {
		t.Skip("moves fluid for half a minute")
	}
	timed := func(rows, cols int) Timing {
		_, timing := demoParted(t, rows, cols)
		return timing
	}
	both := timed(3, 3)
	for _, size := range [][2]int{{1, 3}, {3, 1}, {1, 1}} {
		timing := timed(size[0], size[1])
		for side, s := range sidesOf {
			want := both.Kick[side].Value
			if s.row != 0 && size[0] == 1 || s.col != 0 && size[1] == 1 {
				want = 0
			}
			if got := timing.Kick[side].Value; math.Abs(got-want) > 0.1*want {
				t.Errorf("%d × %d, %s: a kick of %g s, want %g", size[0], size[1], s.name, got, want)
			}
			if timing.Part[side].Value > 0 && want == 0 {
				t.Errorf("%d × %d: drops are parted %s", size[0], size[1], s.name)
			}
		}
	}
}

// demoParted is the built-in display with so many rows and columns, the times of its moves and
// the levels that part its drops.
func demoParted(t *testing.T, rows, cols int) (*grid.Grid, Timing) {
	t.Helper()
	d := design.Demo()
	d.Grid.Rows, d.Grid.Cols, d.Drive.MostLit = rows, cols, rows*cols
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	timing, err := Aim{Hop: UsualHop, Duty: d.Drive.MaxDuty}.solved(t.Context(), g)
	if err == nil {
		err = timing.parting(t.Context(), g)
	}
	if err != nil {
		t.Fatalf("%d × %d: %v", rows, cols, err)
	}
	return g, timing
}
