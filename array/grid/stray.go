package grid

import (
	"context"
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/neighbours"
	"lodegrid/field"
	"lodegrid/field/kernel"
)

// LoneStrength is about the greatest |B| of a lone pixel at full level on the fluid plane, the bias
// with it, T.
func (g *Grid) LoneStrength() float64 {
	full := g.Pixel.Full
	return full.On.Average*math.Sqrt(full.Share)*math.Abs(g.Kernel.Peak) + r3.Norm(g.BiasAt(g.Design.Grid.Rows/2, g.Design.Grid.Cols/2))
}

// StoredField is one pixel's field on the fluid plane, per ampere or of its magnet, with
// what the steel of all other pixels answers to it.
type StoredField struct {
	*kernel.Kernel
	// inner is the answer of the pixels that a pixel in the middle of the grid has, outer
	// that of a grid in which every pixel has all neighbours; nil without any.
	inner, outer *neighbours.Field

	kept sync.Map
}

// Kept is what work makes of the field alone, worked out at the first call with a key:
// grids that differ by their drive share the field, and it is dear to read.
func (f *StoredField) Kept(key any, work func() any) any {
	v, ok := f.kept.Load(key)
	if !ok {
		v, _ = f.kept.LoadOrStore(key, work())
	}
	return v
}

// At is the field at (x, y) metres from the pixel's axis.
func (f *StoredField) At(x, y float64) r3.Vec {
	return r3.Add(f.Kernel.At(x, y), f.answers(x, y))
}

// answers is what the other pixels' steel adds there.
func (f *StoredField) answers(x, y float64) r3.Vec {
	switch {
	case f.outer == nil:
		return r3.Vec{}
	case f.inner != nil && f.inner.Covers(x, y):
		return f.inner.At(x, y)
	}
	return f.outer.At(x, y)
}

// NeighbourSteel is what the steel of the other pixels does to the field of one.
type NeighbourSteel struct {
	// Alone is the field per ampere on the axis of the next pixel to the right (above, in
	// a single column) with the steel of the lit one, Added what all other steel adds.
	Alone, Added r3.Vec
	// Error is the estimated error of Added over its size: its change with a coarser mesh
	// and fewer powers of the height.
	Error float64
}

// mostEdge is the largest number of pixels from the middle to the edge for which it
// matters that the grid ends.
const mostEdge = 4

// addNeighbours lets the steel of all other pixels answer to the grid's kernels.
func (g *Grid) addNeighbours(ctx context.Context, told bool) error {
	d := g.Design
	if d.Pixels() == 1 {
		return nil
	}
	var err error
	if g.answer == nil {
		if g.answer, err = g.Pixel.Answer(ctx, d, false); err != nil || g.answer == nil {
			return err
		}
	}
	spec := neighbours.Spec{Answer: g.answer, Height: d.Fluid.Height, Pitch: d.Grid.Pitch, Cols: d.Grid.Cols, Rows: d.Grid.Rows}
	if g.steel, err = neighbours.New(ctx, spec); err != nil {
		return err
	}
	if err := g.answerTo(ctx, g.Kernel, g.strayCoil()); err != nil || !told {
		return err
	}
	return g.tellNeighbours(ctx)
}

// strayCoil is the coil with its steel, good beside the next pixel's axis too.
func (g *Grid) strayCoil() field.Source {
	d := g.Design
	beside := max(d.Grid.Pitch-d.Coil.Outer/2, d.Coil.Outer/8)
	return g.Pixel.From(min(d.Fluid.Height, beside)).CoilField()
}

// answerTo adds the answers to a pixel's field.
func (g *Grid) answerTo(ctx context.Context, f *StoredField, source field.Source) (err error) {
	d := g.Design.Grid
	cols, rows := d.Cols-1, d.Rows-1
	if !g.edged() {
		cols, rows = max(cols, rows), max(cols, rows)
	}
	if f.outer, err = g.steel.Answer(ctx, source.B, cols, rows); err != nil {
		return err
	}
	if g.edged() {
		f.inner, err = g.steel.Answer(ctx, source.B, d.Cols/2, d.Rows/2)
	}
	return err
}

// edged reports whether some pixel in the middle is so near to an edge that the lattice of
// the steel about it must end there.
func (g *Grid) edged() bool { return min(g.Design.Grid.Cols, g.Design.Grid.Rows)/2 <= mostEdge }

// next is where the next pixel stands, to the right or above.
func (g *Grid) next() r3.Vec {
	if g.Design.Grid.Cols == 1 {
		return r3.Vec{Y: g.Design.Grid.Pitch}
	}
	return r3.Vec{X: g.Design.Grid.Pitch}
}

// nextSteel is what the other pixels' steel does there, its error left open.
func (g *Grid) nextSteel() *NeighbourSteel {
	at := g.next()
	n := &NeighbourSteel{Alone: g.Kernel.Kernel.At(at.X, at.Y)}
	n.Added = r3.Sub(g.Kernel.At(at.X, at.Y), n.Alone)
	return n
}

// tellNeighbours fills in g.Steel.
func (g *Grid) tellNeighbours(ctx context.Context) error {
	d := g.Design
	next := g.next()
	cols, rows := 1, min(1, d.Grid.Rows-1)
	if d.Grid.Cols == 1 {
		cols = 0
	}
	n := g.nextSteel()
	source := g.strayCoil()
	var at [2]r3.Vec
	for k := range at {
		steel := g.steel
		if k == 1 {
			answer, err := g.Pixel.Answer(ctx, d, true)
			if err != nil {
				return fmt.Errorf("estimating the error of the neighbours' steel: %w", err)
			}
			if steel, err = neighbours.New(ctx, neighbours.Spec{Answer: answer, Height: d.Fluid.Height, Pitch: d.Grid.Pitch, Cols: 1, Rows: 1}); err != nil {
				return err
			}
		}
		f, err := steel.Answer(ctx, source.B, cols, rows)
		if err != nil {
			return err
		}
		at[k] = f.At(next.X, next.Y)
	}
	n.Error = r3.Norm(r3.Sub(at[0], at[1])) / math.Max(r3.Norm(at[0]), math.SmallestNonzeroFloat64)
	g.Steel = n
	return nil
}

// SteelLeftOut tells in a sentence what steel of other pixels a grid's field leaves out,
// empty for none.
func (g *Grid) SteelLeftOut() string {
	d := g.Design
	shaped := d.Iron.Radius > 0 || d.Iron.CoreRadius > 0
	switch {
	case g.steel != nil || d.Iron.Model == design.IronNone || d.Pixels() == 1:
		return ""
	case shaped:
		return fmt.Sprintf("What the steel of other pixels does to a pixel's field is left out: the steel model %s does not know it.", g.Pixel.Iron.Model)
	case g.Pixel.Iron.Model == design.IronFEM && g.Pixel.Magnet != nil:
		return "Where the magnets of other pixels saturate the sheet, it answers a pixel's field less; that is left out."
	}
	return ""
}
