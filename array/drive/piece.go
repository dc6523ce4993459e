package drive

import "math"

// piece is one exponential stretch of a coil's current,
//
//	i(s) = asym + (i(0) − asym) e^(−s·rate), 0 ≤ s ≤ t
//
// with what its integrals need worked out once.
type piece struct {
	t    float64 // s
	x    float64 // t·rate
	asym float64 // A, where the current is heading
	p    float64 // 1 − e^(−x)
	// Means over the stretch, with e = e^(−s·rate):
	h  float64 // of 1 − e
	e2 float64 // of e²
	eh float64 // of e (1 − e)
	h2 float64 // of (1 − e)²
}

func newPiece(t, rate, asym float64) piece {
	x := t * rate
	p := -math.Expm1(-x)
	c := piece{t: t, x: x, asym: asym, p: p}
	if x < seriesBelow {
		// The closed forms cancel to the second power of x here. Term by term
		//	mean of e   = Σ (−x)^k / (k+1)!
		//	mean of e²  = Σ (−2x)^k / (k+1)!
		// so the differences can be summed without the parts that cancel.
		var h, eh, h2 float64
		for k := len(seriesH) - 1; k >= 0; k-- {
			h = h*-x + seriesH[k]
			eh = eh*-x + seriesEH[k]
			h2 = h2*-x + seriesH2[k]
		}
		c.h = h * x
		c.eh = eh * x
		c.h2 = h2 * x * x
		c.e2 = 1 - 2*c.h + c.h2
		return c
	}
	g := p / x
	c.e2 = p * (2 - p) / (2 * x)
	c.h = 1 - g
	c.eh = g - c.e2
	c.h2 = 1 - 2*g + c.e2
	return c
}

const seriesBelow = 0.3

// Coefficients of the series in (−x): h/x, eh/x and h2/x².
var seriesH, seriesEH, seriesH2 = seriesCoefficients()

func seriesCoefficients() (h, eh, h2 [16]float64) {
	factorial := 1.0 // (k+1)! for k = 0
	power := 1.0     // 2^k
	for k := 1; k <= len(h)+1; k++ {
		factorial *= float64(k + 1)
		power *= 2
		// h = 1 − g = −Σ_{k≥1} (−x)^k/(k+1)! ; eh = Σ (−x)^k (1 − 2^k)/(k+1)! ;
		// h2 = Σ_{k≥2} (−x)^k (2^k − 2)/(k+1)!
		if k <= len(h) {
			h[k-1] = 1 / factorial
			eh[k-1] = (power - 1) / factorial
		}
		if k >= 2 {
			h2[k-2] = (power - 2) / factorial
		}
	}
	return h, eh, h2
}

// end returns the current at the end of the stretch.
func (c *piece) end(start float64) float64 { return start + (c.asym-start)*c.p }

// mean returns the average current and the average of its square.
func (c *piece) mean(start float64) (i, i2 float64) {
	return start*(1-c.h) + c.asym*c.h, start*start*c.e2 + c.asym*(2*start*c.eh+c.asym*c.h2)
}
