// Package elliptic computes complete elliptic integrals from the complementary
// parameter mc = 1 − m = 1 − k².
//
// The field near a current loop needs them where m is close to 1 and only mc is
// known well: mc is the ratio of two distances squared, while 1 − m would lose
// digits (K by seven of sixteen at mc = 1e-12). No function here forms 1 − mc.
//
// Definitions follow DLMF 19.2.8 and 19.2.11, https://dlmf.nist.gov/19.2 (equation
// numbers from memory). Beware that other libraries take m = k², or the modulus k.
package elliptic

import "math"

// agmTolerance ends an arithmetic-geometric iteration whose two means differ by
// less than this fraction: the next step then squares it, below rounding.
const agmTolerance = 1e-8

// KC returns the complete elliptic integral of the first kind at the
// complementary parameter mc = 1 − k²:
//
//	K = ∫ dθ / √(cos²θ + mc sin²θ),  θ = 0…π/2
//
// KC(0) is +Inf and KC(mc) is NaN for mc < 0. Values mc > 1 (a negative
// parameter m) are accepted.
func KC(mc float64) float64 {
	// Gauss's arithmetic-geometric mean, DLMF 19.8.5 (number from memory).
	switch {
	case mc < 0 || math.IsNaN(mc):
		return math.NaN()
	case mc == 0:
		return math.Inf(1)
	case math.IsInf(mc, 1):
		return 0
	}
	a, b := 1.0, math.Sqrt(mc)
	for math.Abs(a-b) > agmTolerance*a {
		a, b = (a+b)/2, math.Sqrt(a*b)
	}
	return math.Pi / (a + b)
}
