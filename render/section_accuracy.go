package render

import (
	"fmt"

	"lodegrid/array/grid"
	"lodegrid/field/quantity"
)

// AccuracySection is what the model of the coil leaves out, measured: closed turns for
// the true spiral, the stored field, the finite elements.
func AccuracySection(g *grid.Grid) Section {
	d, p := g.Design, g.Pixel
	worst, axis := p.Coil.FormDifference(d.Fluid.Height)
	s := Section{Key: "accuracy", Title: "How good these figures are", Facts: []Fact{
		{Key: "form_worst", Label: "closed turns against the true spiral", Value: worst, Text: fmt.Sprintf("up to %s %% of the largest field at %s, %s %% on the axis", quantity.Figure(worst*100, 2), quantity.Format(d.Fluid.Height, quantity.Length), quantity.Figure(axis*100, 2)),
			Why: "the track with its links and vias, terminal to terminal, in air"},
		{Key: "kernel_error", Label: "stored field of one pixel", Value: g.Kernel.Error, Text: fmt.Sprintf("within %s of its peak at 64 places it was not made from", part(g.Kernel.Error))},
	}}
	if f := p.Iron.CoilSolution; f != nil {
		s.Facts = append(s.Facts, Fact{Key: "fem_nodes", Label: "finite elements", Value: f.Nodes, Text: fmt.Sprintf("%d nodes, %d Newton steps; 0.2 %% on the axis against independent ones for such shapes", f.Nodes, f.Steps)})
	}
	s.Notes = append(s.Notes, "Copper etched to tolerance (±10 % of thickness and width is common) moves resistance by as much, and field and heat with it; measure one board.")
	return s
}
