package render

import (
	"fmt"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

// Chart is a line chart. Axes carry their unit in the label.
type Chart struct {
	Title, X, Y string
	Lines       []Line
	LogY        bool
	// Levels are horizontal marks, for limits.
	Levels []Level
}

// Line is one curve; X and Y have equal lengths. Points that are not finite, or
// not positive on a log axis, are left out.
type Line struct {
	Label string
	X, Y  []float64
}

// Level is a horizontal mark with a name.
type Level struct {
	Label string
	Y     float64
}

// lineColors differ in lightness as well as in hue, so that they stay apart in
// grey and for colour-blind eyes.
var lineColors = []color.RGBA{
	Strength[40], Warmth[150], Strength[150], Warmth[90], Strength[95], ink,
}

var dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}

// Write renders the chart as "svg" or "png", width × height in points (1/72 inch).
func (c Chart) Write(w io.Writer, format string, width, height float64) error {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X, c.Y
	p.Title.TextStyle.Font.Size = vg.Points(13)
	p.Legend.Top = true
	p.BackgroundColor = paper
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = color.Gray{225}, color.Gray{225}
	p.Add(grid)
	if c.LogY {
		p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	}
	left, right := math.Inf(1), math.Inf(-1)
	for i, l := range c.Lines {
		if len(l.X) != len(l.Y) {
			return fmt.Errorf("drawing chart %q: curve %q has %d x and %d y", c.Title, l.Label, len(l.X), len(l.Y))
		}
		var xy plotter.XYs
		for k := range l.X {
			if math.IsNaN(l.Y[k]) || math.IsInf(l.Y[k], 0) || c.LogY && l.Y[k] <= 0 {
				continue
			}
			xy = append(xy, plotter.XY{X: l.X[k], Y: l.Y[k]})
			left, right = min(left, l.X[k]), max(right, l.X[k])
		}
		if len(xy) == 0 {
			continue
		}
		line, err := plotter.NewLine(xy)
		if err != nil {
			return fmt.Errorf("drawing chart %q, curve %q: %w", c.Title, l.Label, err)
		}
		line.Color, line.Width = lineColors[i%len(lineColors)], vg.Points(1.6)
		line.Dashes = dashes[i/len(lineColors)%len(dashes)]
		p.Add(line)
		p.Legend.Add(l.Label, line)
	}
	if math.IsInf(left, 1) {
		return fmt.Errorf("drawing chart %q: no point to draw", c.Title)
	}
	for _, v := range c.Levels {
		line, err := plotter.NewLine(plotter.XYs{{X: left, Y: v.Y}, {X: right, Y: v.Y}})
		if err != nil {
			return fmt.Errorf("drawing chart %q, level %q: %w", c.Title, v.Label, err)
		}
		line.Color, line.Width, line.Dashes = warning, vg.Points(1.2), dashes[1]
		p.Add(line)
		p.Legend.Add(v.Label, line)
	}
	wt, err := p.WriterTo(vg.Points(width), vg.Points(height), format)
	if err != nil {
		return fmt.Errorf("drawing chart %q as %s: %w", c.Title, format, err)
	}
	if _, err := wt.WriteTo(w); err != nil {
		return fmt.Errorf("writing chart %q: %w", c.Title, err)
	}
	return nil
}
