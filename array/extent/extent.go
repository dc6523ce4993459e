// Package extent is how large a grid of pixels can be: one bound for designs, what is
// computed of them, and the scenes they play. What a grid of that size costs in memory
// and time is bounded where it is spent.
package extent

import "fmt"

// MaxSide is the most pixels along one side of a grid.
const MaxSide = 512

// Check reports a grid that is too small or too large.
func Check(rows, cols int) error {
	if min(rows, cols) < 1 || max(rows, cols) > MaxSide {
		return fmt.Errorf("a grid of %d rows × %d columns: 1 to %d pixels along a side are possible", rows, cols, MaxSide)
	}
	return nil
}

// Place names a pixel by its row and column for people, who count from 1: row 1 at the top,
// column 1 at the left. The program counts both from 0.
func Place(row, col int) string { return fmt.Sprintf("row %d, column %d", row+1, col+1) }

// PlaceOf is Place of a pixel by its number, from 0, row by row.
func PlaceOf(pixel, cols int) string { return Place(pixel/cols, pixel%cols) }

// Smooth returns the least number from n on with no prime factor above 5: fast transforms are
// quick for it.
func Smooth(n int) int {
	for ; ; n++ {
		m := n
		for _, p := range []int{2, 3, 5} {
			for m%p == 0 {
				m /= p
			}
		}
		if m == 1 {
			return n
		}
	}
}
