package lattice

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// resync is the number of pixel changes after which planes are summed anew.
//
// Adding one change to a sample rounds twice, each time by at most u = 2⁻⁵³
// relative to the values involved, so n changes move a sample by at most
//
//	n·u·(2·max|sum| + max|change·kernel|)
//
// where the first maximum is over all values the sample went through. For 1024
// changes of pixels no stronger than the sum that is 3.5e-13 of it.
const resync = 1024

// cross returns for how many changed pixels adding them costs less than
// summing the frame.
func (e *Engine) cross(t *table) int {
	s := e.shape
	row, sample := changeCosts()
	change := float64(s.planes()) * float64(min(s.blockRows(), t.height())) *
		(row + sample*float64(min(s.blockCols(), t.width())))
	_, across := rowCosts().factors(e.across.n)
	_, down := columnCosts().factors(e.down.n)
	frame := float64(len(e.jobs)) * float64(e.down.n) *
		(float64(e.across.n)*across + float64(s.blockCols())*down)
	return max(1, int(frame/change))
}

// Add changes the level of one pixel, over the full range. It does not
// allocate. After a number of changes it sums the planes anew, which bounds the
// rounding that piles up: see Update.
//
// It returns an error, and leaves dst alone, for a pixel outside 0…Rows·Cols-1,
// for a level that is not finite, and for an engine made with FramesOnly.
func (e *Engine) Add(dst *Planes, pixel int, by float64) error {
	if err := dst.check(e.shape); err != nil {
		return err
	}
	if e.table == nil {
		return fmt.Errorf("lattice: Add on an engine made with FramesOnly")
	}
	if pixel < 0 || pixel >= e.shape.Pixels() {
		return fmt.Errorf("lattice: pixel %d of %d×%d, must be 0 to %d",
			pixel, e.shape.Rows, e.shape.Cols, e.shape.Pixels()-1)
	}
	level := dst.levels[pixel] + by
	if math.IsNaN(level) || math.IsInf(level, 0) {
		return fmt.Errorf("lattice: change of pixel %d by %g makes its level %g, must be finite", pixel, by, level)
	}
	dst.levels[pixel] = level
	if dst.adds >= resync {
		e.whole(dst, dst.levels)
		return nil
	}
	e.changes = append(e.changes[:0], e.change(pixel, by))
	e.add(dst, e.changes)
	return nil
}

// Update brings planes from the levels they stand for to new ones and returns how
// many pixels changed. It adds the changed pixels one by one or sums the whole
// frame, whichever costs less; a frame is also summed whole once 1024 changes
// have been added since the last time, so that the sum never drifts by more than
// 1024·2⁻⁵³·(2·max|sum|+max|change·kernel|), about 3.5e-13 of the largest sum
// since then. It does not allocate. Errors are those of Superpose.
func (e *Engine) Update(dst *Planes, levels []float64) (changed int, err error) {
	if err := e.check(dst, levels); err != nil {
		return 0, err
	}
	for p, v := range levels {
		if v != dst.levels[p] {
			changed++
		}
	}
	if changed > e.crossing || dst.adds+changed > resync {
		e.whole(dst, levels)
		return changed, nil
	}
	e.changes = e.changes[:0]
	for p, v := range levels {
		if old := dst.levels[p]; v != old {
			e.changes = append(e.changes, e.change(p, v-old))
			dst.levels[p] = v
		}
	}
	e.add(dst, e.changes)
	return changed, nil
}

// Crossing returns the largest number of changed pixels for which Update adds
// them one by one.
func (e *Engine) Crossing() int { return e.crossing }

// change is a pixel whose level changes.
type change struct {
	row, col int // block of the raster it stands in
	by       float64
}

func (e *Engine) change(pixel int, by float64) change {
	return change{row: pixel/e.shape.Cols + e.shape.Margin, col: pixel%e.shape.Cols + e.shape.Margin, by: by}
}

// add adds changes to the planes, not to the levels. Plane by plane, so that one
// of them and its part of the table stay in the cache for all changes.
func (e *Engine) add(dst *Planes, changes []change) {
	if len(changes) == 0 {
		return
	}
	var (
		s, t        = e.shape, e.table
		rows, width = s.blockRows(), s.blockCols()
		n           = t.width()
	)
	for _, plane := range t.keep.order {
		kernel, sign := t.kept(t.keep.at[plane]), t.keep.sign[plane]
		out := dst.plane(plane)
		_, up, back := s.phase(plane)
		for _, c := range changes {
			row, col := c.row, c.col
			if up {
				row = rows - 1 - row
			}
			if back {
				col = width - 1 - col
			}
			top, bottom := max(0, row-t.rowReach), min(rows-1, row+t.rowReach)
			left, right := max(0, col-t.colReach), min(width-1, col+t.colReach)
			addWindow(out[top*width+left:], kernel[(top-row+t.rowReach)*n+left-col+t.colReach:],
				bottom-top+1, right-left+1, width, n, sign*c.by)
		}
	}
	dst.adds += len(changes)
}

// addWindow adds by times a window of the kernel to one of the same size of out.
func addWindow(out, kernel []float64, rows, cols, outPitch, kernelPitch int, by float64) {
	out, kernel = out[:(rows-1)*outPitch+cols], kernel[:(rows-1)*kernelPitch+cols]
	if vector {
		addWindowAVX2(&out[0], &kernel[0], rows, cols, 8*outPitch, 8*kernelPitch, by)
		return
	}
	for r := range rows {
		floats.AddScaled(out[r*outPitch:][:cols], by, kernel[r*kernelPitch:][:cols])
	}
}
