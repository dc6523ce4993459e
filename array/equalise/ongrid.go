package equalise

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
)

// OnGrid prepares the solver that finds levels whose axial field at the pixels' axes meets
// a picture: the grid's coils with steel, its magnets and the levels its bridge can give. A
// level here is a share of FullCurrent, behind a freewheel diode less than one of the duty.
func OnGrid(ctx context.Context, g *grid.Grid) (*Solver, error) {
	pitch := g.Design.Grid.Pitch
	p := Problem{
		Rows: g.Design.Grid.Rows, Cols: g.Design.Grid.Cols, High: 1,
		Kernel: func(dst []float64, dx, dy float64) {
			dst[0] = g.Kernel.At(dx*pitch, dy*pitch).Z * g.Pixel.FullCurrent
		},
	}
	if g.Design.Drive.Bridge == design.BridgeFull {
		p.Low = -1
	}
	if g.BiasPlane != nil {
		all, err := g.BiasAtAll(ctx)
		if err != nil {
			return nil, err
		}
		for _, b := range all {
			p.Bias = append(p.Bias, b.Z)
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
