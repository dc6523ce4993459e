package lattice

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// table holds the kernel at every offset between a pixel and a sample; of a kernel
// with mirror symmetries the half above.
//
// An offset is a whole number of half sample spacings, (mx, my)/(2·Samples) pitches
// to the right and down, with mx = 2·Samples·δ + 2b + 1 - Samples for block offset δ
// and sample phase b. So mirror images of a sample offset are sample offsets.
type table struct {
	symmetry     Symmetry
	mostX, mostY int // largest mx and my
	width        int
	values       [][]float64 // by component
}

// tableSides are the rows and columns of a table.
func tableSides(s Shape, y Symmetry) (most [2]int, height, width int) {
	most = [2]int{2*s.Samples*s.colReach() + s.Samples - 1, 2*s.Samples*s.rowReach() + s.Samples - 1}
	if y.mirrored() {
		return most, most[1]/2 + 1, most[0] + 1
	}
	return most, most[1] + 1, most[0] + 1
}

// place is where an offset stands in a component's values, and whether it is the
// image of what stands there across the horizontal axis.
func (t *table) place(mx, my int) (at int, below bool) {
	row := (my + t.mostY) / 2
	if t.symmetry.mirrored() {
		row, below = max(my, -my)/2, my > 0
	}
	return row*t.width + (mx+t.mostX)/2, below
}

// row is component c of the kernel from an offset on to the right, times sign.
func (t *table) row(c, mx, my int) (values []float64, sign float64) {
	at, below := t.place(mx, my)
	if below {
		return t.values[c][at:], float64(t.symmetry.Y[c])
	}
	return t.values[c][at:], 1
}

// at returns component c of the kernel at an offset.
func (t *table) at(c, mx, my int) float64 {
	v, sign := t.row(c, mx, my)
	return sign * v[0]
}

// tabulate asks the kernel for every value needed.
func tabulate(ctx context.Context, s Shape, k Kernel, y Symmetry) (*table, error) {
	most, height, width := tableSides(s, y)
	t := &table{symmetry: y, mostX: most[0], mostY: most[1], width: width, values: make([][]float64, s.Components)}
	for c := range t.values {
		t.values[c] = make([]float64, height*width)
	}
	mirrored, v := y.mirrored(), make([]float64, s.Components)
	for my := -t.mostY; my <= t.mostY; my += 2 {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("lattice: evaluating the kernel: %w", err)
		}
		for mx := -t.mostX; mx <= t.mostX; mx += 2 {
			if mirrored && (mx < 0 || my > 0) || y.Swap != nil && -my > mx && -my <= t.mostX {
				continue // an image of another offset
			}
			dx, dy := float64(mx)/float64(2*s.Samples), float64(-my)/float64(2*s.Samples)
			k(v, dx, dy)
			for c, x := range v {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					return nil, fmt.Errorf("lattice: component %d of the kernel is %g at offset (%g, %g) pitches, must be finite", c, x, dx, dy)
				}
				if mirrored && (mx == 0 && y.X[c] < 0 || my == 0 && y.Y[c] < 0) {
					v[c] = 0 // an odd component vanishes in its mirror
				}
				t.put(c, mx, my, v[c])
			}
			if y.Swap != nil && mx <= t.mostY && -my <= t.mostX {
				for c, d := range y.Swap {
					t.put(c, -my, -mx, v[d])
				}
			}
		}
	}
	return t, nil
}

// put sets a value and its mirror image to the left.
func (t *table) put(c, mx, my int, v float64) {
	at, _ := t.place(mx, my)
	t.values[c][at] = v
	if t.symmetry.mirrored() && mx != 0 {
		at, _ = t.place(-mx, my)
		t.values[c][at] = v * float64(t.symmetry.X[c])
	}
}

// One writes component c of one pixel at level 1 to dst, on the raster's samples of rows
// i0…i1−1 and columns j0…j1−1, row by row. It panics where there is no such pixel,
// component or sample, or dst is too short.
func (e *Engine) One(dst []float64, pixel, c, i0, i1, j0, j1 int) {
	s := e.shape
	if pixel < 0 || pixel >= s.Pixels() || c < 0 || c >= s.Components || i0 < 0 || j0 < 0 || i1 > s.RasterRows() || j1 > s.RasterCols() || len(dst) < (i1-i0)*(j1-j0) {
		panic(fmt.Sprintf("lattice: component %d of pixel %d in %d values for rows %d to %d and columns %d to %d, of shape %+v", c, pixel, len(dst), i0, i1-1, j0, j1-1, s))
	}
	y, x := e.middle(pixel)
	for i := i0; i < i1; i++ {
		from, sign := e.table.row(c, 2*j0-x, 2*i-y)
		row := dst[:j1-j0]
		for j, v := range from[:len(row)] {
			row[j] = sign * v
		}
		dst = dst[len(row):]
	}
}

// middle is a pixel's centre on the raster, in halves of a sample's spacing.
func (e *Engine) middle(pixel int) (y, x int) {
	s := e.shape
	at := func(k int) int { return 2*s.Samples*(k+s.Margin) + s.Samples - 1 }
	return at(pixel / s.Cols), at(pixel % s.Cols)
}

// fewOf is for how many pixels that are on the sum is taken one by one: the time of each goes
// with the raster's samples, that of the transforms with their points times the logarithm.
func (e *Engine) fewOf() int {
	points := float64(e.down.n * e.across.n)
	return int(fewer * points * math.Log2(points) / float64(e.shape.blockRows()*e.shape.blockCols()))
}

// fewer is the two ways' ratio of times (measured, BenchmarkFew).
const fewer = 1.5

// add writes the sum over the pixels that are on to the raster, row by row.
func (e *Engine) add(dst [][]float64, levels []float64) {
	s := e.shape
	cols := s.RasterCols()
	for c, d := range dst {
		for i := range s.RasterRows() {
			line := d[i*cols:][:cols]
			clear(line)
			var from []float64
			sign, end := 0.0, 0 // of the row of pixels before this one
			for _, pixel := range e.on {
				if pixel >= end {
					y, _ := e.middle(pixel)
					from, sign = e.table.row(c, -e.table.mostX, 2*i-y)
					end = (pixel/s.Cols + 1) * s.Cols
				}
				floats.AddScaled(line, sign*levels[pixel], from[s.Samples*(end-1-pixel):][:cols])
			}
		}
	}
}
