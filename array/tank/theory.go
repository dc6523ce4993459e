package tank

import "math"

// DragTime is the time in which the panes' drag takes a motion down to 1/e, s:
//
//	ρb²/12η
func (p Params) DragTime() float64 {
	return p.Density * p.Gap * p.Gap / (12 * p.Viscosity)
}

// SinkSpeed is the speed at which a round drop of the given radius, m, far from the
// walls ends up falling with no field, m/s, positive when it goes with gravity:
//
//	Δρ g b²/12η · (½ − I₁(mR)K₁(mR)),   m = √12/b
//
// The half is the liquid around it flowing back: to the slow flow between panes the
// drop is what a uniformly polarised cylinder is to its field. The Bessel functions
// are the shear layer along its edge, about a third of the gap wide, and make the
// least drop stand still. Derived from the model's slow form −∇p + η∇²u − 12ηu/b² +
// cΔρ g = 0: in wavenumbers the drop's mean speed is Δρ g/η ∫ J₁²(kR)/(k(k²+m²)) dk,
// which is (½ − I₁K₁)/m² (compared with scipy.integrate.quad). Fast
// drops are slower: they widen across their path. Zero for a radius that is not
// positive.
func (p Params) SinkSpeed(radius float64) float64 {
	if !(radius > 0) {
		return 0
	}
	open := p.DensityDifference * math.Hypot(p.GravityX, p.GravityY) * p.Gap * p.Gap / (12 * p.Viscosity)
	return open * (0.5 - besselProduct(math.Sqrt(12)/p.Gap*radius))
}

// besselProduct is I₁(x)K₁(x), x > 0, from I₁(x) = (1/π)∫₀^π e^(x cos θ) cos θ dθ and
// K₁(x) = ∫₀^∞ e^(−x cosh t) cosh t dt (NIST DLMF 10.32.3 and 10.32.9, from memory),
// scaled by e^(±x); the trapezoidal rule is good to rounding on both.
func besselProduct(x float64) float64 {
	if x > 1e3 {
		return 0.5 / x * (1 - 3/(8*x*x)) // to 1e-12: DLMF 10.40.6, from memory
	}
	// The integrand's peak is 1/√x wide.
	n := 32 + 8*int(math.Sqrt(x))
	i1 := 0.0
	for k := 0; k <= n; k++ {
		th := math.Pi * float64(k) / float64(n)
		w := 1.0
		if k == 0 || k == n {
			w = 0.5
		}
		s := math.Sin(th / 2)
		i1 += w * math.Exp(-2*x*s*s) * math.Cos(th)
	}
	i1 /= float64(n)
	const h = 0.01
	k1 := 0.5
	for t := h; ; t += h {
		s := math.Sinh(t / 2)
		e := 2 * x * s * s
		if e > 45 {
			break
		}
		k1 += math.Exp(-e) * math.Cosh(t)
	}
	return i1 * k1 * h
}
