package lattice

// Transforms along two rows at once, for processors whose vector registers hold
// two complex numbers. The two stand in one array number by number: the number of
// the first row, then that of the second. To the stages between the first and the
// last that is an array of rows of width 2.

// pairTimes does all stages but the last on the products of two rows, l0·f0 and
// l1·f1.
func (t *transform) pairTimes(dst, l0, l1 []complex128, f0, f1 []float64) {
	n := t.n
	l0, l1, f0, f1 = l0[:n], l1[:n], f0[:n], f1[:n]
	dst = dst[:2*n]
	switch t.first {
	case 3:
		times3AVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n/3)
	case 5:
		times5AVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n/5)
	case 6:
		times6AVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n/6)
	case 4:
		times4AVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n/4)
	case 8:
		times8AVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n/8)
	default:
		timesAVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n)
		t.columnHead(dst, 2)
		return
	}
	t.columnMiddle(dst, 2)
}

// timesComplexPair writes the products l0·f0 and l1·f1.
func timesComplexPair(dst, l0, l1, f0, f1 []complex128) {
	n := len(l0)
	l1, f0, f1, dst = l1[:n], f0[:n], f1[:n], dst[:2*n]
	timesComplexAVX2(&dst[0], &l0[0], &l1[0], &f0[0], &f1[0], n)
}

// pairLast does the last stage from x, which it leaves alone, into a and b, of
// which it fills as many of the first outputs as they are long. spare needs room
// for a quarter of a row.
func (t *transform) pairLast(a, b, x, spare []complex128) {
	m, n := t.last.span, len(a)
	switch {
	case t.last.radix == 0:
		a[0], b[0] = x[0], x[1]
	case n > 2*m:
		full, rest := n/m, n%m
		if rest > 0 {
			lastPairFourAVX2(&a[0], &b[0], 16*m, &x[0], m, rest, &t.last.w4[0], full+1)
		}
		if full == 2 {
			lastPairAVX2(&a[rest], &a[m+rest], &b[rest], &b[m+rest], &x[2*rest], m, m-rest, &t.last.w4[rest])
		} else if rest < m {
			lastPairFourAVX2(&a[rest], &b[rest], 16*m, &x[2*rest], m, m-rest, &t.last.w4[rest], full)
		}
	default:
		two := max(0, n-m) // how many of the first quarter have a second output
		if two > 0 {
			lastPairAVX2(&a[0], &a[m], &b[0], &b[m], &x[0], m, two, &t.last.w4[0])
		}
		if one := min(n, m) - two; one > 0 {
			spare = spare[:one]
			lastPairAVX2(&a[two], &spare[0], &b[two], &spare[0], &x[2*two], m, one, &t.last.w4[two])
		}
	}
}
