package tank

import (
	"math"

	"lodegrid/array/extent"
)

// CellError is by how much speeds and times of drops are off at most where the narrowest that
// matters, a drop's radius or the liquid between two drops that pass, is so many cells wide:
// as measured of drops that sink, alone and in rows (TestCellError); 1, so not told, below two
// cells, where liquid that has to pass between drops may go several times too fast.
func CellError(narrowest float64) float64 {
	if !(narrowest >= 2) {
		return 1
	}
	return cellFloor + cellSlope/(narrowest*narrowest)
}

const cellFloor, cellSlope = 0.002, 0.485

// toldMerge is the merge gap, in cells, from which on it is met to a per cent; see
// LeastMergeCells for what is good enough to compute with.
const toldMerge = 0.2

// CellsPerPitch is the least number of cells per pitch, with no prime factor above 5, which
// fast transforms like, whose CellError is within a bound and that tell drops apart to the
// merge gap; from least to most. Lengths in metres.
func CellsPerPitch(pitch, narrowest, mergeGap, within float64, least, most int) int {
	need := max(math.Sqrt(cellSlope/(within-cellFloor)), 2) * pitch / narrowest
	need = max(need, toldMerge*pitch/mergeGap)
	return min(extent.Smooth(max(least, int(math.Ceil(min(need*(1-1e-9), float64(most)))))), most)
}
