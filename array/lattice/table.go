package lattice

import (
	"fmt"
	"math"
)

// table holds the kernel at every offset between a pixel and a sample: one plane
// of (2·rowReach+1) × (2·colReach+1) block offsets per component and sample
// phase, block offset 0 in the middle, row offsets growing downwards. With a
// known parity in dy only the phase rows of the upper half of a cell are kept;
// the lower ones are their mirror images.
type table struct {
	shape              Shape
	rowReach, colReach int
	parity             []int // Symmetry.Y
	keptRows           int   // phase rows kept
	data               []float64
}

// tableSize is the number of values of a table.
func tableSize(s Shape, y Symmetry, rowReach, colReach int) float64 {
	return float64(s.Components) * float64(keptPhaseRows(s, y)) * float64(s.Samples) *
		float64(2*rowReach+1) * float64(2*colReach+1)
}

func keptPhaseRows(s Shape, y Symmetry) int {
	if y.Y != nil {
		return (s.Samples + 1) / 2
	}
	return s.Samples
}

func newTable(s Shape, y Symmetry, rowReach, colReach int) *table {
	return &table{
		shape: s, rowReach: rowReach, colReach: colReach, parity: y.Y, keptRows: keptPhaseRows(s, y),
		data: make([]float64, int(tableSize(s, y, rowReach, colReach))),
	}
}

func (t *table) height() int { return 2*t.rowReach + 1 }
func (t *table) width() int  { return 2*t.colReach + 1 }

// plane returns the values of component c at sample phase (a, b), row-major. If
// flipped, they are those of the mirrored phase and have to be read from the
// last row to the first and multiplied by sign.
func (t *table) plane(c, a, b int) (values []float64, flipped bool, sign float64) {
	sign = 1
	if a >= t.keptRows {
		a, flipped, sign = t.shape.Samples-1-a, true, float64(t.parity[c])
	}
	n := t.height() * t.width()
	i := (c*t.keptRows+a)*t.shape.Samples + b
	return t.data[i*n : (i+1)*n : (i+1)*n], flipped, sign
}

// row returns row (offset r in blocks, growing downwards) of a plane.
func (t *table) row(c, a, b, r int) (values []float64, sign float64) {
	v, flipped, sign := t.plane(c, a, b)
	if flipped {
		r = -r
	}
	w := t.width()
	return v[(r+t.rowReach)*w:][:w], sign
}

// evaluate fills the table from the kernel.
//
// The offset between a pixel's centre and a sample is a whole number of half
// sample spacings, (mx, my)/(2·Samples) pitches to the right and down, with
// mx = 2·Samples·δ + 2b + 1 - Samples for block offset δ and sample phase b. So
// mirror images of a sample offset are sample offsets, of block -δ and phase
// Samples-1-b.
func (t *table) evaluate(k Kernel, y Symmetry) error {
	s := t.shape
	var (
		most    = [2]int{2*s.Samples*t.colReach + s.Samples - 1, 2*s.Samples*t.rowReach + s.Samples - 1}
		point   = y.Point
		swap    = y.Swap != nil && y.X != nil && y.Y != nil
		v, u    = make([]float64, s.Components), make([]float64, s.Components)
		mirrorX = y.X != nil
		mirrorY = y.Y != nil
		half    = point != nil && !mirrorX && !mirrorY
	)
	for my := -most[1]; my <= most[1]; my += 2 {
		for mx := -most[0]; mx <= most[0]; mx += 2 {
			switch {
			case mirrorX && mx < 0, mirrorY && my > 0,
				half && (my > 0 || my == 0 && mx < 0),
				swap && -my > mx && -my <= most[0]:
				continue // an image of another offset
			}
			k(v, float64(mx)/float64(2*s.Samples), float64(-my)/float64(2*s.Samples))
			for c, x := range v {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					return fmt.Errorf("lattice: component %d of the kernel is %g at offset (%g, %g) pitches, must be finite",
						c, x, float64(mx)/float64(2*s.Samples), float64(-my)/float64(2*s.Samples))
				}
				// An odd component vanishes in its mirror.
				if mx == 0 && mirrorX && y.X[c] < 0 || my == 0 && mirrorY && y.Y[c] < 0 ||
					mx == 0 && my == 0 && point != nil && point[c] < 0 {
					v[c] = 0
				}
			}
			t.images(v, mx, my, y, half, point)
			if swap && mx <= most[1] && -my <= most[0] && -my != mx {
				for c, d := range y.Swap {
					u[c] = v[d]
				}
				t.images(u, -my, -mx, y, false, nil)
			}
		}
	}
	return nil
}

// images stores a value and what it makes of its mirror images.
func (t *table) images(v []float64, mx, my int, y Symmetry, half bool, point []int) {
	t.store(v, mx, my, nil, nil)
	if y.X != nil && mx != 0 {
		t.store(v, -mx, my, y.X, nil)
	}
	if y.Y != nil && my != 0 {
		t.store(v, mx, -my, y.Y, nil)
		if y.X != nil && mx != 0 {
			t.store(v, -mx, -my, y.X, y.Y)
		}
	}
	if half && (mx != 0 || my != 0) {
		t.store(v, -mx, -my, point, nil)
	}
}

func (t *table) store(v []float64, mx, my int, p, q []int) {
	s := t.shape.Samples
	r, a := divide((my+s-1)/2+t.rowReach*s, s)
	l, b := divide((mx+s-1)/2+t.colReach*s, s)
	if a >= t.keptRows {
		return // kept as the mirror image
	}
	n := t.height() * t.width()
	at := r*t.width() + l
	for c, x := range v {
		if p != nil && p[c] < 0 {
			x = -x
		}
		if q != nil && q[c] < 0 {
			x = -x
		}
		t.data[((c*t.keptRows+a)*s+b)*n+at] = x
	}
}

// divide returns quotient and remainder of two non-negative numbers.
func divide(a, b int) (q, r int) { return a / b, a % b }

// peak returns the largest magnitude of each component.
func (t *table) peak() []float64 {
	p := make([]float64, t.shape.Components)
	n := len(t.data) / len(p)
	for c := range p {
		for _, x := range t.data[c*n : (c+1)*n] {
			p[c] = max(p[c], math.Abs(x))
		}
	}
	return p
}

// cropped returns a copy that reaches no farther than the given offsets.
func (t *table) cropped(rowReach, colReach int) *table {
	out := *t
	out.rowReach, out.colReach = rowReach, colReach
	planes := len(t.data) / (t.height() * t.width())
	out.data = make([]float64, planes*out.height()*out.width())
	for p := range planes {
		from := t.data[p*t.height()*t.width():]
		to := out.data[p*out.height()*out.width():]
		for r := range out.height() {
			copy(to[r*out.width():][:out.width()],
				from[(r+t.rowReach-rowReach)*t.width()+t.colReach-colReach:])
		}
	}
	return &out
}
