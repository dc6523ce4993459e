package studies

import (
	"context"
	"fmt"
	"math"
)

// largest returns the largest argument in (0, top] at which an excess of nothing is
// left: excess returns the logarithm of how many times over its limit something is at
// an argument (−Inf for nothing at all, +Inf for beyond all bounds). It grows with the
// argument, and about in proportion to the argument's logarithm, as rises of
// temperature, powers and forces do; so the next trial is where the straight line
// through the last two meets zero, a little to the side that is still open, and a
// bisection where that does not close in. The search begins at first. The answer is
// within the tolerance, on the safe side; top when even that leaves none, 0 when
// nothing down to the tolerance does.
func largest(ctx context.Context, excess func(float64) (float64, error), first, top, tolerance float64) (float64, error) {
	low, high := 0.0, math.Inf(1) // no excess at low, excess at high
	x := min(first, top)
	slope := 1.3 // of the logarithms; about right for heat until two trials are known
	lastX, lastF := 0.0, math.NaN()
	for n := 0; n < 100; n++ {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		f, err := excess(x)
		if err != nil {
			return 0, err
		}
		if f > 0 {
			high = x
		} else {
			low = x
		}
		if low == top || high-low <= tolerance || high <= tolerance {
			return low, nil
		}
		if s := (f - lastF) / math.Log(x/lastX); s > 0.1 && s < 10 { // false for NaN
			slope = s
		}
		lastX, lastF = x, f
		next := x * math.Exp(-f/slope)
		end := min(high, top)
		switch {
		case math.IsNaN(next), next <= low, next >= high, n%5 == 4:
			next = (low + end) / 2
		case next-low < end-next: // leave a little, so that the farther end comes in
			next = min(next+tolerance/2, (low+end)/2)
		default:
			next = max(next-tolerance/2, (low+end)/2)
		}
		if math.IsInf(high, 1) && next > top*0.98 {
			next = top
		}
		x = next
	}
	return 0, fmt.Errorf("the search for a limit between %g and %g does not close in", low, high)
}

// times is the logarithm of how many times over its limit a value is; +Inf for a limit
// that leaves nothing.
func times(value, limit float64) float64 {
	switch {
	case value <= 0 && limit >= 0:
		return math.Inf(-1)
	case limit <= 0:
		return math.Inf(1)
	}
	return math.Log(value / limit)
}
