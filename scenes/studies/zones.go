package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// Zone is a band of a display that has a supply, a feeder and a fuse of its own: rows From to
// To, or columns; in mode scan, where all of a row is lit at once, columns.
type Zone struct {
	From, To int // from 0, To left out
	Frame    int // of the scene, in which it draws most
	*supply.Proposal
	// Return is the most of its current, A, that comes back through the others' negative leads
	// where these are joined at the board.
	Return float64
}

// Zoned is a display cut up.
type Zoned struct {
	Columns bool
	Zones   []Zone
}

// Zones cuts a display up where one supply is not enough: into the fewest equal bands of
// rows, or of columns, of which each can be carried by one supply in the scene's frame that
// lights it most, however dark the others are. Nil where one supply does, without zones where
// one row or column alone is too much.
func Zones(ctx context.Context, g *grid.Grid, s scenes.Scene, whole *supply.Proposal) (*Zoned, error) {
	if whole.Supplies.Value <= 1 {
		return nil, nil
	}
	c, err := newCold(g)
	if err != nil {
		return nil, err
	}
	d := g.Design
	ways := []Zoned{{Columns: false}, {Columns: true}}
	if d.Drive.Mode == design.DriveScan {
		ways = ways[1:]
	}
	for n := int(whole.Supplies.Value); n <= max(d.Grid.Rows, d.Grid.Cols); n++ {
		for _, out := range ways {
			if out.Zones, err = c.bands(ctx, s, out.Columns, n); err != nil || out.Zones != nil {
				return &out, err
			}
		}
	}
	return &ways[0], nil
}

// bands are n zones that one supply each carries, nil where one of them asks for more.
func (c *cold) bands(ctx context.Context, s scenes.Scene, columns bool, n int) (list []Zone, err error) {
	lines, each := c.grid.Design.Grid.Rows, 1
	if columns { // no string is cut
		each = c.grid.Design.Coils()
		lines = c.grid.Design.Grid.Cols / each
	}
	if n > lines {
		return nil, nil
	}
	for k := range n {
		z, err := c.zone(ctx, s, columns, k*lines/n*each, (k+1)*lines/n*each, n)
		if err != nil || z.Supplies.Value > 1 {
			return nil, err
		}
		list = append(list, z)
	}
	return list, nil
}

// zone sizes one of n bands.
func (c *cold) zone(ctx context.Context, s scenes.Scene, columns bool, from, to, n int) (Zone, error) {
	z := Zone{From: from, To: to}
	d := c.grid.Design
	within := func(i int) bool {
		line := i / d.Grid.Cols
		if columns {
			line = i % d.Grid.Cols
		}
		return line >= from && line < to
	}
	most := -1.0
	for k, f := range s.Frames {
		sum := 0.0
		for i, v := range f.Levels {
			if within(i) {
				sum += math.Abs(v)
			}
		}
		if sum > most {
			most, z.Frame = sum, k
		}
	}
	f := scenes.Frame{Levels: make([]float64, d.Pixels()), Duration: s.Frames[z.Frame].Duration}
	for i, v := range s.Frames[z.Frame].Levels {
		if within(i) {
			f.Levels[i] = v
		}
	}
	if most == 0 {
		for i := range f.Levels { // never lit: as if one pixel were
			if within(i) {
				d.Light(f.Levels, i, 1)
				break
			}
		}
	}
	draw, err := c.draw(ctx, supply.Frame, f, pictureRail)
	if err != nil {
		return z, err
	}
	p := parameters(d)
	p.Draws = []supply.Draw{draw}
	if z.Proposal, err = supply.Propose(ctx, p); err != nil {
		return z, fmt.Errorf("sizing a zone: %w", err)
	}
	z.Return = draw.Average * (1 + d.Supply.Tolerance) * float64(n-1) / float64(n)
	return z, nil
}
