package drops

import "math"

// rim is how many places of a disc's rim its pull is summed over.
const rim = 8

// around are the directions to them.
var around = func() (n [rim][2]float64) {
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / rim)
		n[k] = [2]float64{c, s}
	}
	return n
}()

// pull is the magnetic force on a disc of fluid at a place, b∮Π n dl, N, and the mean of Π
// over its rim, Pa.
func (d *Pane) pull(x, y, r float64) (fx, fy, mean float64) {
	scale := d.p.Gap * r * 2 * math.Pi / rim
	if fx, fy, mean, ok := d.pullInside(x, y, r); ok {
		return scale * fx, scale * fy, mean
	}
	for _, n := range around {
		pi := d.pressure(x+r*n[0], y+r*n[1])
		fx += pi * n[0]
		fy += pi * n[1]
		mean += pi / rim
	}
	return scale * fx, scale * fy, mean
}

// pullInside is what pull sums over the rim of a disc that is well inside, where there is
// nothing to clamp: this is where a report spends its time. The eight places of the rim lie on
// four columns and four rows, whose weights are worked out once.
func (d *Pane) pullInside(x, y, r float64) (fx, fy, mean float64, ok bool) {
	cols, rows := d.p.SampleCols, d.p.SampleRows
	perX, perY := float64(cols)/d.p.Width, float64(rows)/d.p.Height
	u, v := x*perX+0.5*float64(cols)-0.5, 0.5*float64(rows)-y*perY-0.5
	if a, b := r*perX, r*perY; d.pi == nil || !(u-a >= 1 && v-b >= 1 && u+a < float64(cols-2) && v+b < float64(rows-2)) {
		return 0, 0, 0, false
	}
	far, near := around[0][0], around[0][1]
	var column, row [4]int
	var across, along [4][4]float64
	for k, n := range [4]float64{-far, -near, near, far} {
		at := u + n*r*perX
		column[k] = int(at) - 1
		c := &across[k]
		c[0], c[1], c[2], c[3] = cubic(at - float64(int(at)))
		at = v - n*r*perY
		row[k] = (int(at) - 1) * cols
		c = &along[k]
		c[0], c[1], c[2], c[3] = cubic(at - float64(int(at)))
	}
	at := func(i, j int) float64 {
		p, x, y := d.pi[row[j]+column[i]:], &across[i], &along[j]
		a, b, c, e := p[:4], p[cols:][:4], p[2*cols:][:4], p[3*cols:][:4]
		return y[0]*(x[0]*a[0]+x[1]*a[1]+x[2]*a[2]+x[3]*a[3]) + y[1]*(x[0]*b[0]+x[1]*b[1]+x[2]*b[2]+x[3]*b[3]) +
			y[2]*(x[0]*c[0]+x[1]*c[1]+x[2]*c[2]+x[3]*c[3]) + y[3]*(x[0]*e[0]+x[1]*e[1]+x[2]*e[2]+x[3]*e[3])
	}
	// Named by the clock, from the right on.
	a, b, c, e, f, g, h, k := at(3, 2), at(2, 3), at(1, 3), at(0, 2), at(0, 1), at(1, 0), at(2, 0), at(3, 1)
	return far*(a+k-e-f) + near*(b+h-c-g), far*(b+c-g-h) + near*(a+e-f-k), (a + b + c + e + f + g + h + k) / rim, true
}

// pressure is Π at a place, Pa, by the cubic through four samples each way (Catmull–Rom);
// beyond the samples that of their edge.
func (d *Pane) pressure(x, y float64) float64 {
	if d.pi == nil {
		return 0
	}
	cols, rows := d.p.SampleCols, d.p.SampleRows
	u := (x/d.p.Width+0.5)*float64(cols) - 0.5
	v := (0.5-y/d.p.Height)*float64(rows) - 0.5
	u, v = min(max(u, 0), float64(cols-1)), min(max(v, 0), float64(rows-1))
	j, i := min(int(u), cols-2), min(int(v), rows-2)
	x0, x1, x2, x3 := cubic(u - float64(j))
	y0, y1, y2, y3 := cubic(v - float64(i))
	sum := 0.0
	for a, w := range [...]float64{y0, y1, y2, y3} {
		k := min(max(i-1+a, 0), rows-1) * cols
		for b, z := range [...]float64{x0, x1, x2, x3} {
			sum += w * z * d.pi[k+min(max(j-1+b, 0), cols-1)]
		}
	}
	return sum
}

// cubic are the weights of the values at −1, 0, 1, 2 for the place t between 0 and 1.
func cubic(t float64) (a, b, c, d float64) {
	return t * (-0.5 + t*(1-0.5*t)), 1 + t*t*(-2.5+1.5*t), t * (0.5 + t*(2-1.5*t)), t * t * (-0.5 + 0.5*t)
}
