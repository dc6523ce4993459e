package grid

import "gonum.org/v1/gonum/spatial/r3"

// Raster is the sample pattern of a plane in front of the grid: Samples per
// pitch each way over the grid and a margin of whole pitches, samples in the
// middle of their cells, row 0 at the top.
type Raster struct {
	Rows, Cols int     // samples
	Samples    int     // per pitch
	Margin     int     // pitches around the grid
	Spacing    float64 // m between samples
	Z          float64 // m, height of the plane
}

// Point returns the position of sample (i, j) in metres.
func (r Raster) Point(i, j int) r3.Vec {
	return r3.Vec{
		X: (float64(j) + 0.5 - float64(r.Cols)/2) * r.Spacing,
		Y: (float64(r.Rows)/2 - float64(i) - 0.5) * r.Spacing,
		Z: r.Z,
	}
}

// Cell returns the first sample row and column of pixel (row, col); the pixel's
// cell is the Samples × Samples block from there.
func (r Raster) Cell(row, col int) (i, j int) {
	return (row + r.Margin) * r.Samples, (col + r.Margin) * r.Samples
}

// Len is the number of samples.
func (r Raster) Len() int { return r.Rows * r.Cols }

// Plane is the field on a raster: components, magnitude and magnetic pressure,
// row-major, len Rows*Cols each.
type Plane struct {
	Raster     Raster
	Bx, By, Bz []float64 // T
	Abs        []float64 // T
	Pi         []float64 // Pa, magnetic pressure of the fluid
}

// NewPlane returns a plane of zeros.
func NewPlane(r Raster) *Plane {
	n := r.Len()
	all := make([]float64, 5*n)
	return &Plane{
		Raster: r,
		Bx:     all[0:n:n], By: all[n : 2*n : 2*n], Bz: all[2*n : 3*n : 3*n],
		Abs: all[3*n : 4*n : 4*n], Pi: all[4*n:],
	}
}

// components are Bx, By and Bz.
func (p *Plane) components() [][]float64 { return [][]float64{p.Bx, p.By, p.Bz} }
