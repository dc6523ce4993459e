// Package stress makes scenes that load a given grid the hardest. They are computed
// from the grid's own field, so they differ from the generators of package scenes,
// which know nothing of it but its size.
package stress

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// WorstCrosstalk is the name of the scene that Crosstalk makes.
const WorstCrosstalk = "worst-crosstalk"

// Crosstalk is the pattern that puts the greatest axial field of all other pixels
// onto one pixel, exact for the sum of their fields: for as many seconds each, that
// pixel off, then on, then on while the others stand the other way round, which with
// a full bridge takes the most field away from it. Without a full bridge the third
// frame has on those that the pattern leaves off. A pattern that is dark throughout,
// as that of a single pixel, is left out. Where the firmware lights fewer pixels
// (drive.most_lit) those nearest stay on, which need not be the worst of so many. Coils in
// series are whole strings in all of it, the pixel with its own.
func Crosstalk(g *grid.Grid, step float64) (scenes.Scene, error) {
	if !(step > 0) || math.IsInf(step, 0) {
		return scenes.Scene{}, fmt.Errorf("scene %s: %g s per frame: must be positive and finite", WorstCrosstalk, step)
	}
	w := g.WorstAnywhere()
	d := g.Design.Grid
	victim := w.Row*d.Cols + w.Col
	from, to := g.Design.String(victim)
	s := scenes.Scene{Name: WorstCrosstalk, Rows: d.Rows, Cols: d.Cols}
	add := func(level func(v float64) float64, own float64) {
		f := scenes.Frame{Levels: make([]float64, len(w.Levels)), Duration: step}
		any := false
		for k, v := range w.Levels {
			if k < from || k >= to {
				f.Levels[k] = level(v)
				any = any || f.Levels[k] != 0
			}
		}
		g.Design.Light(f.Levels, victim, own)
		// No more than the firmware lights: those farthest off go dark.
		var on []int
		for k, v := range f.Levels {
			if v != 0 {
				on = append(on, k)
			}
		}
		away := func(k int) float64 {
			first, last := g.Design.String(k)
			return math.Hypot(float64(k/d.Cols-w.Row), float64(first%d.Cols+(last-first-1)/2-w.Col))
		}
		slices.SortStableFunc(on, func(a, b int) int { return cmp.Compare(away(a), away(b)) })
		most := g.Design.Drive.MostLit
		for _, k := range on[min(len(on), most-most%g.Design.Coils()):] {
			f.Levels[k] = 0
		}
		if any || own != 0 {
			s.Frames = append(s.Frames, f)
		}
	}
	reversed := false
	for _, v := range w.Levels {
		reversed = reversed || v < 0
	}
	same := func(v float64) float64 { return v }
	opposite := func(v float64) float64 {
		if reversed {
			return -v
		}
		return 1 - v
	}
	own := 1.0 // the sign that the pixel's own field and the bias magnets ask for
	if g.StateOf(own) != grid.Lit {
		own = -1
	}
	add(same, 0)
	add(same, own)
	add(opposite, own)
	if err := s.Validate(); err != nil {
		return scenes.Scene{}, err
	}
	return s, nil
}
