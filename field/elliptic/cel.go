package elliptic

import "math"

// maxSteps bounds Cel's loop. Twelve steps serve any kc from 1e-300 to 1e300; the
// bound only ends a loop that overflow has spoilt.
const maxSteps = 40

// Cel returns Bulirsch's general complete elliptic integral
//
//	cel(kc, p, a, b) = ∫ (a cos²θ + b sin²θ) / [(cos²θ + p sin²θ) √(cos²θ + kc² sin²θ)] dθ
//
// over θ = 0…π/2, where kc is the complementary modulus, kc² = mc. For p < 0 it
// is the Cauchy principal value. The sign of kc does not matter. At kc = 0, or
// at p = 0, the integral diverges unless b = 0: then ±Inf comes back with the
// sign of b, and NaN where a limit does not exist.
//
// When a and b have opposite signs the terms of the integrand cancel, and so do
// the result's digits as kc² → 1.
func Cel(kc, p, a, b float64) float64 {
	// R. Bulirsch, "Numerical calculation of elliptic integrals and elliptic
	// functions III", Numer. Math. 13 (1969) 305; definition DLMF 19.2.11. The
	// procedure is from memory, its results are checked against quadrature.
	if math.IsNaN(kc) || math.IsNaN(p) || math.IsNaN(a) || math.IsNaN(b) {
		return math.NaN()
	}
	kc = math.Abs(kc)
	if kc == 0 {
		return celDegenerate(p, a, b)
	}
	if math.IsInf(kc, 1) {
		return 0
	}
	if p == 0 {
		if b == 0 {
			return a * KC(kc*kc)
		}
		return math.Inf(sign(b))
	}

	e, mean := kc, 1.0
	if p > 0 {
		p = math.Sqrt(p)
		b /= p
	} else {
		// Turn the principal value into a proper integral with p > 0. With
		// p < 0 neither difference below cancels.
		f := kc*kc - p
		g := 1 - p
		q := (1 - kc) * (1 + kc) * (b - a*p)
		p = math.Sqrt(f / g)
		a = (a - b) / g
		b = a*p - q/(g*g*p)
	}
	for range maxSteps {
		f := a
		a += b / p
		g := e / p
		b = 2 * (b + f*g)
		p += g
		g = mean
		mean += kc
		if math.Abs(g-kc) <= agmTolerance*g {
			break
		}
		kc = 2 * math.Sqrt(e)
		e = kc * mean
	}
	return math.Pi / 2 * (b + a*mean) / (mean * (mean + p))
}

// celDegenerate is Cel at kc = 0, where the integral is elementary for b = 0:
// a ∫ dx / (1 + (p−1) x²) over x = 0…1.
func celDegenerate(p, a, b float64) float64 {
	switch {
	case p == 0 && b == 0 && a == 0:
		return 0
	case p == 0:
		if b == 0 {
			return math.Inf(sign(a))
		}
		return math.Inf(sign(b))
	case b != 0:
		// Near θ = π/2 the integrand is b/(p cosθ).
		if p < 0 {
			return math.Inf(-sign(b))
		}
		return math.Inf(sign(b))
	case p == 1:
		return a
	case p > 1:
		s := math.Sqrt(p - 1)
		return a * math.Atan(s) / s
	case p > 0:
		s := math.Sqrt(1 - p)
		return a * math.Atanh(s) / s
	default: // principal value: artanh(1/s)/s with s > 1
		s := math.Sqrt(1 - p)
		return a * math.Atanh(1/s) / s
	}
}

func sign(x float64) int {
	if x < 0 {
		return -1
	}
	return 1
}
