package ferrofluid

import "math"

// Langevin returns L(x) = coth x − 1/x, odd, x/3 for small x and 1 for large.
func Langevin(x float64) float64 {
	y := math.Abs(x)
	if y < 2 {
		return x * langevinOver(y*y)
	}
	return math.Copysign(1/math.Tanh(y)-1/y, x)
}

// langevinOver is L(x)/x from x² < 4 by the continued fraction
// 1/(3 + x²/(5 + x²/(7 + …))) of the spherical Bessel functions' ratio, whose terms
// are all positive (DLMF 10.10, number from memory). It starts deep enough for the last bit.
func langevinOver(x2 float64) float64 {
	f := 21.0
	for k := 19.0; k >= 3; k -= 2 {
		f = k + x2/f
	}
	return 1 / f
}

// LangevinSlope returns dL/dx = 1/x² − 1/sinh²x, even, 1/3 at zero.
func LangevinSlope(x float64) float64 {
	// From sinh's equation: L' = 1 − 2L/x − L².
	y := math.Abs(x)
	if y < 2 {
		// The subtraction leaves a third of its terms at zero and never less
		// than a tenth up to here.
		l := langevinOver(y * y)
		return 1 - 2*l - y*y*l*l
	}
	s := 0.0
	if y < 360 {
		s = 1 / math.Sinh(y)
	}
	return 1/(y*y) - s*s
}

// LogSinhOver returns ln(sinh(x)/x), even, x²/6 for small x, |x| − ln 2|x| for
// large. Its derivative is Langevin(x).
func LogSinhOver(x float64) float64 {
	y := math.Abs(x)
	switch {
	case y < 2:
		// sinh(x)/x − 1 = Σ x²ᵏ/(2k+1)!, k from 1.
		y2 := y * y
		sum := inverseFactorials[len(inverseFactorials)-1]
		for k := len(inverseFactorials) - 2; k >= 0; k-- {
			sum = inverseFactorials[k] + sum*y2
		}
		return math.Log1p(sum * y2)
	case y < 20:
		return y + math.Log((1-math.Exp(-2*y))/(2*y))
	case y > math.MaxFloat64/2: // infinite, or 2y would be
		return y
	}
	return y - math.Log(2*y)
}

// inverseFactorials are 1/(2k+1)! for k = 1…11.
var inverseFactorials = func() (c [11]float64) {
	f := 1.0
	for k := range c {
		f *= float64((2*k + 2) * (2*k + 3))
		c[k] = 1 / f
	}
	return c
}()
