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
	for _, n := range around {
		pi := d.pressure(x+r*n[0], y+r*n[1])
		fx += pi * n[0]
		fy += pi * n[1]
		mean += pi / rim
	}
	scale := d.p.Gap * r * 2 * math.Pi / rim
	return scale * fx, scale * fy, mean
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
	// Most places are well inside: nothing to clamp, and this is where a report spends its time.
	if u >= 1 && v >= 1 && u < float64(cols-2) && v < float64(rows-2) {
		j, i := int(u), int(v)
		x0, x1, x2, x3 := cubic(u - float64(j))
		y0, y1, y2, y3 := cubic(v - float64(i))
		at := (i-1)*cols + j - 1
		a, b, c, e := d.pi[at:][:4], d.pi[at+cols:][:4], d.pi[at+2*cols:][:4], d.pi[at+3*cols:][:4]
		return y0*(x0*a[0]+x1*a[1]+x2*a[2]+x3*a[3]) + y1*(x0*b[0]+x1*b[1]+x2*b[2]+x3*b[3]) +
			y2*(x0*c[0]+x1*c[1]+x2*c[2]+x3*c[3]) + y3*(x0*e[0]+x1*e[1]+x2*e[2]+x3*e[3])
	}
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
