package grid_test

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The highest flux density in the steel of a display a little off, by the current alone,
// against its steel solved anew, whose permeability changes with it: within three tenths.
func TestNearSteelGoesByTheCurrent(t *testing.T) {
	steel := []string{"iron.model=fem", "iron.radius=4 mm", "iron.thickness=0.5 mm", "iron.gap=0 mm", "grid.rows=1", "grid.cols=1"}
	for name, more := range map[string][]string{
		"alone":       nil,
		"with magnet": {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=3 mm", "magnet.depth=0.6 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			g := trial.Build(t, grid.New, 4, append(steel, more...)...)
			was := g.Pixel.Iron.CoilSolution.Peak
			whole := trial.Build(t, grid.New, 4, append(append(steel, more...), "supply.voltage=12.6 V")...)
			n, err := g.Near(t.Context(), whole.Design)
			if err != nil {
				t.Fatal(err)
			}
			moved, told := whole.Pixel.Iron.CoilSolution.Peak-was, n.Pixel.Iron.CoilSolution.Peak-was
			if moved == 0 || math.Abs(told-moved) > 0.3*math.Abs(moved) {
				t.Errorf("%g T moves by %g T, told to by %g T", was, moved, told)
			}
		})
	}
}
