package drive

import "math"

// basis writes e^(−λs), for any rate λ between two ends, as a sum over a few fixed
// rates λ_j,
//
//	e^(−λs) ≈ Σ_j ℓ_j(λ) e^(−λ_j s), 0 ≤ s ≤ span
//
// interpolating in λ at Chebyshev nodes. Warm coils have other rates than cold
// ones, so the currents of thousands of pixels would be thousands of different
// exponentials; in the basis their sum is a handful, and a switching event is an
// addition to a handful of numbers.
type basis struct {
	n       int
	rate    [maxNodes]float64
	weight  [maxNodes]float64 // barycentric
	error   float64           // bound on the error of one exponential
	decay   [maxNodes]float64 // scratch: e^(−λ_j·dt) …
	decayed [maxNodes]float64 // … and 1 − it
}

const maxNodes = 16

// basisError is the error of one exponential that the number of nodes is chosen
// for; only rates a factor of several apart miss it.
const basisError = 1e-10

func (b *basis) set(low, high, span float64) {
	if high-low <= 1e-14*high {
		b.n, b.error = 1, 0
		b.rate[0], b.weight[0] = low, 1
		return
	}
	half := (high - low) / 2
	for b.n = 2; ; b.n++ {
		b.error = interpolationError(b.n, low, half, span)
		if b.error <= basisError || b.n == maxNodes {
			break
		}
	}
	for j := range b.n {
		angle := math.Pi * float64(2*j+1) / float64(2*b.n)
		b.rate[j] = low + half*(1+math.Cos(angle))
		b.weight[j] = math.Sin(angle)
		if j%2 == 1 {
			b.weight[j] = -b.weight[j]
		}
	}
}

// interpolationError bounds the error of interpolating e^(−λs) in λ at n Chebyshev
// nodes over low … low+2·half: |f⁽ⁿ⁾| (half)ⁿ / (2ⁿ⁻¹ n!) with f⁽ⁿ⁾ = sⁿ e^(−λs), at
// the s that makes it largest (the textbook remainder of polynomial interpolation).
// Where that is useless the error is still below 1 plus the nodes' Lebesgue constant,
// which is under 3 for up to 16 nodes.
func interpolationError(n int, low, half, span float64) float64 {
	s := math.Min(span, float64(n)/low)
	lg, _ := math.Lgamma(float64(n + 1))
	return math.Min(4, 2*math.Exp(float64(n)*math.Log(half*s/2)-lg-low*s))
}

// coefficients writes ℓ_j(λ) to dst.
func (b *basis) coefficients(dst []float64, rate float64) {
	var sum float64
	for j := range b.n {
		d := rate - b.rate[j]
		if d == 0 || b.n == 1 {
			clear(dst[:b.n])
			dst[j] = 1
			return
		}
		dst[j] = b.weight[j] / d
		sum += dst[j]
	}
	for j := range b.n {
		dst[j] /= sum
	}
}

// advance prepares decay and decayed for a time.
func (b *basis) advance(dt float64) {
	for j := range b.n {
		e := math.Expm1(-b.rate[j] * dt)
		b.decay[j] = 1 + e
		b.decayed[j] = -e
	}
}
