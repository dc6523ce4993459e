package render

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
)

// CrosstalkSection is what one pixel puts onto its neighbours, and the worst that
// all others together can do.
func CrosstalkSection(g *grid.Grid, reach int) Section {
	i := g.Pixel.FullCurrent
	t := Table{Key: "neighbours", Title: fmt.Sprintf("A pixel %s (%s on average) on its neighbours' axes, fluid plane", "at full level", quantity.Format(i, quantity.Current)), Columns: []Column{
		{"right", "right"}, {"up", "up"}, {"distance_m", "distance"}, {"bz_t", "Bz"}, {"b_t", "|B|"}, {"ratio", "of own |B|"}, {"db", "dB"},
	}}
	cols, rows := g.Design.Grid.Cols, g.Design.Grid.Rows
	for _, n := range g.Neighbours(reach) {
		if max(n.Right, n.Up) >= max(cols, rows) || min(n.Right, n.Up) >= min(cols, rows) {
			continue // no two pixels stand so; a row of the table is for either way round
		}
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
	share, note := fmt.Sprintf("%.1f %%", w.Share*100), "The worst pattern is exact for it: it is a sum, so each neighbour stands at the end of its range that adds. "
	if !w.Exact() {
		share = fmt.Sprintf("%.1f %% found, at most %.1f %%,", w.Share*100, w.Bound*100)
		note = "The worst pattern is the worst that was found for it before the search's effort ended; none goes beyond the second figure. "
	}
	s := Section{Key: "crosstalk", Title: "Crosstalk", Tables: []Table{t}, Facts: []Fact{
		{Key: "worst_share", Label: "worst pattern of all others", Value: w.Share,
			Text: fmt.Sprintf("%s of the pixel's own field, at %s (%s on)", share, extent.Place(w.Row, w.Col), quantity.Count(on, "pixel"))},
		{Key: "worst_share_bound", Value: w.Bound},
		{Key: "worst_bz_t", Label: "axial field of all others there", Value: w.Bz * i, Text: quantity.Format(w.Bz*i, quantity.FluxDensity)},
	}, Notes: []string{"Bz is the field along the pixel's axis. " + note + lights(g.Design)}}
	if n := g.Design.Coils(); n > 1 {
		s.Notes[0] += fmt.Sprintf(" The %d coils in series on an output light together in it, the pixel's own are off (drive.in_series).", n)
	}
	s.addNeighbourSteel(g)
	return s
}

// addNeighbourSteel tells what the steel of dark pixels does to a lit one's stray field.
func (s *Section) addNeighbourSteel(g *grid.Grid) {
	n, i := g.Steel, g.Pixel.FullCurrent
	if n == nil {
		s.Facts = append(s.Facts, absent("neighbours_steel_t", "neighbours_steel_error")...)
		if why := g.SteelLeftOut(); why != "" {
			s.Notes = append(s.Notes, why)
		}
		return
	}
	with := r3.Add(n.Alone, n.Added)
	s.Facts = append(s.Facts,
		Fact{Key: "neighbours_steel_t", Label: "the others' steel, on the next axis", Value: n.Added.Z * i,
			Text: fmt.Sprintf("adds %s to an axial field of %s: a dark pixel's steel gathers a lit one's field (%s in all, counted everywhere)",
				quantity.Format(n.Added.Z*i, quantity.FluxDensity), quantity.Format(n.Alone.Z*i, quantity.FluxDensity), quantity.Format(with.Z*i, quantity.FluxDensity)),
			Why: "finite elements for the steel's answer to stray fields along and across its axis, all pixels' answers coupled"},
		Fact{Key: "neighbours_steel_error", Label: "its estimated error", Value: n.Error, Text: fmt.Sprintf("%.1f %% of it, by a coarser mesh and fewer powers of the height", n.Error*100)})
}
