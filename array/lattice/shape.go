package lattice

// Kernel is the response of one pixel at unit level. It writes one value per
// component into dst (len Shape.Components) for the point dx to the right and dy
// above the pixel's centre, both in pitches.
type Kernel func(dst []float64, dx, dy float64)

// Shape tells how many pixels stand on the lattice and where the sum is sampled.
type Shape struct {
	Rows, Cols int // pixels, at least 1 each; row 0 at the top, index row*Cols+col
	Samples    int // samples per pitch each way, at least 1
	Margin     int // whole pitches sampled around the grid on all sides, at least 0
	Components int // values of the kernel, at least 1
}

// RasterRows is the number of sample rows, (Rows+2·Margin)·Samples. Row 0 is at
// the top.
func (s Shape) RasterRows() int { return s.blockRows() * s.Samples }

// RasterCols is the number of sample columns, (Cols+2·Margin)·Samples.
func (s Shape) RasterCols() int { return s.blockCols() * s.Samples }

// Pixels is the number of pixels, Rows·Cols.
func (s Shape) Pixels() int { return s.Rows * s.Cols }

// blocks are the pitch-sized cells of the raster, the margin's included.
func (s Shape) blockRows() int { return s.Rows + 2*s.Margin }
func (s Shape) blockCols() int { return s.Cols + 2*s.Margin }

// reach is how many pitches a raster block can be away from a pixel.
func (s Shape) rowReach() int { return s.Rows - 1 + s.Margin }
func (s Shape) colReach() int { return s.Cols - 1 + s.Margin }
