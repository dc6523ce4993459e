package elliptic

import "math"

// EC returns the complete elliptic integral of the second kind at the
// complementary parameter mc = 1 − k²:
//
//	E = ∫ √(cos²θ + mc sin²θ) dθ,  θ = 0…π/2
//
// EC(0) is 1 and EC(mc) is NaN for mc < 0. Values mc > 1 are accepted.
func EC(mc float64) float64 {
	if mc < 0 || math.IsNaN(mc) {
		return math.NaN()
	}
	if math.IsInf(mc, 1) {
		return math.Inf(1)
	}
	return Cel(math.Sqrt(mc), 1, 1, mc)
}

// Pi returns the complete elliptic integral of the third kind with
// characteristic n at the complementary parameter mc = 1 − k²:
//
//	Π = ∫ dθ / [(1 − n sin²θ) √(cos²θ + mc sin²θ)],  θ = 0…π/2
//
// For n > 1 it is the Cauchy principal value; Pi(1, mc) is +Inf, and NaN comes
// back for mc < 0. The sign of n is that of DLMF 19.2.7; GSL uses the opposite.
func Pi(n, mc float64) float64 {
	if mc < 0 || math.IsNaN(mc) || math.IsNaN(n) {
		return math.NaN()
	}
	if n == 1 {
		return math.Inf(1)
	}
	return Cel(math.Sqrt(mc), 1-n, 1, 1)
}
