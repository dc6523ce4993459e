package lattice

import (
	"fmt"
	"math"
)

// Superpose writes the sum for the given levels, one per pixel (index
// row*Cols+col, row 0 at the top), into dst. It does not allocate.
//
// Levels may have any finite value; what exceeds the range of float64 on the way
// comes out infinite or NaN. Superpose returns an error, and leaves dst
// alone, when their number is not Rows·Cols or one of them is NaN or infinite.
func (e *Engine) Superpose(dst *Planes, levels []float64) error {
	if err := e.check(dst, levels); err != nil {
		return err
	}
	lit := 0
	for _, v := range levels {
		if v != 0 {
			lit++
		}
	}
	if lit <= e.crossing {
		e.few(dst, levels)
	} else {
		e.whole(dst, levels)
	}
	return nil
}

// whole sums a frame by transforms.
func (e *Engine) whole(dst *Planes, levels []float64) {
	e.transformLevels(levels)
	e.runJobs(dst)
	copy(dst.levels, levels)
	dst.adds = 0
}

// few sums a frame in which few pixels have a level, one pixel at a time.
func (e *Engine) few(dst *Planes, levels []float64) {
	clear(dst.data)
	dst.adds = 0
	e.changes = e.changes[:0]
	for pixel, v := range levels {
		if v != 0 {
			e.changes = append(e.changes, e.change(pixel, v))
		}
	}
	e.add(dst, e.changes)
	copy(dst.levels, levels)
}

func (e *Engine) check(dst *Planes, levels []float64) error {
	if err := dst.check(e.shape); err != nil {
		return err
	}
	if len(levels) != e.shape.Pixels() {
		return fmt.Errorf("lattice: %d levels for %d×%d pixels, want %d",
			len(levels), e.shape.Rows, e.shape.Cols, e.shape.Pixels())
	}
	for p, v := range levels {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("lattice: level of pixel %d (row %d, column %d) is %g, must be finite",
				p, p/e.shape.Cols, p%e.shape.Cols, v)
		}
	}
	return nil
}
