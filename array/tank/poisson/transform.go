package poisson

import "math"

// plan is a complex Fourier transform of one length, applied to lanes transforms
// at once. Every element is a run of block floats: lanes real parts, then lanes
// imaginary parts. The passes are Stockham's (no reordering at the end): P. N.
// Swarztrauber, "FFT algorithms for vector computers", Parallel Computing 1 (1984)
// 45-63 (from memory); any length works, small factors are the fast ones.
type plan struct {
	passes []pass
}

// pass is one radix-r step: n is the length still to be transformed, s the number
// of interleaved transforms of that length.
type pass struct {
	r, n, s int
	twiddle []complex128 // e^(-2πipt/n), [p][t-1], p = 0 … n/r-1, t = 1 … r-1
	roots   []complex128 // e^(-2πit/r), for radices without a pass of their own

	sums, diffs [][block]float64 // scratch of the same
}

func newPlan(length int) plan {
	var pl plan
	n, s := length, 1
	for n > 1 {
		r := radix(n)
		ps := pass{r: r, n: n, s: s}
		for p := range n / r {
			for t := 1; t < r; t++ {
				sin, cos := math.Sincos(-2 * math.Pi * float64(p*t) / float64(n))
				ps.twiddle = append(ps.twiddle, complex(cos, sin))
			}
		}
		if r > 5 {
			for t := range r {
				sin, cos := math.Sincos(-2 * math.Pi * float64(t) / float64(r))
				ps.roots = append(ps.roots, complex(cos, sin))
			}
			ps.sums, ps.diffs = make([][block]float64, r/2), make([][block]float64, r/2)
		}
		pl.passes = append(pl.passes, ps)
		n /= r
		s *= r
	}
	return pl
}

// radix is the factor taken from n next.
func radix(n int) int {
	for _, r := range [...]int{5, 4, 3, 2} {
		if n%r == 0 {
			return r
		}
	}
	for r := 7; r*r <= n; r += 2 {
		if n%r == 0 {
			return r
		}
	}
	return n
}

// run transforms the elements that lie inStride floats apart in in. When out is
// nil the answer ends in one of the two buffers, which is returned; otherwise it
// goes to out, outStride apart. Elements in the buffers are block floats apart.
// bufA takes the first pass, bufB the second; in may be bufB.
func (pl *plan) run(in []float64, inStride int, out []float64, outStride int, bufA, bufB []float64) []float64 {
	for i := range pl.passes {
		dst, dstStride := bufA, block
		if out != nil && i == len(pl.passes)-1 {
			dst, dstStride = out, outStride
		}
		ps := &pl.passes[i]
		switch ps.r {
		case 2:
			ps.two(in, inStride, dst, dstStride)
		case 3:
			ps.three(in, inStride, dst, dstStride)
		case 4:
			ps.four(in, inStride, dst, dstStride)
		case 5:
			ps.five(in, inStride, dst, dstStride)
		default:
			ps.any(in, inStride, dst, dstStride)
		}
		in, inStride = dst, dstStride
		bufA, bufB = bufB, bufA
	}
	return in
}

func (ps *pass) two(in []float64, is int, out []float64, os int) {
	m, s := ps.n/2, ps.s
	for p := range m {
		w := ps.twiddle[p]
		wr, wi := real(w), imag(w)
		for q := range s {
			a := (*[block]float64)(in[(q+s*p)*is:])
			b := (*[block]float64)(in[(q+s*(p+m))*is:])
			y := (*[block]float64)(out[(q+s*2*p)*os:])
			z := (*[block]float64)(out[(q+s*(2*p+1))*os:])
			for j := range lanes {
				ar, ai, br, bi := a[j], a[j+lanes], b[j], b[j+lanes]
				y[j], y[j+lanes] = ar+br, ai+bi
				dr, di := ar-br, ai-bi
				z[j], z[j+lanes] = wr*dr-wi*di, wr*di+wi*dr
			}
		}
	}
}

func (ps *pass) three(in []float64, is int, out []float64, os int) {
	m, s := ps.n/3, ps.s
	const h = 0.86602540378443864676 // sin(π/3)
	for p := range m {
		w1, w2 := ps.twiddle[2*p], ps.twiddle[2*p+1]
		w1r, w1i, w2r, w2i := real(w1), imag(w1), real(w2), imag(w2)
		for q := range s {
			a := (*[block]float64)(in[(q+s*p)*is:])
			b := (*[block]float64)(in[(q+s*(p+m))*is:])
			c := (*[block]float64)(in[(q+s*(p+2*m))*is:])
			y0 := (*[block]float64)(out[(q+s*3*p)*os:])
			y1 := (*[block]float64)(out[(q+s*(3*p+1))*os:])
			y2 := (*[block]float64)(out[(q+s*(3*p+2))*os:])
			for j := range lanes {
				ar, ai := a[j], a[j+lanes]
				sr, si := b[j]+c[j], b[j+lanes]+c[j+lanes]
				dr, di := h*(b[j]-c[j]), h*(b[j+lanes]-c[j+lanes])
				y0[j], y0[j+lanes] = ar+sr, ai+si
				er, ei := ar-0.5*sr, ai-0.5*si
				ur, ui := er+di, ei-dr
				vr, vi := er-di, ei+dr
				y1[j], y1[j+lanes] = w1r*ur-w1i*ui, w1r*ui+w1i*ur
				y2[j], y2[j+lanes] = w2r*vr-w2i*vi, w2r*vi+w2i*vr
			}
		}
	}
}

func (ps *pass) four(in []float64, is int, out []float64, os int) {
	m, s := ps.n/4, ps.s
	for p := range m {
		w1, w2, w3 := ps.twiddle[3*p], ps.twiddle[3*p+1], ps.twiddle[3*p+2]
		w1r, w1i, w2r, w2i, w3r, w3i := real(w1), imag(w1), real(w2), imag(w2), real(w3), imag(w3)
		for q := range s {
			a := (*[block]float64)(in[(q+s*p)*is:])
			b := (*[block]float64)(in[(q+s*(p+m))*is:])
			c := (*[block]float64)(in[(q+s*(p+2*m))*is:])
			d := (*[block]float64)(in[(q+s*(p+3*m))*is:])
			y0 := (*[block]float64)(out[(q+s*4*p)*os:])
			y1 := (*[block]float64)(out[(q+s*(4*p+1))*os:])
			y2 := (*[block]float64)(out[(q+s*(4*p+2))*os:])
			y3 := (*[block]float64)(out[(q+s*(4*p+3))*os:])
			if p == 0 {
				for j := range lanes {
					er, ei := a[j]+c[j], a[j+lanes]+c[j+lanes]
					fr, fi := a[j]-c[j], a[j+lanes]-c[j+lanes]
					gr, gi := b[j]+d[j], b[j+lanes]+d[j+lanes]
					hr, hi := b[j]-d[j], b[j+lanes]-d[j+lanes]
					y0[j], y0[j+lanes] = er+gr, ei+gi
					y2[j], y2[j+lanes] = er-gr, ei-gi
					y1[j], y1[j+lanes] = fr+hi, fi-hr
					y3[j], y3[j+lanes] = fr-hi, fi+hr
				}
				continue
			}
			for j := range lanes {
				er, ei := a[j]+c[j], a[j+lanes]+c[j+lanes]
				fr, fi := a[j]-c[j], a[j+lanes]-c[j+lanes]
				gr, gi := b[j]+d[j], b[j+lanes]+d[j+lanes]
				hr, hi := b[j]-d[j], b[j+lanes]-d[j+lanes]
				y0[j], y0[j+lanes] = er+gr, ei+gi
				ur, ui := er-gr, ei-gi
				y2[j], y2[j+lanes] = w2r*ur-w2i*ui, w2r*ui+w2i*ur
				vr, vi := fr+hi, fi-hr
				y1[j], y1[j+lanes] = w1r*vr-w1i*vi, w1r*vi+w1i*vr
				xr, xi := fr-hi, fi+hr
				y3[j], y3[j+lanes] = w3r*xr-w3i*xi, w3r*xi+w3i*xr
			}
		}
	}
}

func (ps *pass) five(in []float64, is int, out []float64, os int) {
	m, s := ps.n/5, ps.s
	const (
		c1 = 0.30901699437494742410  // cos(2π/5)
		c2 = -0.80901699437494742410 // cos(4π/5)
		s1 = 0.95105651629515357212  // sin(2π/5)
		s2 = 0.58778525229247312917  // sin(4π/5)
	)
	for p := range m {
		w1, w2, w3, w4 := ps.twiddle[4*p], ps.twiddle[4*p+1], ps.twiddle[4*p+2], ps.twiddle[4*p+3]
		w1r, w1i, w2r, w2i := real(w1), imag(w1), real(w2), imag(w2)
		w3r, w3i, w4r, w4i := real(w3), imag(w3), real(w4), imag(w4)
		for q := range s {
			a := (*[block]float64)(in[(q+s*p)*is:])
			b := (*[block]float64)(in[(q+s*(p+m))*is:])
			c := (*[block]float64)(in[(q+s*(p+2*m))*is:])
			d := (*[block]float64)(in[(q+s*(p+3*m))*is:])
			e := (*[block]float64)(in[(q+s*(p+4*m))*is:])
			y0 := (*[block]float64)(out[(q+s*5*p)*os:])
			y1 := (*[block]float64)(out[(q+s*(5*p+1))*os:])
			y2 := (*[block]float64)(out[(q+s*(5*p+2))*os:])
			y3 := (*[block]float64)(out[(q+s*(5*p+3))*os:])
			y4 := (*[block]float64)(out[(q+s*(5*p+4))*os:])
			for j := range lanes {
				ar, ai := a[j], a[j+lanes]
				br, bi := b[j]+e[j], b[j+lanes]+e[j+lanes]
				er, ei := b[j]-e[j], b[j+lanes]-e[j+lanes]
				cr, ci := c[j]+d[j], c[j+lanes]+d[j+lanes]
				dr, di := c[j]-d[j], c[j+lanes]-d[j+lanes]
				y0[j], y0[j+lanes] = ar+br+cr, ai+bi+ci
				fr, fi := ar+c1*br+c2*cr, ai+c1*bi+c2*ci
				gr, gi := ar+c2*br+c1*cr, ai+c2*bi+c1*ci
				hr, hi := s1*er+s2*dr, s1*ei+s2*di
				kr, ki := s2*er-s1*dr, s2*ei-s1*di
				ur, ui := fr+hi, fi-hr
				y1[j], y1[j+lanes] = w1r*ur-w1i*ui, w1r*ui+w1i*ur
				ur, ui = gr+ki, gi-kr
				y2[j], y2[j+lanes] = w2r*ur-w2i*ui, w2r*ui+w2i*ur
				ur, ui = gr-ki, gi+kr
				y3[j], y3[j+lanes] = w3r*ur-w3i*ui, w3r*ui+w3i*ur
				ur, ui = fr-hi, fi+hr
				y4[j], y4[j+lanes] = w4r*ur-w4i*ui, w4r*ui+w4i*ur
			}
		}
	}
}

// any is for prime factors above 5: sums and differences of opposite inputs give
// two outputs at a time.
func (ps *pass) any(in []float64, is int, out []float64, os int) {
	r := ps.r
	m, s := ps.n/r, ps.s
	half := r / 2
	for p := range m {
		for q := range s {
			first := (*[block]float64)(in[(q+s*p)*is:])
			total := *first
			for u := 1; u <= half; u++ {
				x := (*[block]float64)(in[(q+s*(p+u*m))*is:])
				z := (*[block]float64)(in[(q+s*(p+(r-u)*m))*is:])
				sum, diff := &ps.sums[u-1], &ps.diffs[u-1]
				for j := range block {
					sum[j], diff[j] = x[j]+z[j], x[j]-z[j]
					total[j] += sum[j]
				}
			}
			*(*[block]float64)(out[(q+s*r*p)*os:]) = total
			for t := 1; t <= half; t++ {
				acc := *first
				var odd [block]float64
				k := 0
				for u := range half {
					if k += t; k >= r {
						k -= r
					}
					c, sn := real(ps.roots[k]), imag(ps.roots[k])
					sum, diff := &ps.sums[u], &ps.diffs[u]
					for j := range block {
						acc[j] += c * sum[j]
						odd[j] += sn * diff[j]
					}
				}
				y := (*[block]float64)(out[(q+s*(r*p+t))*os:])
				z := (*[block]float64)(out[(q+s*(r*p+r-t))*os:])
				w, v := ps.twiddle[p*(r-1)+t-1], ps.twiddle[p*(r-1)+r-t-1]
				wr, wi, vr, vi := real(w), imag(w), real(v), imag(v)
				for j := range lanes {
					ur, ui := acc[j]-odd[j+lanes], acc[j+lanes]+odd[j]
					y[j], y[j+lanes] = wr*ur-wi*ui, wr*ui+wi*ur
					ur, ui = acc[j]+odd[j+lanes], acc[j+lanes]-odd[j]
					z[j], z[j+lanes] = vr*ur-vi*ui, vr*ui+vi*ur
				}
			}
		}
	}
}
