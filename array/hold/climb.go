package hold

import (
	"math"

	"lodegrid/array/grid"
)

// stencil is how many samples to each side the slope and the interpolation reach.
const stencil = 4

// climb walks one pitch from the peak at sample (i, j) in the direction (di, dj) and
// returns the steepest fall of h.mean met, per sample spacing.
//
// The way leads through the peak's own place between the samples to the side, reached
// by the polynomial through six of them, and its slope is the eighth-order central
// difference, its error (k·h)⁸/630 for a wave number k; near the raster's edge the
// fourth-order one, (k·h)⁴/30. Between the steepest samples stands the top of the
// parabola through three.
func (h *Meter) climb(i, j, di, dj int) float64 {
	from, to := h.trace(i, j, di, dj)
	at := func(n int) float64 { return h.path[n+stencil] }
	steepest := 0.0
	var two, one float64 // the slopes before
	for n := range h.grid.Raster.Samples {
		slope := (8*(at(n-1)-at(n+1)) - (at(n-2) - at(n+2))) / 12
		switch {
		case n-4 >= from && n+4 <= to:
			slope = (672*(at(n-1)-at(n+1)) - 168*(at(n-2)-at(n+2)) + 32*(at(n-3)-at(n+3)) - 3*(at(n-4)-at(n+4))) / 840
		case n-2 < from || n+2 > to:
			return steepest
		}
		steepest = max(steepest, slope)
		if n > 1 && one > 0 && one >= two && one >= slope && two+slope < 2*one {
			steepest = max(steepest, one+(slope-two)*(slope-two)/(8*(2*one-two-slope)))
		}
		two, one = one, slope
	}
	return steepest
}

// trace fills h.path with the means at 4 samples before the peak (i, j) to 4 samples
// beyond one pitch in the direction (di, dj), and tells the first and last of them,
// counted from the peak, that lie on the raster.
func (h *Meter) trace(i, j, di, dj int) (from, to int) {
	r := h.grid.Raster
	inside := func(n, m int) bool {
		a, b := i+n*di+m*dj, j+n*dj+m*di
		return a >= 0 && a < r.Rows && b >= 0 && b < r.Cols
	}
	at := func(n, m int) float64 { return h.mean[(i+n*di+m*dj)*r.Cols+j+n*dj+m*di] }
	weights := [6]float64{1}
	first, count := 0, 1
	if inside(0, -3) && inside(0, 3) {
		left, mid, right := at(0, -1), at(0, 0), at(0, 1)
		if bend := left + right - 2*mid; bend < 0 {
			shift := min(max((left-right)/(2*bend), -0.5), 0.5)
			first, count = -2, 6
			if shift < 0 {
				first = -3
			}
			weights = grid.Lagrange(shift - float64(first))
		}
	}
	from, to = math.MaxInt, math.MinInt
	for n := -stencil; n < r.Samples+stencil; n++ {
		if !inside(n, 0) {
			continue
		}
		from, to = min(from, n), max(to, n)
		sum := 0.0
		for m, w := range weights[:count] {
			sum += w * at(n, first+m)
		}
		h.path[n+stencil] = sum
	}
	return from, to
}
