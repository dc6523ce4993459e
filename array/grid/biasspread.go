package grid

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/lattice"
)

// BiasSpread is how evenly the bias magnets serve the pixels: a pixel at the edge lacks
// the magnets beyond it, and a sheet's field bends outwards at its rim.
type BiasSpread struct {
	At             []r3.Vec // T on each pixel's axis, fluid plane, row-major
	Center, Corner r3.Vec   // of the middle pixel and of the one in the first row and column
	Top, Side      r3.Vec   // in the middle of the first row, and of the first column
	Bare           float64  // T, Bz on the middle pixel's axis of the magnets without any steel
	Mean           float64  // T, of Bz
	Least, Most    float64  // T, of Bz
	LeastPixel     int
	MostPixel      int
	Tilt           float64 // rad, greatest lean of the field from the pane's normal
	TiltPixel      int
	// EdgeRatio is the mean Bz of the outermost pixels over that of the others; NaN when
	// there are no others.
	EdgeRatio float64
}

// BiasSpread tells how the bias differs between pixels; all zero without magnets.
func (g *Grid) BiasSpread(ctx context.Context) (BiasSpread, error) {
	d := g.Design.Grid
	all, err := g.BiasAtAll(ctx)
	if err != nil {
		return BiasSpread{}, err
	}
	s := BiasSpread{At: all, Least: math.Inf(1), Most: math.Inf(-1)}
	at := func(row, col int) r3.Vec { return s.At[row*d.Cols+col] }
	s.Center, s.Corner, s.Top, s.Side = at(d.Rows/2, d.Cols/2), at(0, 0), at(0, d.Cols/2), at(d.Rows/2, 0)
	s.Bare = g.bareBias(d.Rows/2, d.Cols/2)
	var edge, inner float64
	var edges, inners int
	for k, b := range s.At {
		s.Mean += b.Z / float64(len(s.At))
		if b.Z < s.Least {
			s.Least, s.LeastPixel = b.Z, k
		}
		if b.Z > s.Most {
			s.Most, s.MostPixel = b.Z, k
		}
		if tilt := math.Atan2(math.Hypot(b.X, b.Y), math.Abs(b.Z)); tilt > s.Tilt {
			s.Tilt, s.TiltPixel = tilt, k
		}
		if r, c := k/d.Cols, k%d.Cols; r == 0 || c == 0 || r == d.Rows-1 || c == d.Cols-1 {
			edge, edges = edge+b.Z, edges+1
		} else {
			inner, inners = inner+b.Z, inners+1
		}
	}
	s.EdgeRatio = edge / float64(edges) / (inner / float64(inners))
	return s, nil
}

// bareBias is Bz of all magnets on a pixel's axis if there were no steel, T.
func (g *Grid) bareBias(row, col int) (bz float64) {
	at := g.Center(row, col)
	switch {
	case g.sheet != nil:
		return g.sheet.Bare.B(at).Z
	case g.Pixel.Magnet == nil:
		return 0
	}
	for k := range g.Design.Pixels() {
		from := g.Design.PixelCenter(k/g.Design.Grid.Cols, k%g.Design.Grid.Cols)
		bz += g.Pixel.Magnet.B(r3.Sub(at, from)).Z
	}
	return bz
}

// BiasAtAll is BiasAt for every pixel.
func (g *Grid) BiasAtAll(ctx context.Context) ([]r3.Vec, error) {
	d := g.Design.Grid
	list := make([]r3.Vec, d.Rows*d.Cols)
	if g.Bias == nil {
		for k := range list {
			list[k] = g.BiasAt(k/d.Cols, k%d.Cols)
		}
		return list, nil
	}
	e, err := lattice.New(ctx, g.shape(1, 0), g.LatticeKernel(g.Bias), g.Symmetry())
	if err != nil {
		return nil, fmt.Errorf("adding up the bias magnets at pixel axes: %w", err)
	}
	out := [][]float64{make([]float64, len(list)), make([]float64, len(list)), make([]float64, len(list))}
	e.Superpose(out, slices.Repeat([]float64{1}, len(list)))
	for k := range list {
		list[k] = r3.Vec{X: out[0][k], Y: out[1][k], Z: out[2][k]}
	}
	return list, nil
}
