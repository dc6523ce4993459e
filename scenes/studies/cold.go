package studies

import (
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"slices"
)

// cold is a grid's drive from rest with every coil, and what leads to it, as cold as the coldest air, which
// is when it draws most.
type cold struct {
	grid       *grid.Grid
	drive      *drive.Drive
	meter      *drive.Meter
	resistance []float64 // Ω
	pixels     []drive.PixelState
}

// newCold returns a grid's drive at rest.
func newCold(g *grid.Grid) (*cold, error) {
	d := g.Design
	drv := g.Drive(d.Scene.FrameTime)
	ohms, err := g.Resistances(d.Heat.AmbientLow)
	if err != nil {
		return nil, err
	}
	return &cold{grid: g, drive: drv, meter: drv.NewMeter(), resistance: ohms, pixels: make([]drive.PixelState, d.Pixels())}, nil
}

// start puts every pixel back to rest.
func (c *cold) start() { clear(c.pixels) }

// MostLit is the legal picture that draws most, and drops most: as many pixels at full
// level as the firmware lights, row by row from the corner farthest from the terminals.
func MostLit(g *grid.Grid) []float64 {
	d := g.Design
	l := make([]float64, d.Pixels())
	most := min(d.Drive.MostLit, len(l))
	for k := range most - most%d.Coils() { // whole strings
		l[len(l)-1-k] = 1
	}
	return l
}

// AllOn is every pixel at full level.
func AllOn(g *grid.Grid) []float64 {
	l := slices.Repeat([]float64{1}, g.Design.Pixels())
	return l
}
