package array

import (
	"math"

	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// pressureTable is the magnetic pressure of a body of fluid as a table, for planes
// of many samples. It holds g(b) = Π(b)/b², which is smooth and even, with its slope
// at equal steps, and joins them by cubics: the error is (step/scale)⁴/384 times the
// fourth derivative, under 1e-9 of Π everywhere (measured in the tests). Beyond its
// end the body is asked itself.
type pressureTable struct {
	body    ferrofluid.Body
	inverse float64 // 1/T, steps per tesla
	knots   []pressureKnot
}

// pressureKnot holds g and its slope times the step, 1/(Pa/T²).
type pressureKnot struct{ g, slope float64 }

const (
	pressureSteps = 48      // per scale of the magnetisation curve
	pressureKnots = 1 << 13 // 128 KiB; a display uses the first few hundred
)

func newPressureTable(b ferrofluid.Body) *pressureTable {
	t := &pressureTable{body: b}
	// The flux density at which the curve bends: ξ = 3χH/Ms = 1, the body's own
	// poles included.
	scale := field.Mu0 * b.Saturation / (3 * b.Susceptibility) * (1 + b.Demagnetisation*b.Susceptibility)
	if !(scale > 0) || math.IsInf(scale, 0) {
		return t // a fluid that is not magnetic or never saturates: no table
	}
	step := scale / pressureSteps
	t.inverse = 1 / step
	t.knots = make([]pressureKnot, pressureKnots)
	for k := range t.knots {
		if k == 0 {
			// Nothing can be divided by zero; g is even, so two places near by tell
			// its value there.
			near, far := b.Pi(step/8)/(step*step/64), b.Pi(step/4)/(step*step/16)
			t.knots[0].g = near + (near-far)/3
			continue
		}
		at := float64(k) * step
		p := b.Pi(at)
		t.knots[k] = pressureKnot{g: p / (at * at), slope: step * (b.DPi(at)*at - 2*p) / (at * at * at)}
	}
	return t
}

// Pi returns the pressure in Pa at b ≥ 0 tesla.
func (t *pressureTable) Pi(b float64) float64 {
	x := b * t.inverse
	k := int(x)
	if k < 0 || k+1 >= len(t.knots) {
		return t.body.Pi(b)
	}
	x -= float64(k)
	l, r := &t.knots[k], &t.knots[k+1]
	rise := r.g - l.g
	return b * b * (l.g + x*(l.slope+x*(3*rise-2*l.slope-r.slope+x*(l.slope+r.slope-2*rise))))
}
