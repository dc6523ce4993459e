package field

import (
	"gonum.org/v1/gonum/integrate/quad"
)

// A magnet magnetised along z is a sheet of current around its side, that is a
// stack of turns. From afar its closed form subtracts nearly equal numbers; a few
// Gauss–Legendre heights of the stack do not, and converge geometrically with the
// distance: the error of n heights falls as (s + √(s²−1))^(−2n), s the distance
// from the turn at mid height in half lengths.
type stackRule struct {
	nearest   float64   // least s the rule serves
	at, share []float64 // heights in half lengths, weights summing to 2
}

var stackRules = [...]stackRule{newStackRule(12, 6), newStackRule(4, 10)}

func newStackRule(nearest float64, n int) stackRule {
	r := stackRule{nearest: nearest, at: make([]float64, n), share: make([]float64, n)}
	quad.Legendre{}.FixedLocations(r.at, r.share, -1, 1)
	return r
}

// stackFor returns the cheapest rule for a point whose squared distance from the
// turn at mid height is d2 in a stack of half length half, or nil where the point
// is too near for any.
func stackFor(d2, half float64) *stackRule {
	for i := range stackRules {
		r := &stackRules[i]
		if d2 > r.nearest*r.nearest*half*half {
			return r
		}
	}
	return nil
}
