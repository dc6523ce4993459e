package choreograph

import (
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/carry"
	"lodegrid/scenes/player"
)

// On a display that lies a drop which another has pushed back as it passed takes longer than one by
// itself, and a kick lasts so long; upright, where limits.hold asks for more, it does not.
func TestLyingDropsArePushed(t *testing.T) {
	up, _ := demoCorner(t)
	for _, way := range []design.Orientation{design.FaceUp, design.Vertical} {
		d, err := up.Design.With(design.Change{Key: "heat.orientation", Value: string(way)})
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.NewWith(t.Context(), d, up.Pixel, up.Raster.Samples)
		if err != nil {
			t.Fatal(err)
		}
		timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, d.Drive.MaxDuty)
		if err != nil {
			t.Fatal(err)
		}
		p, err := small(t.Context(), g, timing)
		if err != nil {
			t.Fatal(err)
		}
		longer := 1 + player.CellError(d, tryCells)
		alone, err := timing.arrives(t.Context(), p, right, 1+unlike, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := timing.InTank(t.Context(), g); err != nil {
			t.Fatal(err)
		}
		kick, least := timing.Kick[right].Value, longer*alone
		t.Logf("%s: %.3f s right, a drop by itself %.3f s; %s", way, kick, least, timing.Kick[right].Why)
		if longest := kick > 1.02*least; longest != (way == design.FaceUp) {
			t.Errorf("%s: a kick of %.3f s, a drop by itself takes %.3f s", way, kick, least)
		}
	}
}

// table is a display face up whose hold is hardly any current behind its diodes.
const table = `
coil = { outer = "11 mm", turns = 14, track = "6 mil", gap = "4 mil" }
iron = { model = "auto", gap = "0.2 mm", thickness = "1 mm" }
grid = { cols = 5, rows = 3, pitch = "12 mm" }
board = { layers = 6, thickness = "1.6 mm", copper_outer = "1 oz", copper_inner = "1 oz" }
drive = { mode = "direct", bridge = "low-side", frequency = "60 kHz", max_duty = "20 %", most_lit = 15 }
supply = { voltage = "12 V", power = "100 W" }
fluid = { kind = "oil-medium", tank_gap = "2.5 mm", height = "2.5 mm", density_difference = "40 kg/m3", contact_line = "0 mN/m", drop_diameter = "8 mm" }
heat = { ambient = "20 degC", orientation = "face-up", back = "free" }
scene = { carry = true, hold_level = 0.2 }
`

// A row of drops on a display that lies goes to the next row in two
// rounds, and those of the second, which the others pushed back on both hands as they passed, arrive too, in
// a tank of the whole display: with kicks as long as one takes that a single other has passed they stay.
func TestLyingRowIsCarried(t *testing.T) {
	d, err := design.Read("table", strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	s := scenes.New("row", 3, 5, 2, 100)
	for k, f := range s.Frames {
		for col := range 5 {
			f.Levels[5*(k+1)+col] = 1
		}
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Carry(t.Context(), p, s, Aim{Options: Defaults(), Hop: UsualHop, Proof: s.Duration(), Cells: tryCells, Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d rounds of kicks of %.3g s, guard %.2f: of %d places the tank has %d, lost %+v", r.Plan.Rounds, r.Plan.Timing.slowest(), r.Plan.Timing.Guard.Value, r.Proof.Places, r.Proof.Full, r.Proof.Lost)
	if r.Plan.Rounds < 4 || r.Proof.Places == 0 || r.Proof.Full < r.Proof.Places {
		t.Errorf("%d rounds; of %d places the tank has %d, lost %+v", r.Plan.Rounds, r.Proof.Places, r.Proof.Full, r.Proof.Lost)
	}
}

// Three drops side by side that go from column to column of an upright display: the middle one, which
// the others push back as they pass it on both hands, waits and arrives, in a tank of the whole display; kicked at once
// it is torn. Others wait for nothing.
func TestPassedOnBothHandsWaits(t *testing.T) {
	g, timing := demoCorner(t)
	if err := timing.InTank(t.Context(), g); err != nil {
		t.Fatal(err)
	}
	p, err := small(t.Context(), g, timing)
	if err != nil {
		t.Fatal(err)
	}
	s := scenes.New("columns", tryPixels, tryPixels, 5, 6)
	for k, f := range s.Frames {
		for row := range tryPixels {
			f.Levels[tryPixels*row+[]int{0, 1, 2, 1}[k%4]] = 1
		}
	}
	t.Logf("waits %g s: %s", timing.Back.Value, timing.Back.Why)
	for _, waits := range []bool{true, false} {
		timing := timing
		if !waits {
			timing.Back.Value = 0
		}
		plan, err := Scene(t.Context(), g, s, timing, Defaults())
		if err != nil {
			t.Fatal(err)
		}
		p.Reset()
		proof, err := Prove(t.Context(), p, plan, s.Duration(), tryCells)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("waits %v: of %d places the tank has %d, lost %+v", waits, proof.Places, proof.Full, proof.Lost)
		if (proof.Full == proof.Places) != waits || proof.Places < 20 {
			t.Errorf("waits %v: of %d places the tank has %d, lost %+v", waits, proof.Places, proof.Full, proof.Lost)
		}
	}
	x := &stage{grid: g, timing: timing, passes: passes{}}
	beside := []bool{false, true, false, false, true, false, false, true, false} // the middle column, the sides gone right
	for _, c := range []struct {
		round []carry.Move
		move  carry.Move
		wait  float64
	}{
		{[]carry.Move{{From: 0, To: 3}}, carry.Move{From: 4, To: 5}, 0},                     // on one hand
		{[]carry.Move{{From: 5, To: 2}}, carry.Move{From: 4, To: 3}, timing.Back.Value - 1}, // and the other
		{[]carry.Move{{From: 4, To: 5}}, carry.Move{From: 5, To: 4}, 0},                     // has moved itself
	} {
		x.passes.note(x, beside, c.round, 9)
		if got := x.passes.wait([]carry.Move{c.move}, 10); got != c.wait {
			t.Errorf("after %v a drop that goes %v waits %g s, want %g", c.round, c.move, got, c.wait)
		}
	}
}

// hasty are how many kicks of a plan that loops come too soon after others went past their drop on both
// hands: from where the drops stand at its stops, over two loops.
func hasty(p *Plan, back float64) (n int) {
	cols, passed := p.Scene.Cols, map[[3]int]float64{} // by pixel, and where beside it they went
	begun := 0.0
	for k := range 2 * len(p.Stops) {
		s := p.Stops[k%len(p.Stops)]
		now := s.Time + p.Scene.Duration()*float64(k/len(p.Stops))
		if s.Moving {
			begun = now
		}
		var moved [][4]int // from and to, each a row and a column
		for _, m := range s.Moves {
			row, col := m.To/cols, m.To%cols
			moved = append(moved, [4]int{row - sidesOf[m.Side].row, col - sidesOf[m.Side].col, row, col})
		}
		soon := func(v, row, col int) bool {
			at, ok := passed[[3]int{v, row, col}]
			return ok && at+back > begun+1e-9
		}
		for _, m := range moved {
			if v := m[0]*cols + m[1]; soon(v, 1, 0) && soon(v, -1, 0) || soon(v, 0, 1) && soon(v, 0, -1) {
				n++
			}
		}
		for v, there := range s.At {
			for _, m := range moved {
				for _, end := range [2][2]int{{m[0], m[1]}, {m[2], m[3]}} {
					row, col := end[0]-v/cols, end[1]-v%cols
					if there && row*row+col*col == 1 && row*(m[2]-m[0])+col*(m[3]-m[1]) == 0 {
						passed[[3]int{v, row, col}] = now
					}
				}
			}
		}
		for at := range passed {
			for _, m := range moved {
				if at[0] == m[0]*cols+m[1] || at[0] == m[2]*cols+m[3] {
					delete(passed, at)
				}
			}
		}
	}
	return n
}

// No plan kicks a drop too soon after others passed it on both hands, in the next loop neither.
func TestLoopsBeginWithWaits(t *testing.T) {
	g := moving(t)
	first, none := 0, 0
	for seed := range uint64(12) {
		s, timing := random(seed, g, 4, 14, 4), timed()
		none += hasty(carriedBy(t, g, s, Defaults()), 4) // by times without waits
		timing.Back.Value = 4
		x, err := once(t.Context(), g, s, timing, Defaults(), 1, passes{})
		if err != nil {
			t.Fatal(err)
		}
		n := hasty(x.plan, 4)
		if first += n; x.loops(passes{}) != (n > 0) {
			t.Errorf("seed %d: of a first loop %d come too soon", seed, n)
		}
		p, err := Scene(t.Context(), g, s, timing, Defaults())
		if err != nil {
			t.Fatal(err)
		}
		if n := hasty(p, 4); n > 0 || p.Moves == 0 {
			t.Errorf("seed %d: of %d moves %d come too soon", seed, p.Moves, n)
		}
	}
	if none == 0 || first == 0 {
		t.Errorf("%d come too soon without waits, %d with those of a first loop: nothing is tried", none, first)
	}
	t.Logf("too soon: %d without waits, %d with those of a first loop", none, first)
}
