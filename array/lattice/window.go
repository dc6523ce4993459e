package lattice

import "math"

// window returns the smallest radius in pitches, by the larger of the row and the
// column distance, beyond which the kernel can be left out with no sample of
// component c off by more than relErr·max|k_c| whatever the levels between -1
// and 1, and the bounds that hold for it.
//
// The error of a sample is at most the sum of |k| over the pixels outside its
// window, and the levels sign(k) reach it; the bound is the largest such sum over
// all samples.
func (t *table) window(relErr float64) (radius int, bound []float64) {
	allowed := t.peak()
	for c := range allowed {
		allowed[c] *= relErr
	}
	lo, hi := 0, max(t.rowReach, t.colReach) // hi is always enough
	for lo < hi {
		mid := (lo + hi) / 2
		fits := true
		for c, b := range t.tails(mid) {
			fits = fits && b <= allowed[c]
		}
		if fits {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo, t.tails(lo)
}

// tails returns for each component the largest sum of |k| over the pixels farther
// than radius from a sample.
func (t *table) tails(radius int) []float64 {
	var (
		s    = t.shape
		out  = make([]float64, s.Components)
		h, w = t.height(), t.width()
		sums = make([]float64, (h+1)*(w+1)) // sums[r][c] of |k| above and left
	)
	if radius >= t.rowReach && radius >= t.colReach {
		return out
	}
	done := make([]bool, t.keep.count)
	for plane, kept := range t.keep.at {
		if done[kept] {
			continue // a mirror image has the same largest sum
		}
		done[kept] = true
		values := t.kept(kept)
		for r := range h {
			line := 0.0
			for i := range w {
				line += math.Abs(values[r*w+i])
				sums[(r+1)*(w+1)+i+1] = sums[r*(w+1)+i+1] + line
			}
		}
		box := func(top, bottom, left, right int) float64 { // offsets, inclusive
			if top > bottom || left > right {
				return 0
			}
			top, bottom, left, right = top+t.rowReach, bottom+t.rowReach+1, left+t.colReach, right+t.colReach+1
			return sums[bottom*(w+1)+right] - sums[top*(w+1)+right] - sums[bottom*(w+1)+left] + sums[top*(w+1)+left]
		}
		// Rounding of the running sums: at most one unit per addition along a
		// row and a column, at four corners of two boxes.
		slack := 8 * float64(h+w) * 0x1p-53 * sums[len(sums)-1]
		c, _, _ := s.phase(plane)
		for I := range s.blockRows() {
			top, bottom := I-s.Margin-(s.Rows-1), I-s.Margin
			for J := range s.blockCols() {
				left, right := J-s.Margin-(s.Cols-1), J-s.Margin
				tail := box(top, bottom, left, right) -
					box(max(top, -radius), min(bottom, radius), max(left, -radius), min(right, radius))
				out[c] = max(out[c], tail+slack)
			}
		}
	}
	return out
}
