package lattice

// Butterflies of the rarer radices, sign +, on complex values. Those of radix 4
// and 8 stand written out in rows.go and columns.go, where the time goes.

const (
	sqrtHalf = 0.70710678118654752440084436210484903928 // cos 45°
	sin60    = 0.86602540378443864676372317075293618347
	cos72    = 0.30901699437494742410229341718281905886
	sin72    = 0.95105651629515357211643933337938214340
	cos144   = -0.80901699437494742410229341718281905886
	sin144   = 0.58778525229247312916870595463907276860
)

func timesReal(z complex128, f float64) complex128 { return complex(real(z)*f, imag(z)*f) }

func timesI(z complex128) complex128 { return complex(-imag(z), real(z)) }

func butterfly3(x0, x1, x2 complex128) (y0, y1, y2 complex128) {
	s := x1 + x2
	t := x0 - timesReal(s, 0.5)
	d := timesI(timesReal(x1-x2, sin60))
	return x0 + s, t + d, t - d
}

func butterfly5(x0, x1, x2, x3, x4 complex128) (y0, y1, y2, y3, y4 complex128) {
	a1, a2 := x1+x4, x2+x3
	b1, b2 := x1-x4, x2-x3
	p1 := x0 + timesReal(a1, cos72) + timesReal(a2, cos144)
	p2 := x0 + timesReal(a1, cos144) + timesReal(a2, cos72)
	q1 := timesI(timesReal(b1, sin72) + timesReal(b2, sin144))
	q2 := timesI(timesReal(b1, sin144) - timesReal(b2, sin72))
	return x0 + a1 + a2, p1 + q1, p2 + q2, p2 - q2, p1 - q1
}
