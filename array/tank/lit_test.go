package tank_test

import (
	"math"
	"os"
	"testing"
)

// All pixels lit and nothing moving: every drop stays whole within its pixel and comes to
// rest; the picture's halves, left and right, stay each other's mirror image.
func TestAllLit(t *testing.T) {
	sizes, seconds := []int{8, 12}, 10.0
	if os.Getenv("LODEGRID_CI") != "" {
		sizes, seconds = []int{8, 12, 16}, 60
	}
	for _, cells := range sizes {
		b := newBoard(t, 6, 5, 8, cells, 0.015)
		tk := b.tank(t, nil)
		r, pitch := b.grid.Drop().Diameter/2, b.grid.Design.Grid.Pitch
		var all []int
		for k := range 30 {
			at := b.grid.Center(k/6, k%6)
			drop(t, tk, at.X, at.Y, r)
			all = append(all, k)
		}
		full := tk.Volume() / 30
		st := run(t, tk, seconds, b.light(t, all...))
		in := func(k int) float64 {
			at := b.grid.Center(k/6, k%6)
			return tk.VolumeIn(at.X, at.Y, pitch/2) / full
		}
		least, halves := 1.0, 0.0
		for k := range 30 {
			least = min(least, in(k))
			halves = max(halves, math.Abs(in(k)-in(k/6*6+5-k%6)))
		}
		t.Logf("%d cells, %g s: least %.5f of a drop, halves differ by %.1g, speed %.2g m/s, mass %.1g", cells, seconds, least, halves, st.MaxSpeed, st.MassError)
		if least < 0.995 || halves > 1e-6 || st.MaxSpeed > 2e-5 || math.Abs(st.MassError) > 1e-12 {
			t.Errorf("%d cells: least %g of a drop, halves differ by %g, speed %g m/s, mass %g", cells, least, halves, st.MaxSpeed, st.MassError)
		}
	}
}
