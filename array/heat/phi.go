package heat

import "math"

// phi returns φ0(z) = eᶻ, φ1 = (φ0 − 1)/z, φ2 = (φ1 − 1)/z and φ3 = (φ2 − 1/2)/z,
// the functions of exponential integrators (M. Hochbruck, A. Ostermann, Acta
// Numerica 19 (2010) 209, eq. 2.11), for z <= 0 or small positive z.
func phi(z float64) (p0, p1, p2, p3 float64) {
	if math.Abs(z) < 0.5 {
		// Series of φ3, then upwards, which loses nothing: φ_k = 1/k! + z φ_{k+1}.
		const terms = 14
		s := 0.0
		for k := terms; k >= 1; k-- {
			s = (s*z + 1) / float64(k+3)
		}
		// s = Σ_{k>=0} z^k 3!/(k+3)! · 1/… built so that φ3 = (1 + z s)/6.
		p3 = (1 + z*s) / 6
		p2 = 0.5 + z*p3
		p1 = 1 + z*p2
		p0 = 1 + z*p1
		return
	}
	p0 = math.Exp(z)
	p1 = math.Expm1(z) / z
	p2 = (p1 - 1) / z
	p3 = (p2 - 0.5) / z
	return
}
