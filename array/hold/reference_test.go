package hold

import "lodegrid/array/grid"

// AllPlaces are all pixels that differ: with a grid that mirrors itself, those of its
// left half.
func AllPlaces(g *grid.Grid) [][2]int {
	d := g.Design.Grid
	cols := (d.Cols + 1) / 2
	var list [][2]int
	for r := range d.Rows {
		for c := range cols {
			list = append(list, [2]int{r, c})
		}
	}
	return list
}
