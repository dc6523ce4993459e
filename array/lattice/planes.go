package lattice

import (
	"fmt"
	"math"
)

// Planes holds the sum on the raster: one plane per component and sample phase,
// the samples at the same place (a, b) of every pitch-sized cell together. The
// zero value is of no use; Engine.NewPlanes makes one.
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
	s := p.shape.Samples
	return p.Phase(c, i%s, j%s)[i/s*p.shape.blockCols()+j/s]
}

// Phase returns component c at the samples (a, b) of all cells, row-major: the
// value at raster sample (I·Samples+a, J·Samples+b) has index
// I·(Cols+2·Margin)+J. It is the engine's own memory, valid until the next sum;
// reading all phases is the fastest way through the result.
func (p *Planes) Phase(c, a, b int) []float64 {
	n := p.shape.blockRows() * p.shape.blockCols()
	i := (c*p.shape.Samples+a)*p.shape.Samples + b
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
	from := p.data[c*s*s*n:]
	for a := range s {
		for row := range h {
			line := dst[(row*s+a)*width:][:width]
			for b := range s {
				src := from[(a*s+b)*n+row*w:][:w]
				k := b
				for _, x := range src {
					line[k] = x
					k += s
				}
			}
		}
	}
}

// MaxAbs returns the largest magnitude of component c and the raster sample
// (i, j) where it stands.
func (p *Planes) MaxAbs(c int) (value float64, i, j int) {
	s, w := p.shape.Samples, p.shape.blockCols()
	for a := range s {
		for b := range s {
			for k, x := range p.Phase(c, a, b) {
				if x = math.Abs(x); x > value {
					value, i, j = x, k/w*s+a, k%w*s+b
				}
			}
		}
	}
	return value, i, j
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
