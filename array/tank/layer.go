package tank

import (
	"math"
	"math/bits"
)

// Shares nearer than purity to 0 or 1 are cut to 0 and 1, and what is cut is given to
// the mixed cells next to it: only cells about the interface then need work, and the
// rest stays exactly pure.
const (
	purity  = 1e-8
	between = 1e-12 // the same between two sweeps; so little is given to all listed cells alike
)

// layer holds drops that are too far from each other to meddle: everything about the
// interface is worked out within one layer, so drops in different layers pass and lie
// against each other at any distance without merging (drops.go).
type layer struct {
	c    []float64 // share of each cell
	core []bool    // c ≥ ½ before the first sweep, in the cells that the sweeps touch
	slot []int32   // 1 + the cell's place in cells; 0 for cells not listed
	grip []float64 // Pa, the contact line's hold in the listed cells; NaN elsewhere; nil when there is none

	// The listed cells: those with 0 < c < 1, and full ones beside an empty one. Row by
	// row, from the left; row i is cells[first[i]:first[i+1]].
	cells []int32
	first []int32
	lines []line
	// Of the full steps only:
	facets []facet
	press  []float64 // Pa, σκ − Φ plus the contact line's hold
	held   []float64 // Pa, grip in work

	before   []int32   // cells listed when grip was last set
	owner    []int32   // Tank.pieces that the listed cells belong to
	runs     []run     // the listed cells and all their neighbours
	bits     []uint64  // the listed cells; a row is a whole number of words
	wide     []uint64  // the same widened, as in runs
	cut      []remnant // to be given back near by
	over     []remnant // the same, from drops joined
	residual float64   // Σ c cut off that no cell near by could take, to be given to all
}

// run is the columns lo … hi−1 of a row.
type run struct{ row, lo, hi int32 }

// remnant is the share cut off in a cell.
type remnant struct {
	cell int32
	c    float64
}

func (t *Tank) newLayer() *layer {
	n := t.nx * t.ny
	l := &layer{c: make([]float64, t.nx*t.p.Rows), core: make([]bool, n), slot: make([]int32, n), first: make([]int32, t.ny+1),
		bits: make([]uint64, t.ny*t.words), wide: make([]uint64, t.ny*t.words)}
	if t.p.ContactLine > 0 {
		l.grip = make([]float64, n)
		for k := range l.grip {
			l.grip[k] = math.NaN()
		}
	}
	return l
}

func (l *layer) empty() bool { return len(l.cells) == 0 }

// scan lists anew the cells within the runs, outside of which nothing is to be listed
// and nothing was, and cuts the shares nearer than the limit to 0 or 1.
func (t *Tank) scan(l *layer, limit float64) {
	nx, ny := int32(t.nx), int32(t.ny)
	for _, k := range l.cells {
		l.slot[k] = 0
	}
	cells, cut := l.cells[:0], l.cut[:0]
	clear(l.bits)
	row := int32(0)
	full := 1 - limit
	for _, r := range l.runs {
		for row < r.row {
			row++
			l.first[row] = int32(len(cells))
		}
		base := r.row * nx
		bits := l.bits[int(r.row)*t.words:]
		for j := r.lo; j < r.hi; j++ {
			k := base + j
			a := l.c[k]
			if a < limit {
				if a != 0 {
					l.c[k] = 0
					if a > between {
						cut = append(cut, remnant{k, a})
					} else {
						l.residual += a
					}
				}
				continue
			}
			if a > full {
				if a != 1 {
					l.c[k] = 1
					if a -= 1; a < -between {
						cut = append(cut, remnant{k, a})
					} else {
						l.residual += a
					}
				}
				if !(j > 0 && l.c[k-1] < limit || j < nx-1 && l.c[k+1] < limit ||
					r.row > 0 && l.c[k-nx] < limit || r.row < ny-1 && l.c[k+nx] < limit) {
					continue
				}
			}
			cells = append(cells, k)
			l.slot[k] = int32(len(cells))
			bits[j>>6] |= 1 << (j & 63)
		}
	}
	for row < ny {
		row++
		l.first[row] = int32(len(cells))
	}
	l.cells, l.cut = cells, cut
}

// widen sets the runs to the listed cells and their eight neighbours.
func (t *Tank) widen(l *layer) {
	nw, nx := t.words, int32(t.nx)
	l.runs = l.runs[:0]
	for i := range t.ny {
		above, here, below := l.bits[max(i-1, 0)*nw:][:nw], l.bits[i*nw:][:nw], l.bits[min(i+1, t.ny-1)*nw:][:nw]
		wide := l.wide[i*nw:][:nw]
		any := uint64(0)
		for w := range wide {
			wide[w] = above[w] | here[w] | below[w]
			any |= wide[w]
		}
		if any == 0 {
			continue
		}
		before := uint64(0)
		for w, b := range wide {
			next := uint64(0)
			if w+1 < nw {
				next = wide[w+1]
			}
			wide[w] = b | b<<1 | b>>1 | before>>63 | next<<63
			before = b
		}
		// Stretches of ones.
		open := int32(-1)
		for w, b := range wide {
			at := int32(w) << 6
			if open < 0 && b == 0 || open >= 0 && b == math.MaxUint64 {
				continue
			}
			for p := int32(0); p < 64; {
				if open < 0 {
					p += int32(bits.TrailingZeros64(b >> p))
					if p < 64 {
						open = at + p
					}
				} else {
					p += int32(bits.TrailingZeros64(^(b >> p)))
					if p < 64 {
						l.runs = append(l.runs, run{int32(i), open, min(at+p, nx)})
						open = -1
					}
				}
			}
		}
		if open >= 0 {
			l.runs = append(l.runs, run{int32(i), open, nx})
		}
	}
}

// everywhere makes the runs the whole raster, for shares set from outside.
func (t *Tank) everywhere(l *layer) {
	l.runs = l.runs[:0]
	for i := range t.ny {
		l.runs = append(l.runs, run{int32(i), 0, int32(t.nx)})
	}
}

// giveBack hands what scan cut to the listed cells about it, in proportion to c(1−c),
// which moves the interface by next to nothing; what finds none goes to all.
func (t *Tank) giveBack(l *layer) {
	for _, r := range l.cut {
		t.handOut(l, r, 1)
	}
	for _, r := range l.over {
		t.handOut(l, r, 6)
	}
	l.over = l.over[:0]
	if math.Abs(l.residual) < 1e-12 {
		return
	}
	weight := 0.0
	for _, k := range l.cells {
		weight += l.c[k] * (1 - l.c[k])
	}
	if weight == 0 {
		return
	}
	// More than one half per unit of weight could push c out of 0…1.
	f := min(max(l.residual/weight, -0.5), 0.5)
	for _, k := range l.cells {
		l.c[k] += f * l.c[k] * (1 - l.c[k])
	}
	l.residual -= f * weight
}

// handOut spreads a remnant over the listed cells at most reach cells off, or leaves it
// to all.
func (t *Tank) handOut(l *layer, r remnant, reach int32) {
	nx, ny := int32(t.nx), int32(t.ny)
	i, j := r.cell/nx, r.cell%nx
	for d := int32(1); d <= reach; d++ {
		weight := 0.0
		for ii := max(i-d, 0); ii <= min(i+d, ny-1); ii++ {
			for jj := max(j-d, 0); jj <= min(j+d, nx-1); jj++ {
				if k := ii*nx + jj; l.slot[k] != 0 {
					weight += l.c[k] * (1 - l.c[k])
				}
			}
		}
		if weight < 4*math.Abs(r.c) {
			continue
		}
		f := r.c / weight
		for ii := max(i-d, 0); ii <= min(i+d, ny-1); ii++ {
			for jj := max(j-d, 0); jj <= min(j+d, nx-1); jj++ {
				if k := ii*nx + jj; l.slot[k] != 0 {
					l.c[k] += f * l.c[k] * (1 - l.c[k])
				}
			}
		}
		return
	}
	l.residual += r.c
}

// rebuild makes everything about a layer agree with its shares.
func (t *Tank) rebuild(l *layer) {
	t.everywhere(l)
	t.scan(l, purity)
	t.giveBack(l)
	t.widen(l)
	t.draw(l)
}

// draw sets the lines of the listed cells. Walls mirror what is before them, which
// makes the interface meet them at a right angle.
func (t *Tank) draw(l *layer) {
	nx, ny := t.nx, t.ny
	l.lines = resize(l.lines, len(l.cells))
	for i := range ny {
		for s := l.first[i]; s < l.first[i+1]; s++ {
			k := int(l.cells[s])
			j := k - i*nx
			left, right, up, down := 1, 1, nx, nx
			if j == 0 {
				left = 0
			}
			if j == nx-1 {
				right = 0
			}
			if i == 0 {
				up = 0
			}
			if i == ny-1 {
				down = 0
			}
			a, b := k-up, k+down
			l.lines[s] = lineIn(&[9]float64{l.c[a-left], l.c[a], l.c[a+right], l.c[k-left], l.c[k], l.c[k+right], l.c[b-left], l.c[b], l.c[b+right]})
		}
	}
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		s = append(s[:cap(s)], make([]T, n-cap(s)+n/2)...)
	}
	return s[:n]
}
