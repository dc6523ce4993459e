package scope

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// display is a design made ready to play.
type display struct {
	made   *panel
	player *player.Player
	live   *player.Live
	tank   tank
}

// panel is what does not change while a display is played.
type panel struct {
	grid  *grid.Grid
	cells [2]int // rows and columns of the tank's
	quick bool   // the fluid follows by the drop model

	own  float64   // T at 1 A, a coil's axial field over the middle of its pixel
	bias []float64 // T, the bias magnets' axial field there, per pixel
}

// build makes a design ready to play a scene. It takes from a tenth of a second to
// some seconds.
func build(ctx context.Context, d design.Design, s scenes.Scene, m Model) (*display, error) {
	if s.Rows != d.Grid.Rows || s.Cols != d.Grid.Cols {
		return nil, fmt.Errorf("scene %q is for %d × %d pixels, the grid has %d × %d", s.Name, s.Cols, s.Rows, d.Grid.Cols, d.Grid.Rows)
	}
	if err := s.Validate(); err != nil {
		return nil, err
	}
	g, err := grid.New(ctx, d, 0)
	if err != nil {
		return nil, err
	}
	p, err := player.New(g)
	if err != nil {
		return nil, err
	}
	b, err := newTank(g, m)
	if err != nil {
		return nil, err
	}
	if _, err := b.FillFor(s); err != nil {
		return nil, err
	}
	rows, cols := b.Cells()
	_, quick := b.(*droplets)
	made := &panel{grid: g, cells: [2]int{rows, cols}, quick: quick, bias: make([]float64, d.Pixels())}
	made.measure()
	return &display{made: made, player: p, live: player.NewLive(p), tank: b}, nil
}

// measure finds the own field and the bias field as the raster's middle samples see
// them, so that what remains of a plane's field there is the neighbours' alone.
func (v *panel) measure() {
	d := v.grid.Design
	plane := grid.NewPlane(v.grid.Raster)
	currents := grid.Steady(make([]float64, d.Pixels()))
	v.grid.FieldInto(plane, currents)
	for i := range v.bias {
		v.bias[i] = v.middle(plane.Bz, i)
	}
	first := d.Pixel(d.Grid.Rows/2, d.Grid.Cols/2)
	currents.Mean[first] = 1
	v.grid.FieldInto(plane, currents)
	v.own = v.middle(plane.Bz, first) - v.bias[first]
}

// middle is a field over the middle of a pixel: the mean of the one to four samples nearest
// to it.
func (v *panel) middle(samples []float64, pixel int) float64 {
	cols, r := v.grid.Design.Grid.Cols, v.grid.Raster
	i, j := r.Cell(pixel/cols, pixel%cols)
	low, high := (r.Samples-1)/2, r.Samples/2
	sum := 0.0
	for _, a := range [2]int{low, high} {
		for _, b := range [2]int{low, high} {
			sum += samples[(i+a)*r.Cols+j+b]
		}
	}
	return sum / 4
}

// foreign is the axial field that the other pixels put onto one, as a share of what
// its own coil makes at full current.
func (v *View) foreign(pixel int) float64 {
	own := v.own * v.pixels[pixel].Average
	return (v.middle(v.plane.Bz, pixel) - v.bias[pixel] - own) / (v.own * v.grid.Pixel.FullCurrent)
}

// inherit takes over heat and fluid from the display shown before, as far as they
// fit.
func (v *display) inherit(old *display) {
	switch from := old.tank.(type) {
	case *player.Tank:
		if b, ok := v.tank.(*player.Tank); ok {
			b.Inherit(from)
		}
	case *droplets:
		if b, ok := v.tank.(*droplets); ok {
			b.Inherit(from.Droplets)
		}
	}
	from, to := old.player.Network(), v.player.Network()
	parts := from.States()
	if parts != to.States() || old.made.grid.Design.Pixels() != v.made.grid.Design.Pixels() {
		return
	}
	var t [][]float64
	for i := range parts {
		t = append(t, from.State(i))
	}
	to.StartFrom(t)
}
