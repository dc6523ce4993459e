package player

import (
	"lodegrid/array/design"
	"lodegrid/array/tank"
)

// How many cells per pitch are chosen, at least and at most: fewer hardly show a drop, and each
// doubling takes eight times as long. CellBound is the error that is asked for.
const (
	leastCells = 8
	mostCells  = 24
	CellBound  = 0.04
)

// CellsFor is how many cells per pitch a design's fluid is computed with where none are asked
// for: by the radius of its drops, the liquid between two of them side by side, unless they
// merge across it, and the gap at which they merge.
func CellsFor(d design.Design) int {
	return tank.CellsPerPitch(d.Grid.Pitch, narrowest(d), d.Fluid.MergeGap, CellBound, leastCells, mostCells)
}

// CellError is by how much speeds and times of a design's drops are off at most with so many
// cells per pitch; 1 where that is not told.
func CellError(d design.Design, cells int) float64 {
	return tank.CellError(narrowest(d) / d.Grid.Pitch * float64(cells))
}

// narrowest is the least width that the cells have to tell, m.
func narrowest(d design.Design) float64 {
	between, radius := d.Grid.Pitch-d.Fluid.DropDiameter, d.Fluid.DropDiameter/2
	if between > d.Fluid.MergeGap {
		return min(between, radius)
	}
	return radius
}
