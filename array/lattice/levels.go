package lattice

// halfWidth is how many columns of the spectrum of real values of width n have to
// be known; the others are conjugates.
func halfWidth(n int) int { return n/2 + 1 }

// halfPitch is the number of complex numbers from row to row of that half, even.
func halfPitch(n int) int { return (halfWidth(n) + 1) / 2 * 2 }

// transformLevels makes the forms of the levels' spectrum that the jobs use, rows
// and columns in digit-reversed order. The lattice stands at block (Margin,
// Margin) of an array padded with zeros.
func (e *Engine) transformLevels(levels []float64) {
	var (
		s    = e.shape
		h, w = e.down.n, e.across.n
		n    = halfWidth(w)
		d    = halfPitch(w)
		line = e.lanes[0].line[:e.across.n]
	)
	clear(e.half)
	// Two rows of real values make one of complex ones; z = x + iy has
	// X[v] = (Z[v] + Z*[-v])/2, Y[v] = (Z[v] - Z*[-v])/2i.
	for r := 0; r < s.Rows; r += 2 {
		clear(line)
		x := levels[r*s.Cols:][:s.Cols]
		if r+1 < s.Rows {
			y := levels[(r+1)*s.Cols:][:s.Cols]
			for c, v := range x {
				line[e.across.slot[c+s.Margin]] = complex(v, y[c])
			}
		} else {
			for c, v := range x {
				line[e.across.slot[c+s.Margin]] = complex(v, 0)
			}
		}
		e.across.rowFull(line)
		one := e.half[e.down.slot[r+s.Margin]*d:][:n]
		two := one // of no use for a last single row
		if r+1 < s.Rows {
			two = e.half[e.down.slot[r+1+s.Margin]*d:][:n]
		}
		for v := range n {
			z, m := line[v], line[(w-v)%w]
			two[v] = complex((imag(z)+imag(m))*0.5, (real(m)-real(z))*0.5)
			one[v] = complex((real(z)+real(m))*0.5, (imag(z)-imag(m))*0.5)
		}
	}
	e.down.columnFull(e.half, d)
	// F is the transform with the sign +. Of real values the one with the sign
	// - is L[u,v] = F*[u,v] and also L[u,v] = F[-u,-v], which is the half known
	// for large v.
	for p := range h {
		u := e.down.index[p]
		near, far := e.half[u*d:][:n], e.half[(h-u)%h*d:][:n]
		for q, v := range e.across.index {
			var re, im float64
			if v < n {
				re, im = real(near[v]), -imag(near[v])
			} else {
				re, im = real(far[w-v]), imag(far[w-v])
			}
			line[q] = complex(re, im)
		}
		e.form(p*w, line)
	}
}

// form writes a row of the spectrum, starting at index at, in all forms used.
func (e *Engine) form(at int, l []complex128) {
	for i, f := range e.spectrum {
		if f == nil {
			continue
		}
		f = f[at:][:len(l)]
		for q, z := range l {
			re, im := real(z), imag(z)
			switch i {
			case plusPlus:
				re, im = re-im, re+im
			case minusPlus:
				re, im = im-re, -re-im
			case plusMinus:
				re, im = re+im, im-re
			case minusMinus:
				re, im = -re-im, re-im
			}
			f[q] = complex(re, im)
		}
	}
}
