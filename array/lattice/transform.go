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
	n       int
	radices []int   // of all stages, first stage first
	first   int     // radix of the first stage: 1 (none), 2, 3, 4, 5, 6 or 8
	middle  []stage // radix 3, 4, 5 or 6
	last    stage   // radix 4; last.radix is 0 when n is 1
	slot    []int   // slot[k] is the place of index k in digit-reversed order
	index   []int   // inverse of slot
	mirror  []int   // mirror[slot[k]] = slot[(n-k)%n]
}

// stage joins radix sub-transforms of size span into one. Twiddle factors are
// exp(2πi jq/(radix·span)), j = 0…span-1, q = 1…radix-1, in the slice that
// belongs to the radix.
type stage struct {
	radix, span int
	w3          [][2]complex128
	w4          [][3]complex128
	w5          [][4]complex128
	w6          [][5]complex128
}

// costs are times per point of the stages a transform can have, in nanoseconds on
// one core of the machine of doc.go. Only their ratios matter: they choose the
// lengths and radices, and which way of summing is taken.
type costs struct {
	first  map[int]float64
	middle map[int]float64
	last   float64
}

// rowCosts are those of rows.go or pairs.go, the products of the first stage
// included.
func rowCosts() costs {
	if vector {
		return costs{
			first:  map[int]float64{1: 0.3, 2: 1.2, 3: 0.4, 4: 0.33, 5: 0.36, 6: 0.33, 8: 0.31},
			middle: map[int]float64{3: 0.31, 4: 0.3, 5: 0.33, 6: 0.34},
			last:   0.38,
		}
	}
	return costs{
		first:  map[int]float64{1: 0.9, 2: 1.5, 3: 1.5, 4: 1.1, 5: 1.45, 6: 1.3, 8: 1.0},
		middle: map[int]float64{3: 0.85, 4: 0.75, 5: 1.25, 6: 1.05},
		last:   0.72,
	}
}

// columnCosts are those of columns.go.
func columnCosts() costs {
	if vector {
		return costs{
			first:  map[int]float64{1: 0.01, 2: 0.5, 3: 0.29, 4: 0.26, 5: 0.32, 6: 0.32, 8: 0.25},
			middle: map[int]float64{3: 0.3, 4: 0.27, 5: 0.33, 6: 0.33},
			last:   0.33,
		}
	}
	return costs{
		first:  map[int]float64{1: 0.01, 2: 0.7, 3: 0.79, 4: 0.55, 5: 1.19, 6: 0.99, 8: 0.85},
		middle: map[int]float64{3: 0.8, 4: 0.6, 5: 1.2, 6: 1.0},
		last:   0.8,
	}
}

// changeCosts are those of the changed-pixel path for one row of a plane and for
// one sample in it.
func changeCosts() (row, sample float64) {
	if vector {
		return 0.7, 0.14
	}
	return 4, 0.21
}

// factors returns the radices of the cheapest sequence of stages for length n,
// first stage first, and its cost per point. It returns nil for n = 1 and for an n
// that is not 4·2^a·3^b·5^c.
func (c costs) factors(n int) (radices []int, cost float64) {
	cost = math.Inf(1)
	if n == 1 {
		return nil, 0
	}
	if n%4 != 0 {
		return nil, cost
	}
	for _, r := range []int{8, 4, 6, 5, 3, 2, 1} {
		if n/4%r != 0 {
			continue
		}
		rest, more := c.middles(n/4/r, 6)
		if more += c.first[r] + c.last; more < cost {
			radices, cost = append(append([]int{r}, rest...), 4), more
		}
	}
	return radices, cost
}

// middles is factors for the stages between the first and the last, none of them
// above most.
func (c costs) middles(n, most int) (radices []int, cost float64) {
	if n == 1 {
		return nil, 0
	}
	cost = math.Inf(1)
	for r := most; r >= 3; r-- {
		if n%r != 0 {
			continue
		}
		rest, more := c.middles(n/r, r)
		if more += c.middle[r]; more < cost {
			radices, cost = append([]int{r}, rest...), more
		}
	}
	return radices, cost
}

// length returns the transform length of at least need that costs least.
func (c costs) length(need int) int {
	if need <= 1 {
		return 1
	}
	best, least := 0, math.Inf(1)
	for five := 4; five <= 2*need+4; five *= 5 {
		for three := five; three <= 2*need+4; three *= 3 {
			for n := three; n <= 2*need+4; n *= 2 {
				if n < need {
					continue
				}
				if _, cost := c.factors(n); cost*float64(n) < least {
					best, least = n, cost*float64(n)
				}
			}
		}
	}
	return best
}

// newTransform prepares a transform of length n, 1 or 4·2^a·3^b·5^c.
func newTransform(n int, c costs) *transform {
	t := &transform{n: n, first: 1, slot: make([]int, n), index: make([]int, n), mirror: make([]int, n)}
	f, _ := c.factors(n)
	t.radices = f
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
		case 6:
			s.w6 = append(s.w6, [5]complex128{w(j, 1), w(j, 2), w(j, 3), w(j, 4), w(j, 5)})
		}
	}
	return s
}
