package lattice

import "slices"

// Transforms down the columns of an array of rows of equal width: each butterfly
// acts on whole rows, so that its twiddle factors stay in registers.

// columnFull transforms the columns of x, t.n rows of the given width, in place.
func (t *transform) columnFull(x []complex128, width int) {
	t.columnHead(x, width)
	if t.last.radix == 4 {
		columnRadix4(x, width, t.last.span, t.last.w4)
	}
}

// columnHead does all stages but the last on those blocks of last.span rows that
// x holds.
func (t *transform) columnHead(x []complex128, width int) {
	switch t.first {
	case 2:
		columnFirst2(x, width)
	case 3:
		columnRadix3(x, width, 1, unit3)
	case 4:
		columnRadix4(x, width, 1, unit4)
	case 5:
		columnRadix5(x, width, 1, unit5)
	case 6:
		columnRadix6(x, width, 1, unit6)
	case 8:
		columnFirst8(x, width)
	}
	t.columnMiddle(x, width)
}

// columnMiddle does the stages between the first and the last.
func (t *transform) columnMiddle(x []complex128, width int) {
	for i := range t.middle {
		s := &t.middle[i]
		switch s.radix {
		case 3:
			columnRadix3(x, width, s.span, s.w3)
		case 4:
			columnRadix4(x, width, s.span, s.w4)
		case 5:
			columnRadix5(x, width, s.span, s.w5)
		case 6:
			columnRadix6(x, width, s.span, s.w6)
		}
	}
}

var (
	unit3 = [][2]complex128{{1, 1}}
	unit4 = [][3]complex128{{1, 1, 1}}
	unit5 = [][4]complex128{{1, 1, 1, 1}}
	unit6 = [][5]complex128{{1, 1, 1, 1, 1}}
)

// A sink is where a job's result goes: two planes of rows × width values, which
// may run upwards or, the second one, backwards.
type sink struct {
	re, im             []float64
	rows, width        int
	reUp, imUp, imBack bool
	spare              []float64 // room for one row nobody wants
}

// row returns the places of row i of the result.
func (s *sink) row(i int) (re, im []float64) {
	if i >= s.rows {
		return s.spare, s.spare
	}
	r, m := i, i
	if s.reUp {
		r = s.rows - 1 - i
	}
	if s.imUp {
		m = s.rows - 1 - i
	}
	return s.re[r*s.width:][:s.width], s.im[m*s.width:][:s.width]
}

// columnLast does the last stage from x, rows of pitch numbers of which it takes
// the first out.width, into the sink, filling its rows (1…n of them). It leaves x
// alone.
func (t *transform) columnLast(out *sink, x []complex128, pitch int) {
	// The butterflies write imaginary parts backwards.
	if t.last.radix == 0 {
		re, im := out.row(0)
		for i, z := range x[:out.width] {
			re[i], im[out.width-1-i] = real(z), imag(z)
		}
	} else {
		m := t.last.span
		for j := range min(m, out.rows) {
			r0, i0 := out.row(j)
			r1, i1 := out.row(m + j)
			if 2*m+j < out.rows {
				r2, i2 := out.row(2*m + j)
				r3, i3 := out.row(3*m + j)
				columnLast4([4][]float64{r0, r1, r2, r3}, [4][]float64{i0, i1, i2, i3}, x, pitch, j, t.last.w4)
			} else {
				columnLast2(r0, i0, r1, i1, x, pitch, j, t.last.w4)
			}
		}
	}
	if !out.imBack {
		for i := range out.rows {
			_, im := out.row(i)
			slices.Reverse(im)
		}
	}
}

func columnFirst2(x []complex128, n int) {
	for b := 0; b+2*n <= len(x); b += 2 * n {
		p0 := x[b : b+n]
		p1 := x[b+n : b+2*n][:len(p0)]
		for j, x0 := range p0 {
			p0[j], p1[j] = x0+p1[j], x0-p1[j]
		}
	}
}

func columnFirst8(x []complex128, n int) {
	if vector && n%2 == 0 {
		for b := 0; b+8*n <= len(x); b += 8 * n {
			first8AVX2(&x[b], 16*n, n/2)
		}
		return
	}
	for b := 0; b+8*n <= len(x); b += 8 * n {
		p0 := x[b : b+n]
		p1 := x[b+n : b+2*n][:len(p0)]
		p2 := x[b+2*n : b+3*n][:len(p0)]
		p3 := x[b+3*n : b+4*n][:len(p0)]
		p4 := x[b+4*n : b+5*n][:len(p0)]
		p5 := x[b+5*n : b+6*n][:len(p0)]
		p6 := x[b+6*n : b+7*n][:len(p0)]
		p7 := x[b+7*n : b+8*n][:len(p0)]
		for j := range p0 {
			x0r, x0i := real(p0[j]), imag(p0[j])
			x4r, x4i := real(p4[j]), imag(p4[j])
			a0r, a0i := x0r+x4r, x0i+x4i
			a1r, a1i := x0r-x4r, x0i-x4i
			x2r, x2i := real(p2[j]), imag(p2[j])
			x6r, x6i := real(p6[j]), imag(p6[j])
			a2r, a2i := x2r+x6r, x2i+x6i
			a3r, a3i := x6i-x2i, x2r-x6r
			e0r, e0i := a0r+a2r, a0i+a2i
			e2r, e2i := a0r-a2r, a0i-a2i
			e1r, e1i := a1r+a3r, a1i+a3i
			e3r, e3i := a1r-a3r, a1i-a3i
			x1r, x1i := real(p1[j]), imag(p1[j])
			x5r, x5i := real(p5[j]), imag(p5[j])
			b0r, b0i := x1r+x5r, x1i+x5i
			b1r, b1i := x1r-x5r, x1i-x5i
			x3r, x3i := real(p3[j]), imag(p3[j])
			x7r, x7i := real(p7[j]), imag(p7[j])
			b2r, b2i := x3r+x7r, x3i+x7i
			b3r, b3i := x7i-x3i, x3r-x7r
			o0r, o0i := b0r+b2r, b0i+b2i
			o2r, o2i := b2i-b0i, b0r-b2r
			c1r, c1i := b1r+b3r, b1i+b3i
			c3r, c3i := b1r-b3r, b1i-b3i
			o1r, o1i := (c1r-c1i)*sqrtHalf, (c1r+c1i)*sqrtHalf
			o3r, o3i := (-c3r-c3i)*sqrtHalf, (c3r-c3i)*sqrtHalf
			p0[j] = complex(e0r+o0r, e0i+o0i)
			p4[j] = complex(e0r-o0r, e0i-o0i)
			p1[j] = complex(e1r+o1r, e1i+o1i)
			p5[j] = complex(e1r-o1r, e1i-o1i)
			p2[j] = complex(e2r+o2r, e2i+o2i)
			p6[j] = complex(e2r-o2r, e2i-o2i)
			p3[j] = complex(e3r+o3r, e3i+o3i)
			p7[j] = complex(e3r-o3r, e3i-o3i)
		}
	}
}

func columnRadix3(x []complex128, n, m int, w [][2]complex128) {
	if vector && n%2 == 0 {
		for b := 0; b+3*m*n <= len(x); b += 3 * m * n {
			radix3AVX2(&x[b], 16*n, n/2, m, &w[:m][0])
		}
		return
	}
	for b := 0; b+3*m*n <= len(x); b += 3 * m * n {
		for j := range m {
			t, o := &w[j], b+j*n
			p0 := x[o:][:n]
			p1 := x[o+m*n:][:len(p0)]
			p2 := x[o+2*m*n:][:len(p0)]
			for i := range p0 {
				x0 := p0[i]
				x1 := p1[i] * t[0]
				x2 := p2[i] * t[1]
				s, d := x1+x2, timesI(timesReal(x1-x2, sin60))
				c := x0 - timesReal(s, 0.5)
				p0[i], p1[i], p2[i] = x0+s, c+d, c-d
			}
		}
	}
}

func columnRadix5(x []complex128, n, m int, w [][4]complex128) {
	if vector && n%2 == 0 {
		for b := 0; b+5*m*n <= len(x); b += 5 * m * n {
			radix5AVX2(&x[b], 16*n, n/2, m, &w[:m][0])
		}
		return
	}
	for b := 0; b+5*m*n <= len(x); b += 5 * m * n {
		for j := range m {
			t, o := &w[j], b+j*n
			p0 := x[o:][:n]
			p1 := x[o+m*n:][:len(p0)]
			p2 := x[o+2*m*n:][:len(p0)]
			p3 := x[o+3*m*n:][:len(p0)]
			p4 := x[o+4*m*n:][:len(p0)]
			for i := range p0 {
				x0 := p0[i]
				x1 := p1[i] * t[0]
				x2 := p2[i] * t[1]
				x3 := p3[i] * t[2]
				x4 := p4[i] * t[3]
				a1, b1 := x1+x4, x1-x4
				a2, b2 := x2+x3, x2-x3
				c1 := x0 + timesReal(a1, cos72) + timesReal(a2, cos144)
				c2 := x0 + timesReal(a1, cos144) + timesReal(a2, cos72)
				d1 := timesI(timesReal(b1, sin72) + timesReal(b2, sin144))
				d2 := timesI(timesReal(b1, sin144) - timesReal(b2, sin72))
				p0[i], p1[i], p2[i], p3[i], p4[i] = x0+a1+a2, c1+d1, c2+d2, c2-d2, c1-d1
			}
		}
	}
}

func columnRadix6(x []complex128, n, m int, w [][5]complex128) {
	if vector && n%2 == 0 {
		for b := 0; b+6*m*n <= len(x); b += 6 * m * n {
			radix6AVX2(&x[b], 16*n, n/2, m, &w[:m][0])
		}
		return
	}
	for b := 0; b+6*m*n <= len(x); b += 6 * m * n {
		for j := range m {
			t, o := &w[j], b+j*n
			p0 := x[o:][:n]
			p1 := x[o+m*n:][:len(p0)]
			p2 := x[o+2*m*n:][:len(p0)]
			p3 := x[o+3*m*n:][:len(p0)]
			p4 := x[o+4*m*n:][:len(p0)]
			p5 := x[o+5*m*n:][:len(p0)]
			for i := range p0 {
				x0 := p0[i]
				x1 := p1[i] * t[0]
				x2 := p2[i] * t[1]
				x3 := p3[i] * t[2]
				x4 := p4[i] * t[3]
				x5 := p5[i] * t[4]
				a0, b0 := x0+x3, x0-x3
				a1, b1 := x2+x5, x2-x5
				a2, b2 := x4+x1, x4-x1
				as, ad := a1+a2, timesI(timesReal(a1-a2, sin60))
				bs, bd := b1+b2, timesI(timesReal(b1-b2, sin60))
				ac, bc := a0-timesReal(as, 0.5), b0-timesReal(bs, 0.5)
				p0[i], p4[i], p2[i] = a0+as, ac+ad, ac-ad
				p3[i], p1[i], p5[i] = b0+bs, bc+bd, bc-bd
			}
		}
	}
}

func columnRadix4(x []complex128, n, m int, w [][3]complex128) {
	if vector && n%2 == 0 {
		for b := 0; b+4*m*n <= len(x); b += 4 * m * n {
			radix4AVX2(&x[b], 16*n, n/2, m, &w[:m][0])
		}
		return
	}
	for b := 0; b+4*m*n <= len(x); b += 4 * m * n {
		for j := range m {
			w1r, w1i := real(w[j][0]), imag(w[j][0])
			w2r, w2i := real(w[j][1]), imag(w[j][1])
			w3r, w3i := real(w[j][2]), imag(w[j][2])
			o := b + j*n
			p0 := x[o : o+n]
			p1 := x[o+m*n:][:len(p0)]
			p2 := x[o+2*m*n:][:len(p0)]
			p3 := x[o+3*m*n:][:len(p0)]
			if j == 0 { // all three factors are 1
				for i := range p0 {
					a0r, a0i := real(p0[i])+real(p2[i]), imag(p0[i])+imag(p2[i])
					a1r, a1i := real(p0[i])-real(p2[i]), imag(p0[i])-imag(p2[i])
					a2r, a2i := real(p1[i])+real(p3[i]), imag(p1[i])+imag(p3[i])
					a3r, a3i := imag(p3[i])-imag(p1[i]), real(p1[i])-real(p3[i])
					p0[i] = complex(a0r+a2r, a0i+a2i)
					p2[i] = complex(a0r-a2r, a0i-a2i)
					p1[i] = complex(a1r+a3r, a1i+a3i)
					p3[i] = complex(a1r-a3r, a1i-a3i)
				}
				continue
			}
			for i := range p0 {
				x1r, x1i := real(p1[i]), imag(p1[i])
				x2r, x2i := real(p2[i]), imag(p2[i])
				x3r, x3i := real(p3[i]), imag(p3[i])
				y2r, y2i := x2r*w2r-x2i*w2i, x2r*w2i+x2i*w2r
				x0r, x0i := real(p0[i]), imag(p0[i])
				a0r, a0i := x0r+y2r, x0i+y2i
				a1r, a1i := x0r-y2r, x0i-y2i
				y1r, y1i := x1r*w1r-x1i*w1i, x1r*w1i+x1i*w1r
				y3r, y3i := x3r*w3r-x3i*w3i, x3r*w3i+x3i*w3r
				a2r, a2i := y1r+y3r, y1i+y3i
				a3r, a3i := y3i-y1i, y1r-y3r
				p0[i] = complex(a0r+a2r, a0i+a2i)
				p2[i] = complex(a0r-a2r, a0i-a2i)
				p1[i] = complex(a1r+a3r, a1i+a3i)
				p3[i] = complex(a1r-a3r, a1i-a3i)
			}
		}
	}
}

// columnLast2 computes row j of the first two quarters of the output.
func columnLast2(r0, i0, r1, i1 []float64, x []complex128, pitch, j int, w [][3]complex128) {
	m, n, i := len(w), len(r0), 0
	p0 := x[j*pitch:][:n]
	p1 := x[(m+j)*pitch:][:len(p0)]
	p2 := x[(2*m+j)*pitch:][:len(p0)]
	p3 := x[(3*m+j)*pitch:][:len(p0)]
	i0, r1, i1 = i0[:len(p0)], r1[:len(p0)], i1[:len(p0)]
	if vector && n >= 4 {
		lastColumnsAVX2(&r0[0], &i0[0], &r1[0], &i1[0], &p0[0], 16*m*pitch, n, &w[j])
		i = n / 4 * 4
	}
	w1r, w1i := real(w[j][0]), imag(w[j][0])
	w2r, w2i := real(w[j][1]), imag(w[j][1])
	w3r, w3i := real(w[j][2]), imag(w[j][2])
	for ; i < len(p0); i++ {
		x1r, x1i := real(p1[i]), imag(p1[i])
		x2r, x2i := real(p2[i]), imag(p2[i])
		x3r, x3i := real(p3[i]), imag(p3[i])
		y2r, y2i := x2r*w2r-x2i*w2i, x2r*w2i+x2i*w2r
		x0r, x0i := real(p0[i]), imag(p0[i])
		a0r, a0i := x0r+y2r, x0i+y2i
		a1r, a1i := x0r-y2r, x0i-y2i
		y1r, y1i := x1r*w1r-x1i*w1i, x1r*w1i+x1i*w1r
		y3r, y3i := x3r*w3r-x3i*w3i, x3r*w3i+x3i*w3r
		r0[i] = a0r + y1r + y3r
		r1[i] = a1r + y3i - y1i
		back := len(p0) - 1 - i
		i0[back] = a0i + y1i + y3i
		i1[back] = a1i + y1r - y3r
	}
}

// columnLast4 is columnLast2 with all four quarters.
func columnLast4(re, im [4][]float64, x []complex128, pitch, j int, w [][3]complex128) {
	m, n := len(w), len(re[0])
	t, i := &w[j], 0
	if vector && n >= 2 {
		lastColumnsFourAVX2(&[8]*float64{&re[0][0], &re[1][0], &re[2][0], &re[3][0], &im[0][0], &im[1][0], &im[2][0], &im[3][0]},
			&x[j*pitch], 16*m*pitch, n, t)
		i = n / 2 * 2
	}
	for ; i < n; i++ {
		x0 := x[j*pitch+i]
		y1 := x[(m+j)*pitch+i] * t[0]
		y2 := x[(2*m+j)*pitch+i] * t[1]
		y3 := x[(3*m+j)*pitch+i] * t[2]
		a0, a1, a2, a3 := x0+y2, x0-y2, y1+y3, timesI(y1-y3)
		for q, z := range [4]complex128{a0 + a2, a1 + a3, a0 - a2, a1 - a3} {
			re[q][i], im[q][n-1-i] = real(z), imag(z)
		}
	}
}
