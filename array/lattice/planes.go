package lattice

import (
	"fmt"
	"math"
)

// Planes holds the sum on the raster. The zero value is of no use;
// Engine.NewPlanes makes one.
//
// Samples at the same place of every pitch-sized cell stand together, one plane
// of Rows+2·Margin by Cols+2·Margin values per component and place. Planes of the
// places in the lower half of a cell run from the bottom row to the top, those of
// the right half from the last column to the first, so that places which mirror
// each other meet the kernel's mirror images in the same order.
//
// Planes remember the levels they stand for, so that Engine.Add and
// Engine.Update can start from them.
type Planes struct {
	shape  Shape
	data   []float64
	levels []float64
	adds   int // pixel changes added since the last whole sum
}

func newPlanes(s Shape) *Planes {
	return &Planes{
		shape:  s,
		data:   make([]float64, s.planes()*s.blockRows()*s.blockCols()),
		levels: make([]float64, s.Pixels()),
	}
}

// Shape returns the lattice and raster the planes belong to.
func (p *Planes) Shape() Shape { return p.shape }

// At returns component c at sample row i, column j of the raster.
func (p *Planes) At(c, i, j int) float64 {
	return p.Component(c)[p.Index(i, j)]
}

// Component returns all samples of component c, RasterRows·RasterCols of them, in
// the order told by Index, which is the same for every component. It is the
// engine's own memory, valid until the next sum; whatever takes one sample at a
// time, such as a magnitude, is fastest done on it.
func (p *Planes) Component(c int) []float64 {
	n := p.shape.RasterRows() * p.shape.RasterCols()
	return p.data[c*n : (c+1)*n : (c+1)*n]
}

// Index returns the place in Component of sample row i, column j of the raster.
func (p *Planes) Index(i, j int) int {
	s, h, w := p.shape.Samples, p.shape.blockRows(), p.shape.blockCols()
	row, a := divide(i, s)
	col, b := divide(j, s)
	if 2*a > s-1 {
		row = h - 1 - row
	}
	if 2*b > s-1 {
		col = w - 1 - col
	}
	return ((a*s+b)*h+row)*w + col
}

// plane returns a phase plane.
func (p *Planes) plane(i int) []float64 {
	n := p.shape.blockRows() * p.shape.blockCols()
	return p.data[i*n : (i+1)*n : (i+1)*n]
}

// Levels returns the levels the planes stand for, one per pixel. It must not be
// written to.
func (p *Planes) Levels() []float64 { return p.levels }

// CopyPlane writes component c to dst as a row-major raster of RasterRows ×
// RasterCols samples, row 0 at the top. It panics if dst is shorter than that.
func (p *Planes) CopyPlane(dst []float64, c int) {
	var (
		s     = p.shape.Samples
		h, w  = p.shape.blockRows(), p.shape.blockCols()
		width = w * s
		n     = h * w
	)
	dst = dst[:h*s*width]
	from := p.Component(c)
	for a := range s {
		for row := range h {
			line := dst[(row*s+a)*width:][:width]
			r := row
			if 2*a > s-1 {
				r = h - 1 - row
			}
			src := from[a*s*n+r*w:]
			if s == 8 {
				copyLine8(line, src, w, n)
			} else {
				copyLine(line, src, s, w, n)
			}
		}
	}
}

// copyLine writes one raster row: samples b of all w cells lie together in src, n
// values apart from those of sample b+1, the right half of a cell's backwards.
func copyLine(line, src []float64, s, w, n int) {
	for b := range s {
		k, step := b, s
		if 2*b > s-1 {
			k, step = (w-1)*s+b, -s
		}
		for _, x := range src[b*n:][:w] {
			line[k] = x
			k += step
		}
	}
}

// copyLine8 is copyLine for eight samples, a cell at a time.
func copyLine8(line, src []float64, w, n int) {
	p0, p1, p2, p3 := src[:w], src[n:][:w], src[2*n:][:w], src[3*n:][:w]
	p4, p5, p6, p7 := src[4*n:][:w], src[5*n:][:w], src[6*n:][:w], src[7*n:][:w]
	for k := range p0 {
		cell, m := (*[8]float64)(line[8*k:]), w-1-k
		cell[0], cell[1], cell[2], cell[3] = p0[k], p1[k], p2[k], p3[k]
		cell[4], cell[5], cell[6], cell[7] = p4[m], p5[m], p6[m], p7[m]
	}
}

// MaxAbs returns the largest magnitude of component c and the raster sample
// (i, j) where it stands, of several the first in raster order.
func (p *Planes) MaxAbs(c int) (value float64, i, j int) {
	for _, x := range p.Component(c) {
		value = max(value, math.Abs(x))
	}
	for i = range p.shape.RasterRows() {
		for j = range p.shape.RasterCols() {
			if math.Abs(p.At(c, i, j)) == value {
				return value, i, j
			}
		}
	}
	return value, 0, 0
}

// check tells whether the planes fit an engine.
func (p *Planes) check(s Shape) error {
	if p == nil {
		return fmt.Errorf("lattice: planes are nil, want those of Engine.NewPlanes")
	}
	if p.shape != s {
		return fmt.Errorf("lattice: planes are of shape %+v, the engine of shape %+v", p.shape, s)
	}
	return nil
}
