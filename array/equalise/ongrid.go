package equalise

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
)

// OnGrid prepares the solver that finds levels whose field at the pixels' axes meets
// a picture: the grid's coils with steel at FullCurrent for level 1, its magnets, its
// Gains and the levels its bridge can give. weight is the equaliser's power weight.
func OnGrid(ctx context.Context, g *grid.Grid, q Quantity, weight float64) (*Solver, error) {
	if g.Gains != nil {
		if err := g.CheckGains("gain", g.Gains); err != nil {
			return nil, fmt.Errorf("equalising: %w", err)
		}
	}
	kernel := g.LatticeKernel(g.Kernel)
	p := Problem{
		Rows: g.Design.Grid.Rows, Cols: g.Design.Grid.Cols, Quantity: q,
		Kernel: func(dst []float64, dx, dy float64) {
			kernel(dst, dx, dy)
			for c := range dst {
				dst[c] *= g.Pixel.FullCurrent
			}
		},
		Symmetry: g.Symmetry(), Gains: g.Gains, Low: []float64{0}, High: []float64{1},
		Fluid: g.Fluid.Axially(), PowerWeight: weight,
	}
	if g.Design.Drive.Bridge == design.BridgeFull {
		p.Low[0] = -1
	}
	if g.BiasPlane != nil {
		all, err := g.BiasAtAll(ctx)
		if err != nil {
			return nil, err
		}
		for c := range p.Bias {
			p.Bias[c] = make([]float64, len(all))
		}
		for k, b := range all {
			p.Bias[0][k], p.Bias[1][k], p.Bias[2][k] = b.X, b.Y, b.Z
		}
	}
	s, err := New(ctx, p)
	if err != nil {
		return nil, fmt.Errorf("equalising: %w", err)
	}
	return s, nil
}

// OwnField is the axial field at a pixel in tesla that its own coil makes at a level,
// its magnet's bias not counted: the picture an equaliser is asked for is usually this
// for every pixel.
func OwnField(g *grid.Grid, level float64) float64 {
	return g.Kernel.At(0, 0).Z * g.Pixel.FullCurrent * level
}
