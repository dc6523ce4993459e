package lattice

import (
	"context"
	"fmt"
	"math"
)

// table holds the kernel at every offset between a pixel and a sample: planes of
// (2·rowReach+1) × (2·colReach+1) block offsets, block offset 0 in the middle,
// for one component and sample phase each.
//
// A plane runs in the direction in which Planes keep the samples of its phase:
// downwards and to the right for phases in the upper and left half of a cell,
// upwards and to the left for the others. Seen like this the planes of phases
// that are mirror images of each other are alike up to a sign, so that one is
// kept for all of them.
type table struct {
	shape              Shape
	rowReach, colReach int
	keep               keep
	data               []float64
}

// keep tells which planes a table keeps and which one stands for another.
type keep struct {
	at    []int     // kept plane that stands for a phase plane
	sign  []float64 // and the sign it comes with
	count int       // planes kept
	order []int     // phase planes, those with the same kept plane together
}

func newKeep(s Shape, y Symmetry) keep {
	n := s.Samples
	k := keep{at: make([]int, s.planes()), sign: make([]float64, s.planes())}
	place := map[int]int{}
	members := [][]int{}
	for c := range s.Components {
		for a := range n {
			for b := range n {
				a2, b2, sign := a, b, 1
				switch back, up := 2*b > n-1, 2*a > n-1; {
				case y.X != nil && y.Y != nil:
					if back {
						b2, sign = n-1-b, sign*y.X[c]
					}
					if up {
						a2, sign = n-1-a, sign*y.Y[c]
					}
				case y.X != nil && back:
					b2, sign = n-1-b, y.X[c]
				case y.Y != nil && up:
					a2, sign = n-1-a, y.Y[c]
				case y.Point != nil && y.X == nil && y.Y == nil && up && 2*b != n-1:
					a2, b2, sign = n-1-a, n-1-b, y.Point[c]
				}
				p, of := s.plane(c, a, b), s.plane(c, a2, b2)
				if _, ok := place[of]; !ok {
					place[of] = len(members)
					members = append(members, nil)
				}
				k.at[p], k.sign[p] = place[of], float64(sign)
				members[place[of]] = append(members[place[of]], p)
			}
		}
	}
	k.count = len(members)
	for _, m := range members {
		k.order = append(k.order, m...)
	}
	return k
}

// keptPlanes is the count of newKeep.
func keptPlanes(s Shape, y Symmetry) float64 {
	c, n, half := float64(s.Components), float64(s.Samples), float64((s.Samples+1)/2)
	switch {
	case y.X != nil && y.Y != nil:
		return c * half * half
	case y.X != nil || y.Y != nil:
		return c * half * n
	case y.Point != nil:
		// Of the lower half of a cell only an odd cell's middle column stays.
		return c * (half*n + float64(s.Samples%2)*(n-half))
	}
	return c * n * n
}

// tableSize is the number of values of a table.
func tableSize(s Shape, y Symmetry, rowReach, colReach int) float64 {
	return keptPlanes(s, y) * float64(2*rowReach+1) * float64(2*colReach+1)
}

func newTable(s Shape, y Symmetry, rowReach, colReach int) *table {
	return &table{
		shape: s, rowReach: rowReach, colReach: colReach, keep: newKeep(s, y),
		data: make([]float64, int(tableSize(s, y, rowReach, colReach))),
	}
}

func (t *table) height() int { return 2*t.rowReach + 1 }
func (t *table) width() int  { return 2*t.colReach + 1 }

// kept returns the values of a kept plane, row-major.
func (t *table) kept(i int) []float64 {
	n := t.height() * t.width()
	return t.data[i*n : (i+1)*n : (i+1)*n]
}

// value returns the kernel of a phase plane at a block offset, growing downwards
// and to the right.
func (t *table) value(plane, row, col int) float64 {
	_, up, back := t.shape.phase(plane)
	if up {
		row = -row
	}
	if back {
		col = -col
	}
	return t.keep.sign[plane] * t.kept(t.keep.at[plane])[(row+t.rowReach)*t.width()+col+t.colReach]
}

// evaluate fills the table from the kernel.
//
// The offset between a pixel's centre and a sample is a whole number of half
// sample spacings, (mx, my)/(2·Samples) pitches to the right and down, with
// mx = 2·Samples·δ + 2b + 1 - Samples for block offset δ and sample phase b. So
// mirror images of a sample offset are sample offsets, of block -δ and phase
// Samples-1-b.
func (t *table) evaluate(ctx context.Context, k Kernel, y Symmetry) error {
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
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("lattice: evaluating the kernel: %w", err)
		}
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
	if 2*a > s-1 {
		r = 2*t.rowReach - r
	}
	if 2*b > s-1 {
		l = 2*t.colReach - l
	}
	at, n := r*t.width()+l, t.height()*t.width()
	for c, x := range v {
		plane := t.shape.plane(c, a, b)
		if p != nil && p[c] < 0 {
			x = -x
		}
		if q != nil && q[c] < 0 {
			x = -x
		}
		t.data[t.keep.at[plane]*n+at] = t.keep.sign[plane] * x
	}
}

// divide returns quotient and remainder of two non-negative numbers.
func divide(a, b int) (q, r int) { return a / b, a % b }

// peak returns the largest magnitude of each component.
func (t *table) peak() []float64 {
	p := make([]float64, t.shape.Components)
	for c := range p {
		for plane := t.shape.plane(c, 0, 0); plane < t.shape.plane(c+1, 0, 0); plane++ {
			for _, x := range t.kept(t.keep.at[plane]) {
				p[c] = max(p[c], math.Abs(x))
			}
		}
	}
	return p
}

// cropped returns a copy that reaches no farther than the given offsets.
func (t *table) cropped(rowReach, colReach int) *table {
	out := *t
	out.rowReach, out.colReach = rowReach, colReach
	out.data = make([]float64, t.keep.count*out.height()*out.width())
	for p := range t.keep.count {
		from, to := t.kept(p), out.kept(p)
		for r := range out.height() {
			copy(to[r*out.width():][:out.width()],
				from[(r+t.rowReach-rowReach)*t.width()+t.colReach-colReach:])
		}
	}
	return &out
}
