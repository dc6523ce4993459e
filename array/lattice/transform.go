package lattice

import (
	"math"
	"slices"
)

// transform is a discrete Fourier transform of one length n with the sign +,
//
//	X[k] = Σ_j x[j] exp(+2πi jk/n),
//
// without a factor 1/n, done by decimation in time: the input stands in
// digit-reversed order, the output in natural order. n is 4·2^a·3^b.
//
// Stages work on sub-transforms of growing size. The first has no twiddle
// factors, the last has radix 4 and leaves out outputs nobody needs, which is
// nearly half of them when the input was padded to twice its length.
type transform struct {
	n      int
	first  int     // radix of the first stage: 1 (none), 2, 3, 4, 6 or 8
	middle []stage // radix 3, 4 or 6
	last   stage   // radix 4
	slot   []int   // slot[k] is the place of index k in digit-reversed order
	index  []int   // inverse of slot
}

// stage joins radix sub-transforms of size len(w) into one. Its twiddle factors
// w[j][q-1] are exp(2πi jq/(radix·len(w))).
type stage struct {
	radix int
	w     [][5]complex128 // as many of the five as the radix needs
}

// length returns the least transform length from need on.
func length(need int) int {
	best := math.MaxInt
	for three := 4; three < 3*need+12; three *= 3 {
		n := three
		for n < need {
			n *= 2
		}
		best = min(best, n)
	}
	return best
}

// radicesOf returns the radices of the stages, the first one first, the last one 4:
// few and high ones.
func radicesOf(n int) []int {
	rest, threes, twos := n/4, 0, 0
	for ; rest%3 == 0; rest /= 3 {
		threes++
	}
	for ; rest%2 == 0; rest /= 2 {
		twos++
	}
	sixes := min(threes, twos)
	if sixes > 0 && twos-sixes == 1 {
		sixes--
	}
	var r []int
	switch twos -= sixes; {
	case twos == 1:
		r = append(r, 2)
	case twos > 1:
		r = append(r, 4<<(twos%2))
		for range (twos - 2) / 2 {
			r = append(r, 4)
		}
	}
	r = append(r, slices.Repeat([]int{6}, sixes)...)
	r = append(r, slices.Repeat([]int{3}, threes-sixes)...)
	if len(r) == 0 {
		r = []int{1}
	}
	return append(r, 4)
}

func newTransform(n int) *transform {
	t := &transform{n: n, slot: make([]int, n), index: make([]int, n)}
	radices := radicesOf(n)
	t.first = radices[0]
	span := t.first
	spans := []int{1}
	for _, r := range radices[1:] {
		s := stage{radix: r, w: make([][5]complex128, span)}
		for j := range s.w {
			for q := range r - 1 {
				sin, cos := math.Sincos(2 * math.Pi * float64(j*(q+1)) / float64(r*span))
				s.w[j][q] = complex(cos, sin)
			}
		}
		t.middle, spans = append(t.middle, s), append(spans, span)
		span *= r
	}
	t.middle, t.last = t.middle[:len(t.middle)-1], t.middle[len(t.middle)-1]
	for k := range n {
		place, rest := 0, k
		for i := len(radices) - 1; i >= 0; i-- {
			place += rest % radices[i] * spans[i]
			rest /= radices[i]
		}
		t.slot[k], t.index[place] = place, k
	}
	return t
}

// run transforms x, which it spoils, into dst, of which it fills at least the first
// kept outputs. Both have n values.
func (t *transform) run(dst, x []complex128, kept int) {
	switch t.first {
	case 2:
		first2(x)
	case 4:
		first4(x)
	case 8:
		first8(x)
	case 3:
		radix3(x, unit)
	case 6:
		first6(x)
	}
	for _, s := range t.middle {
		switch s.radix {
		case 3:
			radix3(x, s.w)
		case 4:
			radix4(x, s.w)
		case 6:
			radix6(x, s.w)
		}
	}
	m := len(t.last.w)
	last4(dst, x, t.last.w, min(max(kept-2*m, 0), m))
	last2(dst, x, t.last.w, min(max(kept-2*m, 0), m))
}

// Butterflies have the sign + and take their inputs multiplied by the twiddle
// factors: y_k = Σ_q x_q exp(+2πi kq/r). Radix 8 is two of radix 4. Written out in
// real numbers where the compiler makes more of it.

const sin60, sqrtHalf = 0.86602540378443864676372317075293618347, math.Sqrt2 / 2

func first2(x []complex128) {
	for b := 0; b+2 <= len(x); b += 2 {
		x[b], x[b+1] = x[b]+x[b+1], x[b]-x[b+1]
	}
}

func first4(x []complex128) {
	for b := 0; b+4 <= len(x); b += 4 {
		y := (*[4]complex128)(x[b:])
		y[0], y[1], y[2], y[3] = four(y[0], y[1], y[2], y[3])
	}
}

// four is a butterfly of radix 4.
func four(x0, x1, x2, x3 complex128) (y0, y1, y2, y3 complex128) {
	a0, a1, a2, d := x0+x2, x0-x2, x1+x3, x1-x3
	a3 := complex(-imag(d), real(d))
	return a0 + a2, a1 + a3, a0 - a2, a1 - a3
}

func first8(x []complex128) {
	for b := 0; b+8 <= len(x); b += 8 {
		y := (*[8]complex128)(x[b:])
		e0, e1, e2, e3 := four(y[0], y[2], y[4], y[6])
		o0, o1, o2, o3 := four(y[1], y[3], y[5], y[7])
		o1 = complex((real(o1)-imag(o1))*sqrtHalf, (real(o1)+imag(o1))*sqrtHalf)
		o2 = complex(-imag(o2), real(o2))
		o3 = complex((-real(o3)-imag(o3))*sqrtHalf, (real(o3)-imag(o3))*sqrtHalf)
		y[0], y[1], y[2], y[3] = e0+o0, e1+o1, e2+o2, e3+o3
		y[4], y[5], y[6], y[7] = e0-o0, e1-o1, e2-o2, e3-o3
	}
}

// three is a butterfly of radix 3.
func three(x0, x1, x2 complex128) (y0, y1, y2 complex128) {
	s, d := x1+x2, x1-x2
	d = complex(-imag(d)*sin60, real(d)*sin60)
	c := complex(real(x0)-0.5*real(s), imag(x0)-0.5*imag(s))
	return x0 + s, c + d, c - d
}

var unit = [][5]complex128{{1, 1, 1, 1, 1}}

func radix3(x []complex128, w [][5]complex128) {
	m := len(w)
	for b := 0; b+3*m <= len(x); b += 3 * m {
		p0, p1, p2 := x[b:][:len(w)], x[b+m:][:len(w)], x[b+2*m:][:len(w)]
		for j := range w {
			t := &w[j]
			p0[j], p1[j], p2[j] = three(p0[j], p1[j]*t[0], p2[j]*t[1])
		}
	}
}

func radix4(x []complex128, w [][5]complex128) {
	m := len(w)
	for b := 0; b+4*m <= len(x); b += 4 * m {
		p0, p1, p2, p3 := x[b:][:len(w)], x[b+m:][:len(w)], x[b+2*m:][:len(w)], x[b+3*m:][:len(w)]
		for j := range w {
			t := &w[j]
			p0[j], p1[j], p2[j], p3[j] = four(p0[j], p1[j]*t[0], p2[j]*t[1], p3[j]*t[2])
		}
	}
}

func first6(x []complex128) {
	for b := 0; b+6 <= len(x); b += 6 {
		y := (*[6]complex128)(x[b:])
		e0, e1, e2, o0, o1, o2 := y[0]+y[3], y[2]+y[5], y[4]+y[1], y[0]-y[3], y[2]-y[5], y[4]-y[1]
		y[0], y[4], y[2] = three(e0, e1, e2)
		y[3], y[1], y[5] = three(o0, o1, o2)
	}
}

// radix6 is radix 2 times radix 3 without factors in between, by the Chinese
// remainder theorem: input 3a+2b and output 3c+4d (mod 6) for the indices a, c of
// the one and b, d of the other (Good 1958, from memory).
func radix6(x []complex128, w [][5]complex128) {
	m := len(w)
	for b := 0; b+6*m <= len(x); b += 6 * m {
		p0, p1, p2 := x[b:][:len(w)], x[b+m:][:len(w)], x[b+2*m:][:len(w)]
		p3, p4, p5 := x[b+3*m:][:len(w)], x[b+4*m:][:len(w)], x[b+5*m:][:len(w)]
		for j := range w {
			t := &w[j]
			x1, x2, x3, x4, x5 := p1[j]*t[0], p2[j]*t[1], p3[j]*t[2], p4[j]*t[3], p5[j]*t[4]
			x0 := p0[j]
			p0[j], p4[j], p2[j] = three(x0+x3, x2+x5, x4+x1)
			p3[j], p1[j], p5[j] = three(x0-x3, x2-x5, x4-x1)
		}
	}
}

// last4 is a stage over the whole of x for the first k of its butterflies.
func last4(dst, x []complex128, w [][5]complex128, k int) {
	m := len(w)
	for j := range k {
		dst[j], dst[m+j], dst[2*m+j], dst[3*m+j] = four(x[j], x[m+j]*w[j][0], x[2*m+j]*w[j][1], x[3*m+j]*w[j][2])
	}
}

// last2 is last4 for the others, the first two outputs of each.
func last2(dst, x []complex128, w [][5]complex128, k int) {
	m := len(w)
	w = w[k:]
	p0, p1, p2, p3 := x[k:][:len(w)], x[m+k:][:len(w)], x[2*m+k:][:len(w)], x[3*m+k:][:len(w)]
	d0, d1 := dst[k:][:len(w)], dst[m+k:][:len(w)]
	for j := range w {
		t := &w[j]
		x1, x2, x3 := p1[j]*t[0], p2[j]*t[1], p3[j]*t[2]
		d := x1 - x3
		d0[j] = p0[j] + x2 + (x1 + x3)
		d1[j] = p0[j] - x2 + complex(-imag(d), real(d))
	}
}
