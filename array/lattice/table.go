package lattice

import (
	"context"
	"fmt"
	"math"
)

// table holds the kernel at every offset between a pixel and a sample; of a kernel
// with mirror symmetries the quadrant to the right and above.
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
		return most, most[1]/2 + 1, most[0]/2 + 1
	}
	return most, most[1] + 1, most[0] + 1
}

// place is where an offset stands in a component's values, and whether it is the
// image of what stands there across the vertical and the horizontal axis.
func (t *table) place(mx, my int) (at int, left, below bool) {
	if !t.symmetry.mirrored() {
		return (my+t.mostY)/2*t.width + (mx+t.mostX)/2, false, false
	}
	left, below = mx < 0, my > 0
	return max(my, -my)/2*t.width + max(mx, -mx)/2, left, below
}

// at returns component c of the kernel at an offset.
func (t *table) at(c, mx, my int) float64 {
	at, left, below := t.place(mx, my)
	v := t.values[c][at]
	if left {
		v *= float64(t.symmetry.X[c])
	}
	if below {
		v *= float64(t.symmetry.Y[c])
	}
	return v
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
			at, _, _ := t.place(mx, my)
			for c, x := range v {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					return nil, fmt.Errorf("lattice: component %d of the kernel is %g at offset (%g, %g) pitches, must be finite", c, x, dx, dy)
				}
				if mirrored && (mx == 0 && y.X[c] < 0 || my == 0 && y.Y[c] < 0) {
					v[c] = 0 // an odd component vanishes in its mirror
				}
				t.values[c][at] = v[c]
			}
			if y.Swap != nil && mx <= t.mostY && -my <= t.mostX {
				image, _, _ := t.place(-my, -mx)
				for c, d := range y.Swap {
					t.values[c][image] = v[d]
				}
			}
		}
	}
	return t, nil
}

// One writes component c of one pixel at level 1 to dst, on the raster's samples of rows
// i0…i1−1 and columns j0…j1−1, row by row. It returns an error where there is no such pixel,
// component or sample, or dst is too short.
func (e *Engine) One(dst []float64, pixel, c, i0, i1, j0, j1 int) error {
	s := e.shape
	if pixel < 0 || pixel >= s.Pixels() || c < 0 || c >= s.Components || i0 < 0 || j0 < 0 || i1 > s.RasterRows() || j1 > s.RasterCols() || len(dst) < (i1-i0)*(j1-j0) {
		return fmt.Errorf("lattice: component %d of pixel %d in %d values for rows %d to %d and columns %d to %d, of shape %+v", c, pixel, len(dst), i0, i1-1, j0, j1-1, s)
	}
	// From the pixel's centre, in halves of a sample's spacing.
	middle := func(pixel int) int { return 2*s.Samples*(pixel+s.Margin) + s.Samples - 1 }
	y, x := middle(pixel/s.Cols), middle(pixel%s.Cols)
	t := e.table
	for i := i0; i < i1; i++ {
		row := dst[:j1-j0]
		dst = dst[j1-j0:]
		if !t.symmetry.mirrored() {
			at, _, _ := t.place(2*j0-x, 2*i-y)
			copy(row, t.values[c][at:])
			continue
		}
		line, _, below := t.place(0, 2*i-y)
		up := 1.0
		if below {
			up = float64(t.symmetry.Y[c])
		}
		left := up * float64(t.symmetry.X[c])
		middle := min(max((x+1)/2-j0, 0), len(row)) // samples before it are to the left
		for n := range row[:middle] {
			row[n] = left * t.values[c][line+(x-2*(j0+n))/2]
		}
		if middle < len(row) {
			for n, v := range t.values[c][line+(2*(j0+middle)-x)/2:][:len(row)-middle] {
				row[middle+n] = up * v
			}
		}
	}
	return nil
}
