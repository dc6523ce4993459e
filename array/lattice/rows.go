package lattice

// Transforms along one row whose values lie next to each other in memory.

// rowFull transforms x in place, all outputs.
func (t *transform) rowFull(x []complex128) {
	t.rowHead(x)
	if t.last.radix == 4 {
		rowRadix4(x, t.last.span, t.last.w4)
	}
}

// rowHead does all stages but the last.
func (t *transform) rowHead(x []complex128) {
	switch t.first {
	case 2:
		rowFirst2(x)
	case 3:
		rowRadix3(x, 1, unit3)
	case 4:
		rowFirst4(x)
	case 5:
		rowRadix5(x, 1, unit5)
	case 6:
		rowRadix6(x, 1, unit6)
	case 8:
		rowFirst8(x)
	}
	t.rowMiddle(x)
}

func (t *transform) rowMiddle(x []complex128) {
	for i := range t.middle {
		s := &t.middle[i]
		switch s.radix {
		case 3:
			rowRadix3(x, s.span, s.w3)
		case 4:
			rowRadix4(x, s.span, s.w4)
		case 5:
			rowRadix5(x, s.span, s.w5)
		case 6:
			rowRadix6(x, s.span, s.w6)
		}
	}
}

// rowLast does the last stage from x, which it leaves alone, into dst, of which
// it fills as many of the first outputs as dst is long (1…n). spare needs room
// for a quarter of x.
func (t *transform) rowLast(dst, x, spare []complex128) {
	m := t.last.span
	if t.last.radix == 0 {
		copy(dst, x[:1])
		return
	}
	if len(dst) == 2*m {
		rowLast2(dst[:m], dst[m:], x, 0, t.last.w4)
		return
	}
	full, rest := len(dst)/m, len(dst)%m
	part := func(q, lo, hi int) []complex128 {
		if q*m+hi <= len(dst) {
			return dst[q*m+lo : q*m+hi]
		}
		return spare[:hi-lo]
	}
	run := func(lo, hi, kept int) {
		switch {
		case hi == lo || kept == 0:
		case kept <= 2:
			rowLast2(part(0, lo, hi), part(1, lo, hi), x, lo, t.last.w4)
		default:
			rowLast4(part(0, lo, hi), part(1, lo, hi), part(2, lo, hi), part(3, lo, hi), x, lo, t.last.w4)
		}
	}
	run(0, rest, full+1)
	run(rest, m, full)
}

func rowFirst2(x []complex128) {
	for b := 0; b+2 <= len(x); b += 2 {
		x[b], x[b+1] = x[b]+x[b+1], x[b]-x[b+1]
	}
}

func rowFirst4(x []complex128) {
	for b := 0; b+4 <= len(x); b += 4 {
		y := (*[4]complex128)(x[b:])
		a0r, a0i := real(y[0])+real(y[2]), imag(y[0])+imag(y[2])
		a1r, a1i := real(y[0])-real(y[2]), imag(y[0])-imag(y[2])
		a2r, a2i := real(y[1])+real(y[3]), imag(y[1])+imag(y[3])
		a3r, a3i := imag(y[3])-imag(y[1]), real(y[1])-real(y[3])
		y[0] = complex(a0r+a2r, a0i+a2i)
		y[2] = complex(a0r-a2r, a0i-a2i)
		y[1] = complex(a1r+a3r, a1i+a3i)
		y[3] = complex(a1r-a3r, a1i-a3i)
	}
}

// rowTimes4 is rowFirst4 on the products l·f.
func rowTimes4(dst, l []complex128, f []float64) {
	for b := 0; b+4 <= len(dst) && b+4 <= len(l) && b+4 <= len(f); b += 4 {
		x := (*[4]complex128)(l[b:])
		g := (*[4]float64)(f[b:])
		y := (*[4]complex128)(dst[b:])
		x0r, x0i := real(x[0])*g[0], imag(x[0])*g[0]
		x2r, x2i := real(x[2])*g[2], imag(x[2])*g[2]
		a0r, a0i := x0r+x2r, x0i+x2i
		a1r, a1i := x0r-x2r, x0i-x2i
		x1r, x1i := real(x[1])*g[1], imag(x[1])*g[1]
		x3r, x3i := real(x[3])*g[3], imag(x[3])*g[3]
		a2r, a2i := x1r+x3r, x1i+x3i
		a3r, a3i := x3i-x1i, x1r-x3r
		y[0] = complex(a0r+a2r, a0i+a2i)
		y[2] = complex(a0r-a2r, a0i-a2i)
		y[1] = complex(a1r+a3r, a1i+a3i)
		y[3] = complex(a1r-a3r, a1i-a3i)
	}
}

func rowFirst8(x []complex128) {
	for b := 0; b+8 <= len(x); b += 8 {
		y := (*[8]complex128)(x[b:])
		a0r, a0i := real(y[0])+real(y[4]), imag(y[0])+imag(y[4])
		a1r, a1i := real(y[0])-real(y[4]), imag(y[0])-imag(y[4])
		a2r, a2i := real(y[2])+real(y[6]), imag(y[2])+imag(y[6])
		a3r, a3i := imag(y[6])-imag(y[2]), real(y[2])-real(y[6])
		e0r, e0i := a0r+a2r, a0i+a2i
		e2r, e2i := a0r-a2r, a0i-a2i
		e1r, e1i := a1r+a3r, a1i+a3i
		e3r, e3i := a1r-a3r, a1i-a3i
		b0r, b0i := real(y[1])+real(y[5]), imag(y[1])+imag(y[5])
		b1r, b1i := real(y[1])-real(y[5]), imag(y[1])-imag(y[5])
		b2r, b2i := real(y[3])+real(y[7]), imag(y[3])+imag(y[7])
		b3r, b3i := imag(y[7])-imag(y[3]), real(y[3])-real(y[7])
		o0r, o0i := b0r+b2r, b0i+b2i
		o2r, o2i := b2i-b0i, b0r-b2r
		c1r, c1i := b1r+b3r, b1i+b3i
		c3r, c3i := b1r-b3r, b1i-b3i
		o1r, o1i := (c1r-c1i)*sqrtHalf, (c1r+c1i)*sqrtHalf
		o3r, o3i := (-c3r-c3i)*sqrtHalf, (c3r-c3i)*sqrtHalf
		y[0] = complex(e0r+o0r, e0i+o0i)
		y[4] = complex(e0r-o0r, e0i-o0i)
		y[1] = complex(e1r+o1r, e1i+o1i)
		y[5] = complex(e1r-o1r, e1i-o1i)
		y[2] = complex(e2r+o2r, e2i+o2i)
		y[6] = complex(e2r-o2r, e2i-o2i)
		y[3] = complex(e3r+o3r, e3i+o3i)
		y[7] = complex(e3r-o3r, e3i-o3i)
	}
}

// rowTimes8 is rowFirst8 on the products l·f.
func rowTimes8(dst, l []complex128, f []float64) {
	for b := 0; b+8 <= len(dst) && b+8 <= len(l) && b+8 <= len(f); b += 8 {
		x := (*[8]complex128)(l[b:])
		g := (*[8]float64)(f[b:])
		y := (*[8]complex128)(dst[b:])
		x0r, x0i := real(x[0])*g[0], imag(x[0])*g[0]
		x4r, x4i := real(x[4])*g[4], imag(x[4])*g[4]
		a0r, a0i := x0r+x4r, x0i+x4i
		a1r, a1i := x0r-x4r, x0i-x4i
		x2r, x2i := real(x[2])*g[2], imag(x[2])*g[2]
		x6r, x6i := real(x[6])*g[6], imag(x[6])*g[6]
		a2r, a2i := x2r+x6r, x2i+x6i
		a3r, a3i := x6i-x2i, x2r-x6r
		e0r, e0i := a0r+a2r, a0i+a2i
		e2r, e2i := a0r-a2r, a0i-a2i
		e1r, e1i := a1r+a3r, a1i+a3i
		e3r, e3i := a1r-a3r, a1i-a3i
		x1r, x1i := real(x[1])*g[1], imag(x[1])*g[1]
		x5r, x5i := real(x[5])*g[5], imag(x[5])*g[5]
		b0r, b0i := x1r+x5r, x1i+x5i
		b1r, b1i := x1r-x5r, x1i-x5i
		x3r, x3i := real(x[3])*g[3], imag(x[3])*g[3]
		x7r, x7i := real(x[7])*g[7], imag(x[7])*g[7]
		b2r, b2i := x3r+x7r, x3i+x7i
		b3r, b3i := x7i-x3i, x3r-x7r
		o0r, o0i := b0r+b2r, b0i+b2i
		o2r, o2i := b2i-b0i, b0r-b2r
		c1r, c1i := b1r+b3r, b1i+b3i
		c3r, c3i := b1r-b3r, b1i-b3i
		o1r, o1i := (c1r-c1i)*sqrtHalf, (c1r+c1i)*sqrtHalf
		o3r, o3i := (-c3r-c3i)*sqrtHalf, (c3r-c3i)*sqrtHalf
		y[0] = complex(e0r+o0r, e0i+o0i)
		y[4] = complex(e0r-o0r, e0i-o0i)
		y[1] = complex(e1r+o1r, e1i+o1i)
		y[5] = complex(e1r-o1r, e1i-o1i)
		y[2] = complex(e2r+o2r, e2i+o2i)
		y[6] = complex(e2r-o2r, e2i-o2i)
		y[3] = complex(e3r+o3r, e3i+o3i)
		y[7] = complex(e3r-o3r, e3i-o3i)
	}
}

// rowTimes3 is a first stage of radix 3 on the products l·f.
func rowTimes3(dst, l []complex128, f []float64) {
	for b := 0; b+3 <= len(dst) && b+3 <= len(l) && b+3 <= len(f); b += 3 {
		x := (*[3]complex128)(l[b:])
		g := (*[3]float64)(f[b:])
		y := (*[3]complex128)(dst[b:])
		x0, x1, x2 := timesReal(x[0], g[0]), timesReal(x[1], g[1]), timesReal(x[2], g[2])
		s, d := x1+x2, timesI(timesReal(x1-x2, sin60))
		c := x0 - timesReal(s, 0.5)
		y[0], y[1], y[2] = x0+s, c+d, c-d
	}
}

// rowTimes5 is a first stage of radix 5 on the products l·f.
func rowTimes5(dst, l []complex128, f []float64) {
	for b := 0; b+5 <= len(dst) && b+5 <= len(l) && b+5 <= len(f); b += 5 {
		x := (*[5]complex128)(l[b:])
		g := (*[5]float64)(f[b:])
		y := (*[5]complex128)(dst[b:])
		x1, x4 := timesReal(x[1], g[1]), timesReal(x[4], g[4])
		a1, b1 := x1+x4, x1-x4
		x2, x3 := timesReal(x[2], g[2]), timesReal(x[3], g[3])
		a2, b2 := x2+x3, x2-x3
		x0 := timesReal(x[0], g[0])
		c1 := x0 + timesReal(a1, cos72) + timesReal(a2, cos144)
		c2 := x0 + timesReal(a1, cos144) + timesReal(a2, cos72)
		d1 := timesI(timesReal(b1, sin72) + timesReal(b2, sin144))
		d2 := timesI(timesReal(b1, sin144) - timesReal(b2, sin72))
		y[0], y[1], y[2], y[3], y[4] = x0+a1+a2, c1+d1, c2+d2, c2-d2, c1-d1
	}
}

// rowTimes6 is a first stage of radix 6 on the products l·f.
func rowTimes6(dst, l []complex128, f []float64) {
	for b := 0; b+6 <= len(dst) && b+6 <= len(l) && b+6 <= len(f); b += 6 {
		x := (*[6]complex128)(l[b:])
		g := (*[6]float64)(f[b:])
		y := (*[6]complex128)(dst[b:])
		x0, x3 := timesReal(x[0], g[0]), timesReal(x[3], g[3])
		a0, b0 := x0+x3, x0-x3
		x2, x5 := timesReal(x[2], g[2]), timesReal(x[5], g[5])
		a1, b1 := x2+x5, x2-x5
		x4, x1 := timesReal(x[4], g[4]), timesReal(x[1], g[1])
		a2, b2 := x4+x1, x4-x1
		as, ad := a1+a2, timesI(timesReal(a1-a2, sin60))
		ac := a0 - timesReal(as, 0.5)
		y[0], y[4], y[2] = a0+as, ac+ad, ac-ad
		bs, bd := b1+b2, timesI(timesReal(b1-b2, sin60))
		bc := b0 - timesReal(bs, 0.5)
		y[3], y[1], y[5] = b0+bs, bc+bd, bc-bd
	}
}

func rowRadix3(x []complex128, m int, w [][2]complex128) {
	w = w[:m]
	for b := 0; b+3*m <= len(x); b += 3 * m {
		p0 := x[b : b+m][:len(w)]
		p1 := x[b+m : b+2*m][:len(w)]
		p2 := x[b+2*m : b+3*m][:len(w)]
		for j := range w {
			t := &w[j]
			x0 := p0[j]
			x1 := p1[j] * t[0]
			x2 := p2[j] * t[1]
			s, d := x1+x2, timesI(timesReal(x1-x2, sin60))
			c := x0 - timesReal(s, 0.5)
			p0[j], p1[j], p2[j] = x0+s, c+d, c-d
		}
	}
}

func rowRadix5(x []complex128, m int, w [][4]complex128) {
	w = w[:m]
	for b := 0; b+5*m <= len(x); b += 5 * m {
		p0 := x[b : b+m][:len(w)]
		p1 := x[b+m : b+2*m][:len(w)]
		p2 := x[b+2*m : b+3*m][:len(w)]
		p3 := x[b+3*m : b+4*m][:len(w)]
		p4 := x[b+4*m : b+5*m][:len(w)]
		for j := range w {
			t := &w[j]
			x0 := p0[j]
			x1 := p1[j] * t[0]
			x2 := p2[j] * t[1]
			x3 := p3[j] * t[2]
			x4 := p4[j] * t[3]
			a1, b1 := x1+x4, x1-x4
			a2, b2 := x2+x3, x2-x3
			c1 := x0 + timesReal(a1, cos72) + timesReal(a2, cos144)
			c2 := x0 + timesReal(a1, cos144) + timesReal(a2, cos72)
			d1 := timesI(timesReal(b1, sin72) + timesReal(b2, sin144))
			d2 := timesI(timesReal(b1, sin144) - timesReal(b2, sin72))
			p0[j], p1[j], p2[j], p3[j], p4[j] = x0+a1+a2, c1+d1, c2+d2, c2-d2, c1-d1
		}
	}
}

func rowRadix6(x []complex128, m int, w [][5]complex128) {
	w = w[:m]
	for b := 0; b+6*m <= len(x); b += 6 * m {
		p0 := x[b : b+m][:len(w)]
		p1 := x[b+m : b+2*m][:len(w)]
		p2 := x[b+2*m : b+3*m][:len(w)]
		p3 := x[b+3*m : b+4*m][:len(w)]
		p4 := x[b+4*m : b+5*m][:len(w)]
		p5 := x[b+5*m : b+6*m][:len(w)]
		for j := range w {
			t := &w[j]
			x0 := p0[j]
			x1 := p1[j] * t[0]
			x2 := p2[j] * t[1]
			x3 := p3[j] * t[2]
			x4 := p4[j] * t[3]
			x5 := p5[j] * t[4]
			a0, b0 := x0+x3, x0-x3
			a1, b1 := x2+x5, x2-x5
			a2, b2 := x4+x1, x4-x1
			as, ad := a1+a2, timesI(timesReal(a1-a2, sin60))
			bs, bd := b1+b2, timesI(timesReal(b1-b2, sin60))
			ac, bc := a0-timesReal(as, 0.5), b0-timesReal(bs, 0.5)
			p0[j], p4[j], p2[j] = a0+as, ac+ad, ac-ad
			p3[j], p1[j], p5[j] = b0+bs, bc+bd, bc-bd
		}
	}
}

func rowRadix4(x []complex128, m int, w [][3]complex128) {
	w = w[:m]
	for b := 0; b+4*m <= len(x); b += 4 * m {
		p0 := x[b : b+m][:len(w)]
		p1 := x[b+m : b+2*m][:len(w)]
		p2 := x[b+2*m : b+3*m][:len(w)]
		p3 := x[b+3*m : b+4*m][:len(w)]
		for j := range w {
			t := &w[j]
			x1r, x1i := real(p1[j]), imag(p1[j])
			x2r, x2i := real(p2[j]), imag(p2[j])
			x3r, x3i := real(p3[j]), imag(p3[j])
			w1r, w1i := real(t[0]), imag(t[0])
			w2r, w2i := real(t[1]), imag(t[1])
			w3r, w3i := real(t[2]), imag(t[2])
			y2r, y2i := x2r*w2r-x2i*w2i, x2r*w2i+x2i*w2r
			x0r, x0i := real(p0[j]), imag(p0[j])
			a0r, a0i := x0r+y2r, x0i+y2i
			a1r, a1i := x0r-y2r, x0i-y2i
			y1r, y1i := x1r*w1r-x1i*w1i, x1r*w1i+x1i*w1r
			y3r, y3i := x3r*w3r-x3i*w3i, x3r*w3i+x3i*w3r
			a2r, a2i := y1r+y3r, y1i+y3i
			a3r, a3i := y3i-y1i, y1r-y3r
			p0[j] = complex(a0r+a2r, a0i+a2i)
			p2[j] = complex(a0r-a2r, a0i-a2i)
			p1[j] = complex(a1r+a3r, a1i+a3i)
			p3[j] = complex(a1r-a3r, a1i-a3i)
		}
	}
}

// rowLast2 is a radix-4 stage over the whole of x for j = lo…lo+len(d0)-1 that
// computes the first two of the four outputs.
func rowLast2(d0, d1, x []complex128, lo int, w [][3]complex128) {
	m := len(w)
	w = w[lo : lo+len(d0)]
	p0 := x[lo:][:len(w)]
	p1 := x[m+lo:][:len(w)]
	p2 := x[2*m+lo:][:len(w)]
	p3 := x[3*m+lo:][:len(w)]
	d0 = d0[:len(w)]
	d1 = d1[:len(w)]
	for j := range w {
		t := &w[j]
		x1r, x1i := real(p1[j]), imag(p1[j])
		x2r, x2i := real(p2[j]), imag(p2[j])
		x3r, x3i := real(p3[j]), imag(p3[j])
		w1r, w1i := real(t[0]), imag(t[0])
		w2r, w2i := real(t[1]), imag(t[1])
		w3r, w3i := real(t[2]), imag(t[2])
		y2r, y2i := x2r*w2r-x2i*w2i, x2r*w2i+x2i*w2r
		x0r, x0i := real(p0[j]), imag(p0[j])
		a0r, a0i := x0r+y2r, x0i+y2i
		a1r, a1i := x0r-y2r, x0i-y2i
		y1r, y1i := x1r*w1r-x1i*w1i, x1r*w1i+x1i*w1r
		y3r, y3i := x3r*w3r-x3i*w3i, x3r*w3i+x3i*w3r
		d0[j] = complex(a0r+y1r+y3r, a0i+y1i+y3i)
		d1[j] = complex(a1r+y3i-y1i, a1i+y1r-y3r)
	}
}

// rowLast4 is rowLast2 with all four outputs.
func rowLast4(d0, d1, d2, d3, x []complex128, lo int, w [][3]complex128) {
	m := len(w)
	for j := range d0 {
		t := &w[lo+j]
		x0 := x[lo+j]
		y1 := x[m+lo+j] * t[0]
		y2 := x[2*m+lo+j] * t[1]
		y3 := x[3*m+lo+j] * t[2]
		a0, a1, a2, a3 := x0+y2, x0-y2, y1+y3, timesI(y1-y3)
		d0[j] = a0 + a2
		d1[j] = a1 + a3
		d2[j] = a0 - a2
		d3[j] = a1 - a3
	}
}

// timesRow writes the products l·f.
func timesRow(dst, l []complex128, f []float64) {
	dst, f = dst[:len(l)], f[:len(l)]
	for j, z := range l {
		dst[j] = complex(real(z)*f[j], imag(z)*f[j])
	}
}

// timesComplexRow writes the products l·f.
func timesComplexRow(dst, l, f []complex128) {
	dst, f = dst[:len(l)], f[:len(l)]
	for j, z := range l {
		g := f[j]
		dst[j] = complex(real(z)*real(g)-imag(z)*imag(g), real(z)*imag(g)+imag(z)*real(g))
	}
}

// rowTimes is rowHead on the products l·f.
func (t *transform) rowTimes(dst, l []complex128, f []float64) {
	switch t.first {
	case 3:
		rowTimes3(dst, l, f)
	case 4:
		rowTimes4(dst, l, f)
	case 5:
		rowTimes5(dst, l, f)
	case 6:
		rowTimes6(dst, l, f)
	case 8:
		rowTimes8(dst, l, f)
	default:
		timesRow(dst, l, f)
		t.rowHead(dst)
		return
	}
	t.rowMiddle(dst)
}
