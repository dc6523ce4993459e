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
	u, v = min(max(u, 0), float64(cols-1)), min(max(v, 0), float64(rows-1))
	j, i := min(int(u), cols-2), min(int(v), rows-2)
	wx, wy := cubic(u-float64(j)), cubic(v-float64(i))
	sum := 0.0
	if i > 0 && i < rows-2 && j > 0 && j < cols-2 {
		for a, w := range wy {
			line := d.pi[(i-1+a)*cols+j-1:][:4]
			sum += w * (wx[0]*line[0] + wx[1]*line[1] + wx[2]*line[2] + wx[3]*line[3])
		}
		return sum
	}
	for a, w := range wy {
		k := min(max(i-1+a, 0), rows-1) * cols
		for b, z := range wx {
			sum += w * z * d.pi[k+min(max(j-1+b, 0), cols-1)]
		}
	}
	return sum
}

// cubic are the weights of the values at −1, 0, 1, 2 for the place t between 0 and 1.
func cubic(t float64) [4]float64 {
	return [4]float64{
		t * (-0.5 + t*(1-0.5*t)), 1 + t*t*(-2.5+1.5*t), t * (0.5 + t*(2-1.5*t)), t * t * (-0.5 + 0.5*t),
	}
}
