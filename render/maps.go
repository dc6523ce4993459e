package render

import (
	"fmt"
	"image/color"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/field/quantity"
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

// failing is the colour of what breaks a limit, on a map.
var failing = color.RGBA{226, 38, 26, 255}

// FieldMap draws |B| on the fluid plane.
func FieldMap(d design.Design, p *grid.Plane, title string) Map {
	m := overPixels(d)
	m.Title, m.Unit, m.Colors = title, "mT", Strength
	m.Values, m.Rows, m.Cols, m.Width = milli(p.Abs), p.Raster.Rows, p.Raster.Cols, float64(p.Raster.Cols)*p.Raster.Spacing
	m.Marks = PixelRings(d.Grid.Rows, d.Grid.Cols, d.Grid.Pitch, d.Coil.Outer/2, overlay)
	return m
}

// WorstPatternMap draws |B| on the fluid plane with the worst pattern of all other
// pixels on and the pixel it is worst for off and marked.
func WorstPatternMap(g *grid.Grid) Map {
	w, plane := g.WorstField()
	m := FieldMap(g.Design, plane, "|B| on the fluid plane, worst pattern for "+extent.Place(w.Row, w.Col)+" (off, ringed)")
	at := g.Center(w.Row, w.Col)
	m.Marks = append(m.Marks, Mark{X: at.X, Y: at.Y, Radius: g.Design.Grid.Pitch * 0.48, Color: failing})
	return m
}

// TemperatureMap draws each coil's temperature, given in kelvin, with its figure, and rings those
// over the board's limit.
func TemperatureMap(d design.Design, coils []float64) Map {
	m := overPixels(d)
	m.Unit, m.Colors, m.Blocks = "°C", Warmth, true
	m.Rows, m.Cols, m.Width = d.Grid.Rows, d.Grid.Cols, float64(d.Grid.Cols)*d.Grid.Pitch
	hottest, over := math.Inf(-1), 0
	for k, v := range coils {
		m.Values = append(m.Values, v-field.ZeroCelsius)
		m.Texts = append(m.Texts, fmt.Sprintf("%.1f", v-field.ZeroCelsius))
		hottest = max(hottest, v-field.ZeroCelsius)
		if v > d.Limits.Board {
			at := d.PixelCenter(k/m.Cols, k%m.Cols)
			m.Marks = append(m.Marks, Mark{X: at.X, Y: at.Y, Radius: 0.46 * d.Grid.Pitch, Color: failing})
			over++
		}
	}
	ambient := d.Heat.Ambient - field.ZeroCelsius
	m.Low, m.High = ambient, max(hottest, ambient+1)
	m.Title = fmt.Sprintf("Highest temperature of each coil: up to %.1f °C, board limit %s", hottest, celsius(d.Limits.Board))
	if over > 0 {
		m.Keys = []Key{{failing, "over the limit: " + quantity.Count(over, "coil")}}
	}
	return m
}

// overPixels is a map with the display's rows and columns numbered.
func overPixels(d design.Design) Map {
	return Map{Across: d.Grid.Cols, Down: d.Grid.Rows, Pitch: d.Grid.Pitch}
}
