package render

import (
	"fmt"
	"image/color"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/field"
)

// milli turns SI values into thousandths, for a map in mT.
func milli(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x * 1e3
	}
	return out
}

// overlay is the colour of the pixels' rings on a map.
var overlay = color.RGBA{255, 255, 255, 110}

// FieldMap draws |B| on the fluid plane.
func FieldMap(d design.Design, p *grid.Plane, title string) Map {
	return Map{
		Title: title, Unit: "mT", Values: milli(p.Abs), Rows: p.Raster.Rows, Cols: p.Raster.Cols,
		Width: float64(p.Raster.Cols) * p.Raster.Spacing, Colors: Strength,
		Marks: PixelRings(d.Grid.Rows, d.Grid.Cols, d.Grid.Pitch, d.Coil.Outer/2, overlay),
	}
}

// WorstPatternMap draws |B| on the fluid plane with the worst pattern of all other
// pixels on and the pixel it is worst for off and marked.
func WorstPatternMap(g *grid.Grid) (Map, error) {
	w, plane, err := g.WorstField()
	if err != nil {
		return Map{}, err
	}
	m := FieldMap(g.Design, plane, "|B| on the fluid plane, worst pattern for "+extent.Place(w.Row, w.Col)+" (off, ringed)")
	at := g.Center(w.Row, w.Col)
	m.Marks = append(m.Marks, Mark{X: at.X, Y: at.Y, Radius: g.Design.Grid.Pitch * 0.48, Color: color.RGBA{255, 90, 60, 255}})
	return m, nil
}

// TemperatureMap draws each coil's temperature, given in kelvin.
func TemperatureMap(d design.Design, coils []float64) Map {
	// Whole pixels, not a smooth surface: a coil has one temperature.
	const n = 12
	rows, cols := d.Grid.Rows, d.Grid.Cols
	values := make([]float64, rows*cols*n*n)
	for i := range rows * n {
		for j := range cols * n {
			values[i*cols*n+j] = coils[i/n*cols+j/n] - field.ZeroCelsius
		}
	}
	hottest := math.Inf(-1)
	for _, v := range values {
		hottest = max(hottest, v)
	}
	return Map{
		Title: fmt.Sprintf("Highest temperature of each coil, up to %.1f °C", hottest), Unit: "°C",
		Values: values, Rows: rows * n, Cols: cols * n, Width: float64(cols) * d.Grid.Pitch, Colors: Warmth,
		Low: d.Heat.Ambient - field.ZeroCelsius, High: max(hottest, d.Heat.Ambient-field.ZeroCelsius+1),
	}
}
