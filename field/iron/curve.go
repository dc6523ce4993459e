package iron

import (
	"math"
	"sort"

	"lodegrid/field"
)

// Curve is the B–H curve of a steel, odd in B and without hysteresis.
type Curve interface {
	// H returns the field strength in A/m at flux density b ≥ 0 in tesla, and
	// its slope dH/dB in A/(m·T), which is positive.
	H(b float64) (h, slope float64)
}

// InitialMuR is the relative permeability of a curve in weak fields.
func InitialMuR(c Curve) float64 {
	_, slope := c.H(0)
	return 1 / (field.Mu0 * slope)
}

// Linear is a steel of constant relative permeability.
type Linear struct{ MuR float64 }

// H implements Curve.
func (l Linear) H(b float64) (h, slope float64) {
	slope = 1 / (field.Mu0 * l.MuR)
	return b * slope, slope
}

// Frohlich is the saturating curve
//
//	B(H) = µ0 H + Js H/(H + a),  a = Js/(µ0 (µi − 1))
//
// with initial relative permeability µi and saturation polarisation Js in tesla
// (O. Fröhlich, Elektrotechnische Zeitschrift 2, 1881; from memory).
type Frohlich struct{ MuI, Js float64 }

// H implements Curve, by the root of a quadratic without cancellation.
func (f Frohlich) H(b float64) (h, slope float64) {
	a := f.Js / (field.Mu0 * (f.MuI - 1))
	p := b - field.Mu0*a - f.Js
	s := math.Sqrt(p*p + 4*field.Mu0*a*b)
	if p < 0 {
		h = 2 * a * b / (s - p)
	} else {
		h = (p + s) / (2 * field.Mu0)
	}
	return h, 1 / (field.Mu0 + f.Js*a/((h+a)*(h+a)))
}

// Table is a measured curve: points of rising H and B from the origin, joined by a
// monotone cubic (F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980)
// 238; from memory) in B, and continued with slope 1/µ0 beyond the last point.
type Table struct {
	b, h, slope []float64
}

// NewTable returns the curve through the points (h[i], b[i]), A/m and tesla. The
// origin is added when missing. Both are to rise strictly.
func NewTable(h, b []float64) *Table {
	if h[0] != 0 || b[0] != 0 {
		h, b = append([]float64{0}, h...), append([]float64{0}, b...)
	}
	t := &Table{b: append([]float64(nil), b...), h: append([]float64(nil), h...)}
	n := len(h)
	secant := make([]float64, n-1)
	for i := range secant {
		secant[i] = (h[i+1] - h[i]) / (b[i+1] - b[i])
	}
	t.slope = make([]float64, n)
	t.slope[0], t.slope[n-1] = secant[0], 1/field.Mu0
	for i := 1; i < n-1; i++ {
		t.slope[i] = 2 * secant[i-1] * secant[i] / (secant[i-1] + secant[i])
	}
	// A cubic with end slopes at most three times the secant is monotone.
	t.slope[n-1] = min(t.slope[n-1], 3*secant[n-2])
	return t
}

// H implements Curve.
func (t *Table) H(b float64) (h, slope float64) {
	n := len(t.b)
	if b >= t.b[n-1] {
		return t.h[n-1] + (b-t.b[n-1])/field.Mu0, 1 / field.Mu0
	}
	i := max(sort.SearchFloat64s(t.b, b)-1, 0)
	w := t.b[i+1] - t.b[i]
	u := (b - t.b[i]) / w
	d0, d1 := t.slope[i]*w, t.slope[i+1]*w
	rise := t.h[i+1] - t.h[i]
	c2, c3 := 3*rise-2*d0-d1, d0+d1-2*rise
	return t.h[i] + u*(d0+u*(c2+u*c3)), (d0 + u*(2*c2+u*3*c3)) / w
}
