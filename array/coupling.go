package array

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/lattice"
)

// DenseLimit is the largest number of pixels for which a coupling matrix is written
// out.
const DenseLimit = 2000

// Coupling is the field that every pixel puts onto every pixel's axis, on the fluid
// plane, steel included and magnets not: a matrix of Rows·Cols by Rows·Cols vectors in
// tesla per ampere. It depends on the offset between two pixels alone (block Toeplitz
// with Toeplitz blocks), so only a table of offsets is kept and products are
// convolutions. Gains are the columns' factors.
//
// Products use scratch of the coupling's own and must not run at the same time.
type Coupling struct {
	rows, cols int
	table      []r3.Vec // offsets to the right and up, index up·cols+right
	gains      []float64
	engine     *lattice.Engine
	planes     *lattice.Planes
	scaled     []float64
}

// Coupling returns the matrix of the grid with its present Gains.
func (g *Grid) Coupling(ctx context.Context) (*Coupling, error) {
	d := g.Design.Grid
	if g.Gains != nil {
		if err := g.checkGains("gain", g.Gains); err != nil {
			return nil, fmt.Errorf("coupling the pixels: %w", err)
		}
	}
	c := &Coupling{rows: d.Rows, cols: d.Cols, table: make([]r3.Vec, d.Rows*d.Cols), scaled: make([]float64, d.Rows*d.Cols)}
	if g.Gains != nil {
		c.gains = append([]float64(nil), g.Gains...)
	}
	for up := range d.Rows {
		for right := range d.Cols {
			c.table[up*d.Cols+right] = g.Kernel.At(float64(right)*d.Pitch, float64(up)*d.Pitch)
		}
	}
	s := lattice.Shape{Rows: d.Rows, Cols: d.Cols, Samples: 1, Components: 3}
	var err error
	if c.engine, err = lattice.New(ctx, s, g.latticeKernel(g.Kernel), g.symmetry(), lattice.FramesOnly()); err != nil {
		return nil, fmt.Errorf("coupling the pixels: %w", err)
	}
	c.planes = c.engine.NewPlanes()
	return c, nil
}

// Pixels returns the number of pixels, the matrix's size.
func (c *Coupling) Pixels() int { return c.rows * c.cols }

// Offset is the field per ampere at a place so many pixels to the right of a coil and
// up from it, gains left aside; zero beyond the grid's size.
func (c *Coupling) Offset(right, up int) r3.Vec {
	if abs(right) >= c.cols || abs(up) >= c.rows {
		return r3.Vec{}
	}
	b := c.table[abs(up)*c.cols+abs(right)]
	if right < 0 {
		b.X = -b.X
	}
	if up < 0 {
		b.Y = -b.Y
	}
	return b
}

// At is the field at pixel to per ampere of pixel from, its gain included.
func (c *Coupling) At(to, from int) r3.Vec {
	b := c.Offset(to%c.cols-from%c.cols, from/c.cols-to/c.cols)
	if c.gains != nil {
		b = r3.Scale(c.gains[from], b)
	}
	return b
}

// Product writes the field at every pixel's axis for the pixels' currents in ampere
// into dst; both have one entry per pixel. It does not allocate.
func (c *Coupling) Product(dst []r3.Vec, currents []float64) error {
	if len(dst) != c.Pixels() || len(currents) != c.Pixels() {
		return fmt.Errorf("coupling the pixels: %d currents into %d places, want %d", len(currents), len(dst), c.Pixels())
	}
	if c.gains != nil {
		for k, v := range currents {
			c.scaled[k] = v * c.gains[k]
		}
		currents = c.scaled
	}
	if err := c.engine.Superpose(c.planes, currents); err != nil {
		return fmt.Errorf("coupling the pixels: %w", err)
	}
	for k := range dst {
		i, j := k/c.cols, k%c.cols
		dst[k] = r3.Vec{X: c.planes.At(0, i, j), Y: c.planes.At(1, i, j), Z: c.planes.At(2, i, j)}
	}
	return nil
}

// Dense writes out the matrix of the axial fields, rows the pixels that receive. It
// refuses grids of more than DenseLimit pixels, with the memory they would take.
func (c *Coupling) Dense() (*mat.Dense, error) {
	n := c.Pixels()
	if n > DenseLimit {
		return nil, fmt.Errorf("writing out the coupling of %d × %d pixels: %d numbers, %.3g GB; up to %d pixels are possible, products need no matrix",
			c.cols, c.rows, n*n, 8e-9*float64(n)*float64(n), DenseLimit)
	}
	m := mat.NewDense(n, n, nil)
	for to := range n {
		for from := range n {
			m.Set(to, from, c.At(to, from).Z)
		}
	}
	return m, nil
}
