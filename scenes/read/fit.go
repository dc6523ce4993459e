package read

import (
	"fmt"
	"math"
)

// Fit names how a picture of another shape is laid on the grid, whose pixels are
// square.
type Fit string

// The fit modes.
const (
	Stretch   Fit = "stretch"   // the whole picture fills the whole grid
	Letterbox Fit = "letterbox" // the whole picture in proportion, background around it
	Crop      Fit = "crop"      // the picture fills the grid in proportion, its overhang is cut off evenly
)

func (f Fit) validate() error {
	switch f {
	case Stretch, Letterbox, Crop:
		return nil
	}
	return fmt.Errorf("fit %q: want %q, %q or %q", string(f), string(Stretch), string(Letterbox), string(Crop))
}

// placement says which part of a picture, in its pixels, covers which cells of
// the grid.
type placement struct {
	x0, y0, x1, y1         float64 // in the picture; y down
	row0, col0, rows, cols int     // in the grid
}

// place works out the placement of a picture of width × height pixels. A
// letterboxed picture covers whole cells, so that no column at its side glows
// half: its size is rounded to the nearest cell, at least one. A cropped picture
// is cut at fractions of a pixel.
func (f Fit) place(width, height, rows, cols int) placement {
	w, h := float64(width), float64(height)
	p := placement{x1: w, y1: h, rows: rows, cols: cols}
	// Cells per picture pixel that would fill the grid's width, and its height.
	sx, sy := float64(cols)/w, float64(rows)/h
	switch f {
	case Letterbox:
		s := math.Min(sx, sy)
		p.cols = clampInt(int(math.Round(w*s)), 1, cols)
		p.rows = clampInt(int(math.Round(h*s)), 1, rows)
		p.col0 = (cols - p.cols) / 2
		p.row0 = (rows - p.rows) / 2
	case Crop:
		s := math.Max(sx, sy)
		dx, dy := math.Max(0, w-float64(cols)/s)/2, math.Max(0, h-float64(rows)/s)/2
		p.x0, p.x1 = dx, w-dx
		p.y0, p.y1 = dy, h-dy
	}
	return p
}

func clampInt(v, low, high int) int { return max(low, min(v, high)) }
