package hold

import "lodegrid/array/grid"

// AllPlaces are all pixels that differ: with a grid that mirrors itself, those of its
// left half; all of them with gains or magnets of their own.
func AllPlaces(g *grid.Grid) [][2]int {
	d := g.Design.Grid
	cols := (d.Cols + 1) / 2
	if g.Gains != nil || g.Magnets != nil {
		cols = d.Cols
	}
	var list [][2]int
	for r := range d.Rows {
		for c := range cols {
			list = append(list, [2]int{r, c})
		}
	}
	return list
}
