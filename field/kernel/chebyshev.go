package kernel

import "math"

// degree is the degree of the Chebyshev series on one panel.
const degree = 15

// nodes are the degree+1 Chebyshev points of the first kind on [−1, 1].
var nodes = func() (x [degree + 1]float64) {
	for j := range x {
		x[j] = math.Cos(math.Pi * (float64(j) + 0.5) / (degree + 1))
	}
	return x
}()

// cosTable[m][j] = T_m(x_j), the matrix of the discrete cosine transform that
// turns values at the nodes into coefficients.
var cosTable = func() (c [degree + 1][degree + 1]float64) {
	for m := range c {
		for j := range c[m] {
			c[m][j] = math.Cos(math.Pi * float64(m) * (float64(j) + 0.5) / (degree + 1))
		}
	}
	return c
}()

// series is a Chebyshev series Σ c_m T_m(u), −1 ≤ u ≤ 1.
type series [degree + 1]float64

// fit returns the series through values given at the nodes.
func fit(values *[degree + 1]float64) (s series) {
	for m := range s {
		var sum float64
		for j, v := range values {
			sum += v * cosTable[m][j]
		}
		s[m] = 2 * sum / (degree + 1)
	}
	s[0] /= 2
	return s
}

// tail is the size of the last three coefficients, the measure of convergence.
// Three, because a function even or odd about the panel's middle has every
// other one zero.
func (s *series) tail() float64 {
	return max(math.Abs(s[degree]), math.Abs(s[degree-1]), math.Abs(s[degree-2]))
}

// at evaluates the series and its derivative by u at u, by Clenshaw's
// recurrence and its derivative.
func (s *series) at(u float64) (value, slope float64) {
	var b1, b2, d1, d2 float64
	u2 := 2 * u
	for m := degree; m >= 1; m-- {
		d1, d2 = 2*b1+u2*d1-d2, d1
		b1, b2 = s[m]+u2*b1-b2, b1
	}
	return s[0] + u*b1 - b2, b1 + u*d1 - d2
}
