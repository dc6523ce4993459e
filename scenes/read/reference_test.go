package read

import (
	"context"
	"fmt"
	"image"
)

// Resample writes the luminance 0…1 of img, averaged over the area of each grid
// cell, to dst, whose length is rows*cols. Cells a letterboxed picture does not
// reach, and what shines through transparent pixels, have the background
// luminance.
func Resample(ctx context.Context, dst []float64, img image.Image, rows, cols int, fit Fit, background float64) error {
	if rows < 1 || cols < 1 || len(dst) != rows*cols {
		return fmt.Errorf("resampling a picture: %d values for %d rows × %d columns", len(dst), rows, cols)
	}
	if err := fit.validate(); err != nil {
		return fmt.Errorf("resampling a picture: %w", err)
	}
	b := img.Bounds()
	if b.Empty() {
		return fmt.Errorf("resampling a picture: it has no pixels (%v)", b)
	}
	a := newAverager(b.Dx(), b.Dy(), rows, cols, fit, background)
	a.begin(dst)
	return a.whole(ctx, dst, rowsOf(img, background))
}
