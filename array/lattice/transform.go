package lattice

import "math"

// transform is a discrete Fourier transform of one length n with the sign +,
//
//	X[k] = Σ_j x[j] exp(+2πi jk/n),
//
// without a factor 1/n, done by decimation in time: the input stands in
// digit-reversed order, the output in natural order. n is 1 or 4·2^a·3^b·5^c.
//
// Stages work on sub-transforms of growing size. The first has no twiddle
// factors, the last has radix 4 and can be told to leave out outputs nobody
// needs, which is half of them when the input was padded to twice its length.
type transform struct {
	n      int
	first  int     // radix of the first stage: 1 (none), 2, 3, 4, 5 or 8
	middle []stage // radix 3, 4 or 5
	last   stage   // radix 4; last.radix is 0 when n is 1
	slot   []int   // slot[k] is the place of index k in digit-reversed order
	index  []int   // inverse of slot
	mirror []int   // mirror[slot[k]] = slot[(n-k)%n]
}

// stage joins radix sub-transforms of size span into one. Twiddle factors are
// exp(2πi jq/(radix·span)), j = 0…span-1, q = 1…radix-1, in the slice that
// belongs to the radix.
type stage struct {
	radix, span int
	w3          [][2]complex128
	w4          [][3]complex128
	w5          [][4]complex128
}

// stepCost is the arithmetic of one stage in real operations per point.
var stepCost = map[int]float64{1: 0, 2: 2, 3: 28.0 / 3, 4: 8.5, 5: 17, 8: 7}

// factors splits n (1 or a multiple of 4 with no prime factor above 5) into the
// radices of its stages, first stage first. It is nil for other n.
func factors(n int) []int {
	if n == 1 {
		return []int{}
	}
	if n < 4 || n%4 != 0 {
		return nil
	}
	k := n / 4
	twos := 0
	for k%2 == 0 {
		k /= 2
		twos++
	}
	var f []int
	switch {
	case twos >= 3 && twos%2 == 1:
		f = append(f, 8)
		twos -= 3
	case twos == 1:
		f = append(f, 2)
		twos--
	}
	for ; twos > 0; twos -= 2 {
		f = append(f, 4)
	}
	for k%3 == 0 {
		k /= 3
		f = append(f, 3)
	}
	for k%5 == 0 {
		k /= 5
		f = append(f, 5)
	}
	if k != 1 {
		return nil
	}
	if len(f) == 0 {
		f = append(f, 1)
	}
	return append(f, 4)
}

// transformCost estimates the real operations of a transform of length n.
func transformCost(n int) float64 {
	c := 2.0
	for _, f := range factors(n) {
		c += stepCost[f]
	}
	return c * float64(n)
}

// length returns the cheapest transform length that is at least need.
func length(need int) int {
	if need <= 1 {
		return 1
	}
	best, bestCost := 0, math.Inf(1)
	for five := 4; five <= 2*need+4; five *= 5 {
		for three := five; three <= 2*need+4; three *= 3 {
			for n := three; n <= 2*need+4; n *= 2 {
				if n < need {
					continue
				}
				if c := transformCost(n); c < bestCost {
					best, bestCost = n, c
				}
			}
		}
	}
	return best
}

// newTransform prepares a length that factors accepts.
func newTransform(n int) *transform {
	t := &transform{n: n, first: 1, slot: make([]int, n), index: make([]int, n), mirror: make([]int, n)}
	f := factors(n)
	spans := make([]int, len(f))
	span := 1
	for i, r := range f {
		spans[i] = span
		if i == 0 {
			t.first = r
		} else if s := newStage(r, span); i == len(f)-1 {
			t.last = s
		} else {
			t.middle = append(t.middle, s)
		}
		span *= r
	}
	for k := range n {
		place, rest := 0, k
		for i := len(f) - 1; i >= 0; i-- {
			place += rest % f[i] * spans[i]
			rest /= f[i]
		}
		t.slot[k] = place
		t.index[place] = k
	}
	for k := range n {
		t.mirror[t.slot[k]] = t.slot[(n-k)%n]
	}
	return t
}

func newStage(radix, span int) stage {
	s := stage{radix: radix, span: span}
	w := func(j, q int) complex128 {
		sin, cos := math.Sincos(2 * math.Pi * float64(j*q%(radix*span)) / float64(radix*span))
		return complex(cos, sin)
	}
	for j := range span {
		switch radix {
		case 3:
			s.w3 = append(s.w3, [2]complex128{w(j, 1), w(j, 2)})
		case 4:
			s.w4 = append(s.w4, [3]complex128{w(j, 1), w(j, 2), w(j, 3)})
		case 5:
			s.w5 = append(s.w5, [4]complex128{w(j, 1), w(j, 2), w(j, 3), w(j, 4)})
		}
	}
	return s
}
