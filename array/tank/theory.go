package tank

import (
	"fmt"
	"math"
)

// DragTime is the time in which the panes' drag takes a motion down to 1/e, s:
//
//	ρb²/12η
func (p Params) DragTime() float64 {
	return p.Density * p.Gap * p.Gap / (12 * p.Viscosity)
}

// SinkSpeed is the speed at which a round drop far from the walls ends up falling
// with no field, m/s, positive when it goes with gravity:
//
//	½ Δρ g b²/12η
//
// The half is the liquid around it flowing back, at equal viscosities: the drop is
// to the slow flow between panes what a uniformly polarised cylinder is to its
// field (P. G. Saffman & G. I. Taylor, Proc. R. Soc. A 245 (1958) 312-329, § on
// bubbles, from memory). Fast drops are slower: they widen across their path.
func (p Params) SinkSpeed() float64 {
	return 0.5 * p.DensityDifference * math.Hypot(p.GravityX, p.GravityY) * p.Gap * p.Gap / (12 * p.Viscosity)
}

// SinkDistance is how far such a drop has fallen s seconds after it was let go at
// rest, m, while it is slow enough to stay round:
//
//	U(s − τ(1 − e^(−s/τ))),   U the sink speed, τ the drag time
func (p Params) SinkDistance(s float64) float64 {
	tau := p.DragTime()
	return p.SinkSpeed() * (s + tau*math.Expm1(-s/tau))
}

// HoldRadius is the greatest distance from a pixel's axis, up to limit metres, at
// which the pixel still carries the fluid's weight: where
//
//	|dΠ/dr| ≥ |Δρ| g.
//
// slope is dΠ/dr in Pa/m at r metres; weight is |Δρ|g in N/m³. The error tells of a
// bad limit or weight; 0 means the pixel carries it nowhere. The slope is looked at
// in 400 places, so a stretch narrower than limit/400 can be missed.
func HoldRadius(slope func(r float64) float64, weight, limit float64) (float64, error) {
	if !(limit > 0) || math.IsInf(limit, 0) {
		return 0, fmt.Errorf("tank: hold radius: limit of %g m: must be positive and finite", limit)
	}
	if !(weight >= 0) || math.IsInf(weight, 0) {
		return 0, fmt.Errorf("tank: hold radius: weight of %g N/m³: must be finite and not negative", weight)
	}
	holds := func(r float64) bool { return math.Abs(slope(r)) >= weight }
	const steps = 400
	for k := steps; k >= 0; k-- {
		r := limit * float64(k) / steps
		if !holds(r) {
			continue
		}
		if k == steps {
			return limit, nil
		}
		lo, hi := r, limit*float64(k+1)/steps
		for range 60 {
			if mid := 0.5 * (lo + hi); holds(mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo, nil
	}
	return 0, nil
}
