package lattice

// What the butterflies in rows.go and columns.go share. All of them have the sign
// + and take their inputs already multiplied by the twiddle factors:
//
//	y_k = Σ_q x_q exp(+2πi kq/r)
//
// Radix 3 and 5 are the usual forms for odd lengths, radix 8 is two of radix 4,
// and radix 6 is one of 2 times one of 3 without factors in between, by the
// Chinese remainder theorem: input 3a+2b and output 3c+4d (mod 6) for the
// indices a, c of the one and b, d of the other (Good 1958, from memory).

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
