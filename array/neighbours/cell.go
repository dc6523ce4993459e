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

// spans are what lumped dipoles add at offsets of whole pitches and one and the same part of a
// pitch, tabulated: what is added up thousands of times on a lattice.
type spans struct {
	profile    *profile
	pitch      float64
	u, v       float64
	cols, rows int // the largest offsets that are tabulated
	of         [][8]float64
}

// mostSpan bounds the offsets that are tabulated, in pitches: 2 MB a table.
const mostSpan = 96

// newSpans tabulates a profile at offsets of (col + u, row + v) pitches to either side that
// are far by it.
func (s *Steel) newSpans(f *profile, cols, rows int, u, v float64) *spans {
	cols, rows = min(cols, mostSpan), min(rows, mostSpan)
	t := &spans{f, s.spec.Pitch, u, v, cols, rows, make([][8]float64, (2*cols+1)*(2*rows+1))}
	for k := range t.of {
		col, row := k%(2*cols+1)-cols, k/(2*cols+1)-rows
		x, y := (float64(col)+u)*s.spec.Pitch, (float64(row)+v)*s.spec.Pitch
		if r := math.Hypot(x, y); r >= f.far {
			z, along, across := f.tailAt(x, y, &piece{farZ: 1}), f.tailAt(x, y, &piece{farX: 1}), f.tailAt(x, y, &piece{farY: 1})
			t.of[k] = [8]float64{z.X, z.Y, z.Z, along.X, along.Y, along.Z, across.Y, across.Z}
		}
	}
	return t
}

// sum is what pieces of a field add at a place.
func (t *spans) sum(f *Field, pieces []int, at place) r3.Vec {
	var x, y, z float64
	for _, k := range pieces {
		p := &f.pieces[k]
		col, row := at.col-p.place.col, at.row-p.place.row
		if max(col, -col) > t.cols || max(row, -row) > t.rows {
			d := t.profile.tailAt((float64(col)+t.u)*t.pitch, (float64(row)+t.v)*t.pitch, p)
			x, y, z = x+d.X, y+d.Y, z+d.Z
			continue
		}
		m := &t.of[(row+t.rows)*(2*t.cols+1)+col+t.cols]
		x += p.farZ*m[0] + p.farX*m[3] + p.farY*m[4]
		y += p.farZ*m[1] + p.farX*m[4] + p.farY*m[6]
		z += p.farZ*m[2] + p.farX*m[5] + p.farY*m[7]
	}
	return r3.Vec{X: x, Y: y, Z: z}
}

// fillCells makes the cells of the quadrant right and up; the others mirror it.
func (f *Field) fillCells(ctx context.Context) error {
	pitch := f.steel.spec.Pitch
	f.across = f.cols + cellsPast + 1
	f.cells = make([]cell, f.across*(f.rows+cellsPast+1))
	plane := f.steel.plane
	var tables [cellNodes][cellNodes]*spans
	for i, u := range cellPlace {
		for j, v := range cellPlace {
			tables[i][j] = f.steel.newSpans(plane, 2*f.cols+cellsPast, 2*f.rows+cellsPast, u, v)
		}
	}
	for k := range f.cells {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("storing the neighbours' steel: %w", err)
		}
		c := &f.cells[k]
		col, row := k%f.across, k/f.across
		var far, close []int // by the tables, and of all powers somewhere in the cell
		for _, q := range f.around(col, row) {
			x, y := f.pieces[q].place.col-col, f.pieces[q].place.row-row
			switch away := float64(x*x + y*y); { // pitches squared
			case away <= cellNear*cellNear:
				c.near = append(c.near, q)
			case away <= (farPitches+math.Sqrt2/2)*(farPitches+math.Sqrt2/2):
				close = append(close, q)
			default:
				far = append(far, q)
			}
		}
		for i, u := range cellPlace {
			for j, v := range cellPlace {
				c.far[i][j] = r3.Add(f.sum(close, (float64(col)+u)*pitch, (float64(row)+v)*pitch), tables[i][j].sum(f, far, place{col, row}))
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
