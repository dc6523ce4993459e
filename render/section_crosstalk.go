package render

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/field/quantity"
)

// CrosstalkSection is what one pixel puts onto its neighbours, and the worst that
// all others together can do.
func CrosstalkSection(g *array.Grid, reach int) Section {
	i := g.Pixel.FullCurrent
	t := Table{Key: "neighbours", Title: fmt.Sprintf("A pixel %s (%s on average) on its neighbours' axes, fluid plane", "at full level", quantity.Format(i, quantity.Current)), Columns: []Column{
		{"right", "right"}, {"up", "up"}, {"distance_m", "distance"}, {"bz_t", "Bz"}, {"b_t", "|B|"}, {"ratio", "of own |B|"}, {"db", "dB"},
	}}
	for _, n := range g.Neighbours(reach) {
		t.Rows = append(t.Rows, []Cell{
			{n.Right, fmt.Sprint(n.Right)}, {n.Up, fmt.Sprint(n.Up)}, In(n.Distance, quantity.Length),
			In(n.B.Z*i, quantity.FluxDensity), In(r3.Norm(n.B)*i, quantity.FluxDensity),
			{n.Ratio, fmt.Sprintf("%.2f %%", n.Ratio*100)}, {finite(n.DB, None), fmt.Sprintf("%.1f", n.DB)},
		})
	}
	w := g.WorstAnywhere()
	on := 0
	for _, v := range w.Levels {
		if v != 0 {
			on++
		}
	}
	return Section{Key: "crosstalk", Title: "Crosstalk", Tables: []Table{t}, Facts: []Fact{
		{Key: "worst_share", Label: "worst pattern of all others", Value: w.Share,
			Text: fmt.Sprintf("%.1f %% of the pixel's own field, at row %d, column %d (%d pixels on)", w.Share*100, w.Row+1, w.Col+1, on)},
		{Key: "worst_bz_t", Label: "axial field of all others there", Value: w.Bz * i, Text: quantity.Format(w.Bz*i, quantity.FluxDensity)},
	}, Notes: []string{"Bz is the field along the pixel's axis. The worst pattern is exact for it: it is a sum, so each neighbour stands at the end of its range that adds."}}
}
