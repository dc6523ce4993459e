// Package poisson solves the five-point Poisson equation with zero normal
// derivative on every side of a rectangle, directly: a cosine transform along one
// axis, a tridiagonal solve along the other. It knows nothing of what the numbers
// mean.
//
// The discrete equation, for cell (i, j) of rows i and columns j,
//
//	(p[i][j-1] - 2p[i][j] + p[i][j+1])/dx² + (p[i-1][j] - 2p[i][j] + p[i+1][j])/dy² = f[i][j]
//
// with p mirrored about the walls (p[i][-1] = p[i][0] and so on), is what a
// staggered-grid projection needs: its answer makes the discrete divergence vanish
// to rounding. The cosine vectors cos(πk(i+1/2)/rows) are its eigenvectors along a
// column, eigenvalue -(2/dy · sin(πk/2rows))²: G. Strang, "The discrete cosine
// transform", SIAM Review 41 (1999) 135-147, doi:10.1137/S0036144598336745 (from
// memory). The transform is computed from a complex one of the same length after
// the reordering of J. Makhoul, "A fast cosine transform in one and two
// dimensions", IEEE Trans. ASSP 28 (1980) 27-34, doi:10.1109/TASSP.1980.1163351
// (from memory).
package poisson

import (
	"math"
)

// lanes is the number of complex values one butterfly call works through; block
// is the number of real columns they stand for: a block's left half is carried as
// the real, its right half as the imaginary part of one transform.
const (
	lanes = 8
	block = 2 * lanes
)

// Solver solves the equation for one size of grid. It holds the right side and
// the answer itself, so that no call allocates. It is not safe for concurrent use.
type Solver struct {
	rows, cols int
	stride     int       // columns padded to whole blocks
	data       []float64 // rows (padded to whole lanes) × stride; cell rows in Makhoul's order
	place      []int     // place[i] is the row of data that holds cell row i
	plan       plan
	turn       []complex128 // e^(-iπk/2rows), k = 0 … rows/2
	pivot      []float64    // inverse pivots: [k/lanes][j][k%lanes]
	bufA, bufB []float64    // rows × block each
	dx2        float64
}

// New prepares a solver for rows × cols cells of dx by dy metres (any unit, as
// long as the right side uses the same). Both counts must be at least 2; the time
// of a solve is least when rows has no prime factor above 5.
func New(rows, cols int, dx, dy float64) *Solver {
	s := &Solver{rows: rows, cols: cols, dx2: dx * dx}
	s.stride = (cols + block - 1) / block * block
	groups := (rows + lanes - 1) / lanes
	s.data = make([]float64, groups*lanes*s.stride)
	s.bufA = make([]float64, rows*block)
	s.bufB = make([]float64, rows*block)
	s.place = make([]int, rows)
	for i := range s.place {
		if i%2 == 0 {
			s.place[i] = i / 2
		} else {
			s.place[i] = rows - (i+1)/2
		}
	}
	s.plan = newPlan(rows)
	s.turn = make([]complex128, rows/2+1)
	for k := range s.turn {
		sin, cos := math.Sincos(-math.Pi * float64(k) / float64(2*rows))
		s.turn[k] = complex(cos, sin)
	}
	s.pivot = make([]float64, groups*cols*lanes)
	for k := range groups * lanes {
		mu := 1.0 // for the padding rows, which hold zeros
		if k < rows {
			w := 2 * dx / dy * math.Sin(math.Pi*float64(k)/float64(2*rows))
			mu = w * w
		}
		p := s.pivot[k/lanes*cols*lanes:]
		m := 1 / (1 + mu)
		p[k%lanes] = m
		for j := 1; j < cols-1; j++ {
			m = 1 / (2 + mu - m)
			p[j*lanes+k%lanes] = m
		}
		last := 1 + mu - m
		if k == 0 {
			m = 0 // the constant part: the last value is pinned to zero
		} else {
			m = 1 / last
		}
		p[(cols-1)*lanes+k%lanes] = m
	}
	return s
}

// Row is where the right side of cell row i is written before Solve and its
// answer read after it; cols values.
func (s *Solver) Row(i int) []float64 {
	at := s.place[i] * s.stride
	return s.data[at : at+s.cols : at+s.cols]
}

// Solve turns the right side held in the rows into the answer. The mean of the
// right side, for which there is no answer, is taken out; the answer is defined
// up to a constant.
func (s *Solver) Solve() {
	if s.stride > s.cols {
		for i := range s.rows {
			clear(s.data[i*s.stride+s.cols : (i+1)*s.stride])
		}
	}
	for at := 0; at < s.stride; at += block {
		s.forward(at)
	}
	s.removeMean()
	for g := 0; g*lanes < s.rows; g++ {
		s.sweep(g)
	}
	for at := 0; at < s.stride; at += block {
		s.inverse(at)
	}
}

// forward replaces the block of columns at offset at by its cosine coefficients,
// times 1/2, coefficient k in row k.
func (s *Solver) forward(at int) {
	n := s.rows
	buf := s.plan.run(s.data[at:], s.stride, nil, 0, s.bufA, s.bufB)
	// Row 0: the sum itself; twice 1/2.
	src := (*[block]float64)(buf)
	copy(s.data[at:at+block], src[:])
	for k := 1; 2*k < n; k++ {
		c, d := real(s.turn[k])*0.5, imag(s.turn[k])*0.5
		a := (*[block]float64)(buf[k*block:])
		b := (*[block]float64)(buf[(n-k)*block:])
		lo := (*[block]float64)(s.data[k*s.stride+at:])
		hi := (*[block]float64)(s.data[(n-k)*s.stride+at:])
		for j := range lanes {
			// The two real columns' transforms: (Z_k ± conj Z_{n-k}), times 2.
			pr, pi := a[j]+b[j], a[j+lanes]-b[j+lanes]
			qr, qi := a[j+lanes]+b[j+lanes], b[j]-a[j]
			lo[j] = c*pr - d*pi
			hi[j] = -(c*pi + d*pr)
			lo[j+lanes] = c*qr - d*qi
			hi[j+lanes] = -(c*qi + d*qr)
		}
	}
	if n%2 == 0 {
		k := n / 2
		a := (*[block]float64)(buf[k*block:])
		lo := (*[block]float64)(s.data[k*s.stride+at:])
		for j := range lanes {
			lo[j] = math.Sqrt2 / 2 * a[j]
			lo[j+lanes] = math.Sqrt2 / 2 * a[j+lanes]
		}
	}
}

// inverse is the way back from forward, into Makhoul's order.
func (s *Solver) inverse(at int) {
	n := s.rows
	f := 1 / float64(n)
	buf := s.bufA
	// The transform is run backwards by exchanging real and imaginary parts; with
	// the two columns of the pair exchanged as well, both come out in place.
	dst := (*[block]float64)(buf)
	src := (*[block]float64)(s.data[at:])
	for j := range lanes {
		dst[j] = src[j] * f
		dst[j+lanes] = src[j+lanes] * f
	}
	for k := 1; 2*k < n; k++ {
		c, d := real(s.turn[k])*f, imag(s.turn[k])*f
		lo := (*[block]float64)(s.data[k*s.stride+at:])
		hi := (*[block]float64)(s.data[(n-k)*s.stride+at:])
		a := (*[block]float64)(buf[k*block:])
		b := (*[block]float64)(buf[(n-k)*block:])
		for j := range lanes {
			// conj(w)(X_k - iX_{n-k}) for either column.
			pr, pi := c*lo[j]-d*hi[j], -c*hi[j]-d*lo[j]
			qr, qi := c*lo[j+lanes]-d*hi[j+lanes], -c*hi[j+lanes]-d*lo[j+lanes]
			// Z' = Q + iP at k and conj Q + i conj P at n-k, parts exchanged.
			a[j], a[j+lanes] = qi+pr, qr-pi
			b[j], b[j+lanes] = pr-qi, qr+pi
		}
	}
	if n%2 == 0 {
		k := n / 2
		lo := (*[block]float64)(s.data[k*s.stride+at:])
		a := (*[block]float64)(buf[k*block:])
		for j := range lanes {
			a[j] = math.Sqrt2 * f * lo[j]
			a[j+lanes] = math.Sqrt2 * f * lo[j+lanes]
		}
	}
	s.plan.run(buf, block, s.data[at:], s.stride, s.bufB, s.bufA)
}

func (s *Solver) removeMean() {
	row := s.data[:s.cols]
	sum := 0.0
	for _, v := range row {
		sum += v
	}
	sum /= float64(s.cols)
	for j := range row {
		row[j] -= sum
	}
}

// sweep solves the tridiagonal systems of lanes wavenumbers side by side: the
// recurrences wait on themselves, so several in step use the machine better.
func (s *Solver) sweep(g int) {
	n := s.cols
	base := g * lanes * s.stride
	r0 := s.data[base:][:n]
	r1 := s.data[base+s.stride:][:n]
	r2 := s.data[base+2*s.stride:][:n]
	r3 := s.data[base+3*s.stride:][:n]
	r4 := s.data[base+4*s.stride:][:n]
	r5 := s.data[base+5*s.stride:][:n]
	r6 := s.data[base+6*s.stride:][:n]
	r7 := s.data[base+7*s.stride:][:n]
	pivot := s.pivot[g*n*lanes : (g+1)*n*lanes]
	q := s.dx2
	var y0, y1, y2, y3, y4, y5, y6, y7 float64
	for j := range n {
		m := (*[lanes]float64)(pivot[j*lanes:])
		y0 = (y0 - q*r0[j]) * m[0]
		y1 = (y1 - q*r1[j]) * m[1]
		y2 = (y2 - q*r2[j]) * m[2]
		y3 = (y3 - q*r3[j]) * m[3]
		y4 = (y4 - q*r4[j]) * m[4]
		y5 = (y5 - q*r5[j]) * m[5]
		y6 = (y6 - q*r6[j]) * m[6]
		y7 = (y7 - q*r7[j]) * m[7]
		r0[j], r1[j], r2[j], r3[j] = y0, y1, y2, y3
		r4[j], r5[j], r6[j], r7[j] = y4, y5, y6, y7
	}
	y0, y1, y2, y3, y4, y5, y6, y7 = 0, 0, 0, 0, 0, 0, 0, 0
	for j := n - 1; j >= 0; j-- {
		m := (*[lanes]float64)(pivot[j*lanes:])
		y0 = r0[j] + m[0]*y0
		y1 = r1[j] + m[1]*y1
		y2 = r2[j] + m[2]*y2
		y3 = r3[j] + m[3]*y3
		y4 = r4[j] + m[4]*y4
		y5 = r5[j] + m[5]*y5
		y6 = r6[j] + m[6]*y6
		y7 = r7[j] + m[7]*y7
		r0[j], r1[j], r2[j], r3[j] = y0, y1, y2, y3
		r4[j], r5[j], r6[j], r7[j] = y4, y5, y6, y7
	}
}
