package render

import (
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
)

// heights are the heights above the board at which the field is listed, m.
var heights = []float64{0.5e-3, 1e-3, 1.5e-3, 2e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 15e-3, 20e-3}

// HeightSection is the field on a pixel's axis against height.
func HeightSection(g *grid.Grid) Section {
	t := Table{Key: "by_height", Title: fmt.Sprintf("On the axis %s (%s)", atFull(g.Design), quantity.Format(g.Pixel.Full.On.Average, quantity.Current)), Columns: []Column{
		{"height_m", "height"}, {"air_t", "coil alone"}, {"coil_t", "with steel"}, {"gain", "gain"}, {"total_t", "with magnet"},
	}}
	for _, f := range g.Pixel.Axis(heights...) {
		t.Rows = append(t.Rows, []Cell{
			In(f.Height, quantity.Length), In(f.Alone, quantity.FluxDensity), In(f.Coil, quantity.FluxDensity), {f.Gain, fmt.Sprintf("× %.3f", f.Gain)}, In(f.Total, quantity.FluxDensity),
		})
	}
	if g.Pixel.Magnet == nil {
		t.Columns = t.Columns[:4]
		for k := range t.Rows {
			t.Rows[k] = t.Rows[k][:4]
		}
	}
	c := HeightChart(g)
	return Section{Key: "height", Title: "Field against height", Tables: []Table{t}, Figures: []Figure{{Caption: c.Title, Chart: &c}}}
}

// chartFrom and chartTo are the heights that the chart spans, m.
const (
	chartFrom = 0.3e-3
	chartTo   = 15e-3
)

// HeightChart draws the field on a pixel's axis against height, and marks the fluid plane.
func HeightChart(g *grid.Grid) Chart {
	c := Chart{Title: fmt.Sprintf("Field on the axis of one pixel at %s", quantity.Format(g.Pixel.Full.On.Average, quantity.Current)), X: "height above the board, mm", Y: "Bz, mT", FromZero: true, Lines: heightLines(g)}
	at, top := g.Design.Fluid.Height, math.Inf(-1)
	for _, l := range c.Lines {
		top = max(top, slices.Max(l.Y))
	}
	c.Lines = append(c.Lines, Line{Label: "fluid plane, " + quantity.Format(at, quantity.Length), X: []float64{at * 1e3, at * 1e3}, Y: []float64{0, top}, Color: len(lineColors), Dashed: true})
	return c
}

// heightLines are the field on a pixel's axis against height, with one thing more that there is each; the last
// is that of all of it.
func heightLines(g *grid.Grid) []Line {
	steps := make([]float64, 120)
	for k := range steps {
		steps[k] = chartFrom + (chartTo-chartFrom)*float64(k)/float64(len(steps)-1)
	}
	air, coil, total := Line{Label: "coil alone"}, Line{Label: "with steel"}, Line{Label: "with steel and magnet"}
	for _, f := range g.Pixel.Axis(steps...) {
		for line, b := range map[*Line]float64{&air: f.Alone, &coil: f.Coil, &total: f.Total} {
			line.X, line.Y = append(line.X, f.Height*1e3), append(line.Y, b*1e3)
		}
	}
	lines := []Line{air}
	if g.Design.Iron.Model != design.IronNone {
		lines = append(lines, coil)
	} else {
		total.Label = "with magnet"
	}
	if g.Pixel.Magnet != nil {
		lines = append(lines, total)
	}
	return lines
}
