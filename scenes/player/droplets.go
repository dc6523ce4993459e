package player

import (
	"lodegrid/array/drops"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Droplets is the fluid in front of a grid by the quick model of package array/drops, moved
// by the same magnetic pressure as a Tank.
type Droplets struct {
	pane *drops.Pane
	grid *grid.Grid
}

// NewDroplets returns panes without fluid in front of the grid; the longest step in
// seconds, 0 for drops.DefaultStep.
func NewDroplets(g *grid.Grid, step float64) (*Droplets, error) { return Meeting(g, step, 0) }

// Meeting returns the same panes, where drops become one at a distance between their edges, m, if that
// is more than the design's.
func Meeting(g *grid.Grid, step, gap float64) (*Droplets, error) {
	p := panes(g, leastCells, step)
	p.MergeGap = max(p.MergeGap, gap)
	pane, err := drops.New(p, g.Drop().Diameter)
	return &Droplets{pane, g}, err
}

// Inherit takes over another pane's drops, if it is as large.
func (d *Droplets) Inherit(from *Droplets) {
	if d.grid.Raster == from.grid.Raster {
		d.pane.Resume(from.pane.Moment())
	}
}

// Refill empties the panes and fills them as FillFor does.
func (d *Droplets) Refill(s scenes.Scene) (float64, error) {
	d.pane.Resume(&drops.Moment{})
	return d.FillFor(s)
}

// FillFor puts in the fluid that a scene starts with, as Tank.FillFor does, of
// a pool the whole drops.
func (d *Droplets) FillFor(s scenes.Scene) (float64, error) {
	f := FillOf(d.grid, s)
	d.pane.Pour(int(f.Pool/f.Drop + 1e-9))
	for _, i := range f.On {
		at := d.grid.Center(i/s.Cols, i%s.Cols)
		d.pane.Add(at.X, at.Y)
	}
	return d.pane.Volume(), nil
}

// Effort is how many parts and joints of drops all steps so far have looked at.
func (d *Droplets) Effort() int { return d.pane.Effort() }

// Step moves the fluid for dt seconds in the magnetic pressure of a plane.
func (d *Droplets) Step(dt float64, p *grid.Plane) error {
	d.pane.Step(dt, p.Pi)
	return nil
}

// Resting tells whether no drop moves any more while the magnetic pressure stays as it is.
func (d *Droplets) Resting() bool { return d.pane.Resting() }

// Fraction is the fluid's share of cells over the whole tank, for a picture, as drops.Pane has it.
func (d *Droplets) Fraction(to []float64, rows, cols int) []float64 {
	return d.pane.Fraction(to, rows, cols)
}

// Cover tells how full of fluid places and squares are, as Tank.Cover does.
func (d *Droplets) Cover(place, cell []float64) {
	g := d.grid.Design.Grid
	d.pane.Cover(g.Cols, g.Rows, g.Pitch, place, cell)
}
