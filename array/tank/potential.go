package tank

import "math"

// potential is Φ = Π + Δρ g·x at places in the tank: Π by cubic splines through its
// samples, fourth order and smooth to the curvature (M. Unser, A. Aldroubi & M. Eden,
// IEEE Trans. Signal Processing 41 (1993) 821-833, doi:10.1109/78.193220, from memory),
// the weight exactly. Walls mirror Π.
type potential struct {
	coef       []float64 // of the B-splines at the samples, Pa
	on         bool      // there is a magnetic pressure
	cols, rows int
	perX, perY float64 // samples per cell of length √(dx·dy)
	gx, gy     float64 // Pa per such cell, y down
	x0, y0     float64 // of the tank's middle, in such cells
}

// set takes the samples of Π, nil for none, and returns no less than the steepest slope
// of Φ between neighbouring samples, in Pa per cell.
func (p *potential) set(pi []float64) float64 {
	p.on = pi != nil
	if !p.on {
		return math.Hypot(p.gx, p.gy)
	}
	copy(p.coef, pi)
	sx, sy := 0.0, 0.0
	for i := range p.rows {
		row := pi[i*p.cols : (i+1)*p.cols]
		for j := 1; j < len(row); j++ {
			if d := math.Abs(row[j] - row[j-1]); d > sx {
				sx = d
			}
		}
		if i > 0 {
			above := pi[(i-1)*p.cols:][:len(row)]
			for j := range row {
				if d := math.Abs(row[j] - above[j]); d > sy {
					sy = d
				}
			}
		}
		prefilter(p.coef[i*p.cols:(i+1)*p.cols], 1)
	}
	prefilter(p.coef, p.cols)
	return math.Hypot(sx*p.perX+math.Abs(p.gx), sy*p.perY+math.Abs(p.gy))
}

// prefilter turns samples into the coefficients of the cubic B-splines through them,
// for as many interleaved rows of samples as the stride, each mirrored at its ends.
func prefilter(c []float64, stride int) {
	const z = -0.26794919243112270647 // √3 − 2
	n := len(c) / stride
	// The recursion's first value is a sum over the mirror image, which fades by z.
	first := c[:stride]
	for s := range first {
		sum, power := first[s], z
		for k := 0; k < n && k < 30; k++ {
			sum += power * c[k*stride+s]
			power *= z
		}
		first[s] = 6 * sum
	}
	for k := 1; k < n; k++ {
		a, b := c[(k-1)*stride:k*stride], c[k*stride:(k+1)*stride]
		for s := range b {
			b[s] = 6*b[s] + z*a[s]
		}
	}
	last := c[(n-1)*stride:]
	for s := range last {
		last[s] *= -z / (1 - z)
	}
	for k := n - 2; k >= 0; k-- {
		a, b := c[k*stride:(k+1)*stride], c[(k+1)*stride:(k+2)*stride]
		for s := range a {
			a[s] = z * (b[s] - a[s])
		}
	}
}

// at is Φ at (x, y) cells from the upper left corner, y down, Pa.
func (p *potential) at(x, y float64) float64 {
	v := p.gx*(x-p.x0) + p.gy*(y-p.y0)
	if !p.on {
		return v
	}
	j, wx := spline(x*p.perX, p.cols)
	i, wy := spline(y*p.perY, p.rows)
	sum := 0.0
	if i >= 1 && i < p.rows-2 && j >= 1 && j < p.cols-2 {
		for d := range 4 {
			r := (*[4]float64)(p.coef[(i+d-1)*p.cols+j-1:])
			sum += wy[d] * (wx[0]*r[0] + wx[1]*r[1] + wx[2]*r[2] + wx[3]*r[3])
		}
		return v + sum
	}
	for d := range 4 {
		r := p.coef[int(reflect(int32(i+d-1), int32(p.rows)))*p.cols:][:p.cols]
		for e := range 4 {
			sum += wy[d] * wx[e] * r[reflect(int32(j+e-1), int32(p.cols))]
		}
	}
	return v + sum
}

// spline is the sample before x, counted in samples' widths from the edge, and the
// weights of the B-splines of the one before that, of this and of the two that follow.
func spline(x float64, n int) (int, [4]float64) {
	x -= 0.5
	i := min(max(int(math.Floor(x)), -1), n-1)
	s := min(max(x-float64(i), 0), 1)
	r := 1 - s
	return i, [4]float64{r * r * r / 6, 2.0/3 - s*s*(1-0.5*s), 2.0/3 - r*r*(1-0.5*r), s * s * s / 6}
}
