package escape

import "math"

// Ways are how many tracks fit side by side past what stands in them, of all layers
// together: through the channel between two rows, through that between two columns, and
// over a crossing from one corner to the other, between the two pixels that face each
// other there: the upper left and the lower right one, or the lower left and the upper right.
type Ways struct{ Row, Col, Falling, Rising int }

func (w Ways) plus(v Ways, layers int) Ways {
	return Ways{w.Row + layers*v.Row, w.Col + layers*v.Col, w.Falling + layers*v.Falling, w.Rising + layers*v.Rising}
}

// Out is how many of the wires of rows × cols pixels, each with so many, can be brought to
// the edge.
func Out(rows, cols, wires int, w Ways) int {
	all := wires * rows * cols
	out := all
	// What n diagonal steps in place of a corner cost: n ways of either kind less, and the
	// pixels beyond them.
	cut := func(diagonal, n int) int { return n*(diagonal-w.Row-w.Col) + wires*n*(n-1)/2 }
	for r := 1; r <= rows-2; r++ {
		for c := 1; c <= cols-2; c++ {
			straight := all - wires*r*c + 2*(r+1)*w.Row + 2*(c+1)*w.Col
			// Of each corner's best alone; where both do not fit side by side, of all that do.
			most := min(r, c) + 1
			best := math.MaxInt
			falling := 0
			for f := 1; f <= most; f++ {
				if cut(w.Falling, f) < cut(w.Falling, falling) {
					falling = f
				}
			}
			for n := range most + 1 {
				best = min(best, 2*cut(w.Rising, n)+2*cut(w.Falling, min(falling, most-n)))
			}
			out = min(out, straight+best)
		}
	}
	return max(out, 0)
}

// Tracks is the least number of tracks between any two neighbours with which all wires come
// out, where the crossings have room for all that turn.
func Tracks(rows, cols, wires int) int {
	r, c := rows-2, cols-2
	if r < 1 || c < 1 {
		return 0
	}
	// Of all blocks the largest asks for the most.
	return int(math.Ceil(float64(wires*r*c)/float64(2*(r+c+2)) - 1e-9))
}
