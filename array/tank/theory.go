package tank

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// DragTime is the time in which the panes' drag takes a drop's motion down to 1/e, s: as
// much of the other liquid moves with it, so it is that of the mean viscosity,
//
//	ρb²/12η
func (p Params) DragTime() float64 {
	eta := p.Viscosity
	if p.OuterViscosity > 0 {
		eta = 0.5 * (eta + p.OuterViscosity)
	}
	return p.Density * p.Gap * p.Gap / (12 * eta)
}

// SinkSpeed is the speed at which a round drop of the given radius, m, far from the
// walls ends up falling with no field, m/s, positive when it goes with gravity. For
// liquids of one viscosity it is
//
//	Δρ g b²/12η · (½ − I₁(mR)K₁(mR)),   m = √12/b
//
// The half is the liquid around it flowing back: to the slow flow between panes the
// drop is what a uniformly polarised cylinder is to its field. The Bessel functions
// are the shear layer along its edge, about a third of the gap wide, and make the
// least drop stand still. Derived from the model's slow form −∇p + η∇²u − 12ηu/b² +
// cΔρ g = 0, for two viscosities as follows. With the angle from the force, the speed away
// from the middle is A(r) cos θ and that along the circle −(rA)' sin θ, where
//
//	A = α + βR I₁(mr)/rI₁(mR) inside, γR²/r² + δR K₁(mr)/rK₁(mR) outside,
//
// and p = (Δρ g − ηm²α) r cos θ inside, ηm²γR²/r · cos θ outside, each with its own η.
// A, (rA)', the shear stress η(−A/r − (rA)” + (rA)'/r) and the stress −p + 2ηA' are
// continuous at R; the drop moves at A(R). Fast drops are slower: they widen across their
// path. Zero for a radius that is not positive.
func (p Params) SinkSpeed(radius float64) float64 {
	if !(radius > 0) {
		return 0
	}
	inner, outer := p.Viscosity, p.OuterViscosity
	if outer == 0 {
		outer = inner
	}
	x := math.Sqrt(12) / p.Gap * radius
	i, k := besselRatios(x)
	x2, e := x*x, outer/inner
	m := mat.NewDense(4, 4, []float64{
		1, 1, -1, -1,
		1, i - 1, 1, k + 1,
		0, 2*i - 4 - x2, 4 * e, e * (x2 + 4 + 2*k),
		x2, 2 * (i - 2), e * (x2 + 4), 2 * e * (k + 2),
	})
	var s mat.VecDense
	if err := s.SolveVec(m, mat.NewVecDense(4, []float64{0, 0, 0, 1})); err != nil {
		return 0 // a drop too small for it to move
	}
	force := p.DensityDifference * math.Hypot(p.GravityX, p.GravityY) * radius * radius / inner
	return force * (s.AtVec(0) + s.AtVec(1))
}

// besselRatios is xI₀(x)/I₁(x) and xK₀(x)/K₁(x), x > 0, from Iₙ(x) = (1/π)∫₀^π e^(x cos θ)
// cos nθ dθ and Kₙ(x) = ∫₀^∞ e^(−x cosh t) cosh nt dt (NIST DLMF 10.32.3 and 10.32.9, from
// memory), scaled by e^(±x); the trapezoidal rule is good to rounding on both.
func besselRatios(x float64) (i, k float64) {
	if x > 1e3 { // to 1e-9: DLMF 10.40.1 and 10.40.2, from memory
		return x + 0.5 + 0.375/x, x - 0.5 + 0.375/x
	}
	// The integrand's peak is 1/√x wide.
	n := 32 + 8*int(math.Sqrt(x))
	var i0, i1 float64
	for k := 0; k <= n; k++ {
		th := math.Pi * float64(k) / float64(n)
		w := 1.0
		if k == 0 || k == n {
			w = 0.5
		}
		s := math.Sin(th / 2)
		w *= math.Exp(-2 * x * s * s)
		i0, i1 = i0+w, i1+w*math.Cos(th)
	}
	const h = 0.01
	k0, k1 := 0.5, 0.5
	for t := h; ; t += h {
		s := math.Sinh(t / 2)
		e := 2 * x * s * s
		if e > 45 {
			break
		}
		k0, k1 = k0+math.Exp(-e), k1+math.Exp(-e)*math.Cosh(t)
	}
	return x * i0 / i1, x * k0 / k1
}
