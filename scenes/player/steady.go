package player

import (
	"context"
	"fmt"
	"slices"

	"lodegrid/array/drive"
	"lodegrid/array/heat"
	"lodegrid/field/material"
)

// Steady is the display with its levels held continuously.
type Steady struct {
	Heat    heat.Result
	Pixels  []drive.PixelState // currents at the final temperatures
	Power   float64            // W, drawn from the rails
	Current float64            // A, average
}

// Steady finds the state that levels held continuously settle in. The error is a
// *heat.RunawayError when there is none below the network's ceiling.
func (p *Player) Steady(ctx context.Context, levels []float64) (Steady, error) {
	load := &drive.Heating{
		Drive: p.drive, Levels: levels, Resistance20: p.load.resistance20, Led: p.led,
		Alpha: material.AnnealedCopper.TempCoefficient,
	}
	r, err := p.net.Steady(ctx, load)
	if err != nil {
		return Steady{}, fmt.Errorf("looking for the steady state: %w", err)
	}
	s := Steady{Heat: r, Pixels: make([]drive.PixelState, len(levels))}
	resistance := make([]float64, len(levels))
	for i, t := range r.Coils {
		resistance[i] = p.ohms(i, t)
	}
	if err := p.drive.Steady(s.Pixels, levels, resistance); err != nil {
		return Steady{}, err
	}
	for _, st := range s.Pixels {
		s.Power += st.Power
		s.Current += st.RailAverage + st.BoostAverage
	}
	return s, nil
}

// Uniform returns levels with every pixel at v.
func (p *Player) Uniform(v float64) []float64 {
	l := slices.Repeat([]float64{v}, p.grid.Design.Pixels())
	return l
}

// Single returns levels with only the middle pixel at v, and what is in series with it.
func (p *Player) Single(v float64) []float64 {
	l := make([]float64, p.grid.Design.Pixels())
	p.grid.Design.Light(l, p.Middle(), v)
	return l
}

// Middle is the index of the pixel nearest to the grid's middle.
func (p *Player) Middle() int {
	g := p.grid.Design.Grid
	return g.Rows/2*g.Cols + g.Cols/2
}
