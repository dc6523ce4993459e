package scope

import (
	"fmt"

	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// tank is the fluid of a display.
type tank interface {
	shown.Fluid
	player.Kept
	Refill(s scenes.Scene) (float64, error)
	Cells() (rows, cols int)
	// Fraction is the fluid's share of each of these cells; it changes with the next Step.
	Fraction() []float64
}

// Model is what a display's fluid follows by.
type Model int

// The models; Fitting takes the drop model where the tank has more than mostCells.
const (
	Fitting Model = iota
	Cells
	Drops
	models = iota
)

// mostCells is where a tank takes more than some ten times as long as what it shows.
const mostCells = 250_000

// Models lists the models by their names.
func Models() []string { return []string{"fitting", "cells", "drops"}[:models] }

// newTank is the fluid in front of a grid.
func newTank(g *grid.Grid, m Model) (tank, error) {
	r := g.Raster
	if n := player.CellsFor(g.Design); m == Cells || m != Drops && r.Len()/r.Samples/r.Samples*n*n <= mostCells {
		return player.NewTank(g, n, 0)
	}
	b, err := player.NewDroplets(g, 0)
	return &droplets{Droplets: b, rows: r.Rows / r.Samples * drawnCells, cols: r.Cols / r.Samples * drawnCells}, err
}

// droplets are drops with cells to draw them by.
type droplets struct {
	*player.Droplets
	rows, cols int
	fraction   []float64
}

// drawnCells is how many cells per pitch the drop model is drawn by.
const drawnCells = 8

func (b *droplets) Cells() (rows, cols int) { return b.rows, b.cols }

func (b *droplets) Refill(s scenes.Scene) (float64, error) { return b.Droplets.Refill(s) }

func (b *droplets) Fraction() []float64 {
	b.fraction = b.Droplets.Fraction(b.fraction, b.rows, b.cols)
	return b.fraction
}

// Follows says by what the fluid follows where that is not the tank, and where nothing lies over
// it how far to trust it; empty where it is.
func (v *View) Follows() string {
	switch {
	case !v.quick:
		return ""
	case v.Overlay() != Fluid: // whose own words need the room
		return "Drop model."
	}
	return fmt.Sprintf("Fluid by the quick drop model: of 100 wanted pixels it is off by %.0f on average, at worst it shows %.0f too many.", 100*shown.DropsOff, 100*shown.DropsHigh)
}
