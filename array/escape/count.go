package escape

import "math"

// Out is how many of the wires of rows × cols pixels, each with so many, can be brought to
// the edge when so many tracks fit between two pixels.
func Out(rows, cols, wires, tracks int) int {
	all := wires * rows * cols
	out := all
	for _, r := range []int{1, rows - 2} {
		for _, c := range []int{1, cols - 2} {
			if r >= 1 && r <= rows-2 && c >= 1 && c <= cols-2 {
				out = min(out, all-wires*r*c+tracks*2*(r+c+2))
			}
		}
	}
	return out
}

// Tracks is the least number of tracks between two pixels with which all wires come out.
func Tracks(rows, cols, wires int) int {
	r, c := rows-2, cols-2
	if r < 1 || c < 1 {
		return 0
	}
	// Of all blocks the largest asks for the most.
	return int(math.Ceil(float64(wires*r*c)/float64(2*(r+c+2)) - 1e-9))
}
