package grid

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"sync"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/memo"
)

// Drawn is a grid's board, and what its copper puts between the coils and their drivers.
type Drawn struct {
	Ways   escape.Answer
	Board  *artwork.Board // nil where it cannot be drawn
	Net    artwork.Net
	Misfit *artwork.Misfit // why it cannot be
	// Led is by what leads, and the ways where they are drawn, raise each coil's resistance; nil
	// without a board.
	Led []float64
}

// drawing draws a board once it is asked for.
type drawing struct {
	design design.Design
	ways   escape.Answer
	cold   float64 // Ω, a coil at 20 °C

	mu   sync.Mutex
	made *Drawn
}

func newDrawing(d design.Design, p pixel.Pixel) *drawing {
	return &drawing{design: d, ways: escape.Of(d, p.Coil, p.FullCurrent), cold: p.Coil.Resistance(field.RoomTemperature)}
}

// Drawn draws the grid's board, once for it and those made from it by With and Near.
func (g *Grid) Drawn(ctx context.Context) (*Drawn, error) {
	x := g.drawing
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.made != nil {
		return x.made, nil
	}
	var err error
	x.made, err = boards.Get(fmt.Sprint(copper(x.design), x.ways, x.cold), func() (*Drawn, error) { return x.draw(ctx) })
	return x.made, err
}

// boards are those drawn before, by all that they follow from.
var boards = memo.New[string, *Drawn](1 << 4)

func (x *drawing) draw(ctx context.Context) (*Drawn, error) {
	out := &Drawn{Ways: x.ways}
	var err error
	if out.Board, err = artwork.Draw(ctx, x.design, x.ways); errors.As(err, &out.Misfit) {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	if out.Net, err = out.Board.Trace(); err != nil {
		return nil, fmt.Errorf("tracing what lies between coils and drivers: %w", err)
	}
	out.Led = out.Board.Led(out.Net)
	for i, r := range out.Led {
		out.Led[i] = 1 + r/x.cold
	}
	return out, nil
}

// Resistances are the pixels' with their leads and tracks, Ω, all copper at a temperature in K.
func (g *Grid) Resistances(tempK float64) ([]float64, error) {
	x, err := g.Drawn(context.Background()) // tenths of a second, and mostly done before
	if err != nil {
		return nil, err
	}
	list := make([]float64, g.Design.Pixels())
	for i := range list {
		list[i] = g.Pixel.Coil.Resistance(tempK)
		if x.Led != nil {
			list[i] *= x.Led[i]
		}
	}
	return list, nil
}

// serves tells whether the board is that of another design, too.
func (x *drawing) serves(y *drawing) bool {
	return x.ways == y.ways && reflect.DeepEqual(copper(x.design), copper(y.design))
}

// copper is what the board's copper depends on of a design beside the ways' widths.
func copper(d design.Design) design.Design {
	return design.Design{
		Board: d.Board, Coil: d.Coil, Grid: d.Grid, Order: d.Order,
		Iron: design.Iron{Model: d.Iron.Model, CoreRadius: d.Iron.CoreRadius},
		Drive: design.Drive{Mode: d.Drive.Mode, ScanRows: d.Drive.ScanRows, Bridge: d.Drive.Bridge,
			InSeries: d.Drive.InSeries, FeederWidth: d.Drive.FeederWidth, MostLit: d.Drive.MostLit},
	}
}
