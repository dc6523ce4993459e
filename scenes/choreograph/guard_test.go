package choreograph

import (
	"errors"
	"math"
	"os"
	"testing"

	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Guards in the tank: a drop beside a kicked pixel, of the usual volume and a fifth less and more, keeps all
// that it has with the level that plans give it, twice what a rigid one needs, and the drop that is kicked
// arrives whole. With a rigid one's alone some are torn. With LODEGRID_CI all places of 3 × 3
// pixels, levels from 1.2 times to three times a rigid drop's, which do as well, and the built-in display, where
// a rigid one's is enough.
func TestGuardsHold(t *testing.T) {
	full := os.Getenv("LODEGRID_CI") != ""
	corner := moving(t, "grid.cols=3", "grid.rows=3", "drive.most_lit=9", "drive.max_duty=6 %")
	timing, err := Solve(t.Context(), corner, ForLiquid(), UsualHop, 0)
	if err != nil {
		t.Fatal(err)
	}
	type display struct {
		grid   *grid.Grid
		timing Timing
		tears  bool // with a rigid drop's guard
		times  []float64
	}
	displays := []display{{corner, timing, true, []float64{1, ForLiquid().Guard}}}
	if full {
		demo, timing := demoCorner(t)
		displays = append(displays, display{demo, timing, false, displays[0].times}) // none is torn with the least
		displays[0].times = []float64{1, 1.2, 1.5, ForLiquid().Guard, 3}
	}
	for _, d := range displays {
		if err := d.timing.InTank(t.Context(), d.grid); err != nil {
			t.Fatal(err)
		}
		p, err := small(t.Context(), d.grid, d.timing)
		if err != nil {
			t.Fatal(err)
		}
		hold := d.timing.HoldLevel.Value
		for k, n := range d.times {
			guard := max(n/ForLiquid().Guard*d.timing.Guard.Value, hold)
			kicks, torn, late := 0, 0, 0
			for row := range 3 { // of the kicked pixel, in the middle column
				for side, to := range sidesOf {
					for beside, by := range sidesOf {
						from, kept := 3*(row-to.row)+1-to.col, 3*(row-by.row)+1-by.col
						if side == beside || row-to.row < 0 || row-to.row > 2 || row-by.row < 0 || row-by.row > 2 {
							continue
						}
						if !full && (by.name != "down" || side == right) { // where they are torn
							continue
						}
						for _, volume := range []float64{1 - unlike, 1, 1 + unlike} {
							b, err := player.NewTank(p.Grid(), partCells, 0)
							if err := errors.Join(err, b.Add(from/3, from%3, 1), b.Add(kept/3, kept%3, volume)); err != nil {
								t.Fatal(err)
							}
							p.Reset()
							for _, f := range [][4]float64{{hold, 0, hold, stand}, {0, 1, guard, d.timing.Kick[side].Value}, {0, hold, hold, d.timing.Settle + together}} {
								levels := make([]float64, 9)
								levels[from], levels[3*row+1], levels[kept] = d.timing.sign*f[0], d.timing.sign*f[1], d.timing.sign*f[2]
								if _, err := p.Push(t.Context(), scenes.Frame{Levels: levels, Duration: f[3]}); err != nil {
									t.Fatal(err)
								}
								if err := p.Move(0, f[3], b.Step); err != nil {
									t.Fatal(err)
								}
							}
							place, cell := make([]float64, 9), make([]float64, 9)
							b.Cover(place, cell)
							kicks++
							if math.Abs(cell[kept]-volume) > remnant {
								torn++
							} else if math.Abs(cell[3*row+1]-1) > remnant {
								late++
							}
						}
					}
				}
			}
			t.Logf("%s: a guard of %.2f, %.1f times a rigid drop's: of %d drops beside a kick %d are torn; %d kicked ones do not arrive", d.grid.Design.Name, guard, n, kicks, torn, late)
			if late > 0 || (torn > 0) != (k == 0 && d.tears) {
				t.Errorf("%s: with %.1f times a rigid drop's guard %d of %d are torn, %d late", d.grid.Design.Name, n, torn, kicks, late)
			}
		}
	}
}
