// Package root narrows down where a function of one variable changes its sign, or a
// condition of one variable its truth, between two ends that are known to differ.
package root

import (
	"context"
	"fmt"
	"math"
)

// Find returns ends no farther apart than tolerance, within low … high, between which f
// changes its sign as it does from low to high: f(left) has the sign of f(low), f(right)
// that of f(high). A place where f is 0 is returned as both. f may be infinite.
//
// It is the method "interpolate, truncate, project" (I. F. D. Oliveira, R. H. C. Takahashi,
// ACM Trans. Math. Softw. 47 (2020) 5; their κ₁ = 0.2/(b − a), κ₂ = 2, n₀ = 1, all from
// memory): never more than one evaluation above bisection, and far fewer where f is
// smooth. It fails with f, with the context, when f is not a number, and for ends that do
// not differ in sign.
func Find(ctx context.Context, f func(x float64) (float64, error), low, high, tolerance float64) (left, right float64, err error) {
	at := func(x float64) (float64, error) {
		if err := ctx.Err(); err != nil {
			return 0, fmt.Errorf("looking for a root between %g and %g: %w", low, high, err)
		}
		v, err := f(x)
		if err == nil && math.IsNaN(v) {
			err = fmt.Errorf("looking for a root between %g and %g: not a number at %g", low, high, x)
		}
		return v, err
	}
	if !(low <= high) || math.IsInf(high-low, 0) || !(tolerance >= 0) {
		return low, high, fmt.Errorf("looking for a root between %g and %g to within %g: finite ends in their order and a tolerance of at least 0 are needed", low, high, tolerance)
	}
	a, b := low, high
	fa, err := at(a)
	if err != nil {
		return a, b, err
	}
	fb, err := at(b)
	switch {
	case err != nil:
		return a, b, err
	case fa == 0:
		return a, a, nil
	case fb == 0:
		return b, b, nil
	case (fa > 0) == (fb > 0):
		return a, b, fmt.Errorf("looking for a root between %g and %g: %g and %g there have one sign", low, high, fa, fb)
	}
	sign := 1.0 // of f as it rises
	if fa > 0 {
		sign = -1
	}
	// Half the tolerance each way, and no less than neighbouring numbers.
	half := max(tolerance/2, math.Max(math.Abs(a), math.Abs(b))*0x1p-53)
	kappa := 0.2 / (b - a)
	slack := math.Ceil(math.Log2((b-a)/(2*half))) + 1
	for j := 0.0; b-a > tolerance; j++ {
		middle := a + (b-a)/2
		if middle <= a || middle >= b {
			break // neighbouring numbers
		}
		x := middle
		if straight := a + (b-a)*(fa/(fa-fb)); !math.IsNaN(straight) && !math.IsInf(fa, 0) && !math.IsInf(fb, 0) {
			// Interpolate, and step towards the middle by a little.
			toward := math.Copysign(1, middle-straight)
			if d := kappa * (b - a) * (b - a); d <= math.Abs(middle-straight) {
				x = straight + toward*d
			}
			// No farther from the middle than leaves time to bisect.
			if room := half*(1-1e-9)*math.Exp2(slack-j) - (b-a)/2; math.Abs(x-middle) > room {
				x = middle - toward*max(room, 0)
			}
		}
		if x <= a || x >= b {
			x = middle
		}
		fx, err := at(x)
		if err != nil {
			return a, b, err
		}
		switch v := sign * fx; {
		case v > 0:
			b, fb = x, fx
		case v < 0:
			a, fa = x, fx
		default:
			return x, x, nil
		}
	}
	return a, b, nil
}

// Edge returns places no farther apart than tolerance between which a condition changes
// that holds at in and not at out, by bisection; in may lie on either side of out. With a
// tolerance of 0 they are neighbouring numbers. The ends are not tried.
func Edge(ctx context.Context, holds func(x float64) (bool, error), in, out, tolerance float64) (lastIn, firstOut float64, err error) {
	for math.Abs(out-in) > tolerance {
		if err := ctx.Err(); err != nil {
			return in, out, fmt.Errorf("looking for an edge between %g and %g: %w", in, out, err)
		}
		middle := in + (out-in)/2
		if middle == in || middle == out {
			break
		}
		ok, err := holds(middle)
		if err != nil {
			return in, out, err
		}
		if ok {
			in = middle
		} else {
			out = middle
		}
	}
	return in, out, nil
}

// Boundary is Edge for a condition that is quickly told and cannot fail.
func Boundary(holds func(x float64) bool, in, out, tolerance float64) (lastIn, firstOut float64) {
	lastIn, firstOut, _ = Edge(context.Background(), func(x float64) (bool, error) { return holds(x), nil }, in, out, tolerance)
	return lastIn, firstOut
}
