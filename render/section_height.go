package render

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/field/quantity"
)

// heights are the heights above the board at which the field is listed, m.
var heights = []float64{0.5e-3, 1e-3, 1.5e-3, 2e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 15e-3, 20e-3}

// HeightSection is the field on a pixel's axis against height.
func HeightSection(g *array.Grid) Section {
	p, i := g.Pixel.From(heights[0]), g.Pixel.FullCurrent
	t := Table{Key: "by_height", Title: fmt.Sprintf("On the axis %s (%s)", atFull(g.Design), quantity.Format(i, quantity.Current)), Columns: []Column{
		{"height_m", "height"}, {"air_t", "coil alone"}, {"coil_t", "with steel"}, {"gain", "gain"}, {"total_t", "with magnet"},
	}}
	for _, z := range heights {
		at := r3.Vec{Z: z}
		air, coil, total := p.Air.B(at).Z*i, p.CoilField().B(at).Z*i, p.Lit(i).B(at).Z
		gain := p.CoilField().B(at).Z / p.Air.B(at).Z
		t.Rows = append(t.Rows, []Cell{In(z, quantity.Length), In(air, quantity.FluxDensity), In(coil, quantity.FluxDensity), {gain, fmt.Sprintf("× %.3f", gain)}, In(total, quantity.FluxDensity)})
	}
	if p.Magnet == nil {
		t.Columns = t.Columns[:4]
		for k := range t.Rows {
			t.Rows[k] = t.Rows[k][:4]
		}
	}
	return Section{Key: "height", Title: "Field against height", Tables: []Table{t}}
}

// chartFrom and chartTo are the heights that the chart spans, m.
const (
	chartFrom = 0.3e-3
	chartTo   = 15e-3
)

// HeightChart draws the field on a pixel's axis against height.
func HeightChart(g *array.Grid) Chart {
	p, i := g.Pixel.From(chartFrom), g.Pixel.FullCurrent
	air, coil, total := Line{Label: "coil alone"}, Line{Label: "with steel"}, Line{Label: "with steel and magnet"}
	for k := range 120 {
		z := chartFrom + (chartTo-chartFrom)*float64(k)/119
		at := r3.Vec{Z: z}
		for _, c := range []struct {
			l *Line
			b float64
		}{{&air, p.Air.B(at).Z * i}, {&coil, p.CoilField().B(at).Z * i}, {&total, p.Lit(i).B(at).Z}} {
			c.l.X, c.l.Y = append(c.l.X, z*1e3), append(c.l.Y, c.b*1e3)
		}
	}
	c := Chart{Title: fmt.Sprintf("Field on the axis of one pixel at %s", quantity.Format(i, quantity.Current)), X: "height above the board, mm", Y: "Bz, mT", Lines: []Line{air, coil}}
	if p.Magnet != nil {
		c.Lines = append(c.Lines, total)
	}
	return c
}
