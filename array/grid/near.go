package grid

import (
	"context"
	"reflect"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
)

// Near is the grid of a display that came out a little different from g's: only what that
// touches is worked out anew. Another copper leaves what a coil's ampere makes as it is, to
// within a thousandth; other steel, magnets, another fluid plane or a thicker board, which moves
// coil and steel apart, ask for fields. What a pixel's steel answers to the others' is kept.
func (g *Grid) Near(ctx context.Context, d design.Design) (*Grid, error) {
	was, p := g.Design, g.Pixel
	var err error
	steel := d.Iron != was.Iron || d.Magnet != was.Magnet || d.Fluid.Height < was.Fluid.Height || d.Board.Thickness != was.Board.Thickness
	switch {
	case steel:
		p, err = pixel.New(ctx, d, d.Fluid.Height)
	case !reflect.DeepEqual(d.Board, was.Board) || !reflect.DeepEqual(d.Coil, was.Coil):
		p, err = p.Remade(d, d.Fluid.Height)
	default:
		p.SetDrive(d)
	}
	if err != nil {
		return nil, err
	}
	if f := p.Iron.CoilSolution; f != nil && !steel && g.Pixel.Full.On.Average != 0 {
		bent, still := *f, 0.0
		if m := p.Iron.BiasSolution; m != nil {
			still = m.Peak // what the magnet makes there does not go by the current
		}
		bent.Peak = still + (f.Peak-still)*p.Full.On.Average/g.Pixel.Full.On.Average
		p.Iron.CoilSolution = &bent
	}
	if steel || d.Fluid.Height != was.Fluid.Height {
		h, err := newWith(ctx, d, p, g.Raster.Samples, g.answer, g.answer == nil)
		if err != nil {
			return nil, err
		}
		if h.drawing = g.drawing; g.Steel == nil {
			return h, nil
		}
		h.Steel = h.nextSteel()
		h.Steel.Error = g.Steel.Error
		return h, nil
	}
	return g.twin(d, p), nil
}
