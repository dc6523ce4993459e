package neighbours

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// cell is a square of a pitch about one offset. The field of the pieces near it is added
// piece by piece; that of all others, smooth there, is kept as a polynomial through
// cellNodes × cellNodes places.
type cell struct {
	near []int
	far  [cellNodes][cellNodes]r3.Vec // by place along x, along y
}

const (
	cellNodes = 4
	cellNear  = 2.3 // pitches from its middle
	cellsPast = 2   // cells beyond the lattice's last
)

// cellPlace are Chebyshev's nodes on −½…½.
var cellPlace, cellWeight = func() (x, w [cellNodes]float64) {
	for i := range x {
		x[i] = -math.Cos(math.Pi*(float64(i)+0.5)/cellNodes) / 2
	}
	for i := range w {
		w[i] = 1
		for j := range x {
			if j != i {
				w[i] /= x[i] - x[j]
			}
		}
	}
	return x, w
}()

// spread are the weights of the places in the value at t, Lagrange's.
func spread(t float64) (w [cellNodes]float64) {
	for i := range w {
		w[i] = cellWeight[i]
		for j := range w {
			if j != i {
				w[i] *= t - cellPlace[j]
			}
		}
	}
	return w
}

// fillCells makes the cells of the quadrant right and up; the others mirror it.
func (f *Field) fillCells(ctx context.Context) error {
	pitch := f.steel.spec.Pitch
	f.across = f.cols + cellsPast + 1
	f.cells = make([]cell, f.across*(f.rows+cellsPast+1))
	for k := range f.cells {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("storing the neighbours' steel: %w", err)
		}
		c := &f.cells[k]
		col, row := k%f.across, k/f.across
		var far []int
		for _, q := range f.around(col, row) {
			at := f.place(q)
			if math.Hypot(float64(at.col-col), float64(at.row-row)) <= cellNear {
				c.near = append(c.near, q)
			} else {
				far = append(far, q)
			}
		}
		for i, u := range cellPlace {
			for j, v := range cellPlace {
				c.far[i][j] = f.sum(far, (float64(col)+u)*pitch, (float64(row)+v)*pitch)
			}
		}
	}
	return nil
}

// sum is what pieces add at a place.
func (f *Field) sum(pieces []int, x, y float64) (b r3.Vec) {
	for _, k := range pieces {
		p := &f.pieces[k]
		d := f.steel.plane.at(p, x-p.x, y-p.y)
		b.X, b.Y, b.Z = b.X+d.X, b.Y+d.Y, b.Z+d.Z
	}
	return b
}

// At is what the steel adds at (x, y) metres from the source's axis on the fluid plane,
// in the source's tesla.
func (f *Field) At(x, y float64) r3.Vec {
	pitch := f.steel.spec.Pitch
	u, v := math.Abs(x)/pitch, math.Abs(y)/pitch
	col, row := int(math.Round(u)), int(math.Round(v))
	if col >= f.across || row*f.across >= len(f.cells) {
		return f.sum(f.around(int(math.Round(x/pitch)), int(math.Round(y/pitch))), x, y)
	}
	c := &f.cells[row*f.across+col]
	b := f.sum(c.near, math.Abs(x), math.Abs(y))
	wx, wy := spread(u-float64(col)), spread(v-float64(row))
	for i := range wx {
		for j := range wy {
			w, d := wx[i]*wy[j], &c.far[i][j]
			b.X, b.Y, b.Z = b.X+w*d.X, b.Y+w*d.Y, b.Z+w*d.Z
		}
	}
	b.X, b.Y = math.Copysign(1, x)*b.X, math.Copysign(1, y)*b.Y
	return b
}
