package render

import (
	"fmt"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

// Chart is a line chart. Axes carry their unit in the label.
type Chart struct {
	Title, X, Y string
	Lines       []Line
	LogX, LogY  bool
	FromZero    bool // the y axis includes 0
	// Levels are horizontal marks, for limits.
	Levels []Level
}

// Line is one curve; X and Y have equal lengths. Points that are not finite, or
// not positive on a log axis, are left out.
type Line struct {
	Label string
	X, Y  []float64
	// Color is the number of the curve's colour from 1; 0 takes the next one. Dashed
	// tells curves of one colour apart.
	Color  int
	Dashed bool
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

var chartGrid = color.RGBA{225, 225, 225, 255}

var dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}

// Write renders the chart as "svg" or "png", width × height in points (1/72 inch).
func (c Chart) Write(w io.Writer, format string, width, height float64) error {
	return c.write(w, format, width, height, true)
}

func (c Chart) write(w io.Writer, format string, width, height float64, legend bool) error {
	p, err := c.plot(legend)
	if err != nil {
		return err
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

// plot lays the chart out.
func (c Chart) plot(legend bool) (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X, c.Y
	for _, f := range []*font.Font{
		&p.Title.TextStyle.Font, &p.X.Label.TextStyle.Font, &p.Y.Label.TextStyle.Font,
		&p.X.Tick.Label.Font, &p.Y.Tick.Label.Font, &p.Legend.TextStyle.Font,
	} {
		f.Variant = "Sans"
	}
	p.Title.TextStyle.Font.Size = vg.Points(13)
	p.Legend.Top = true
	p.BackgroundColor = paper
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = chartGrid, chartGrid
	p.Add(grid)
	p.X.Tick.Marker, p.Y.Tick.Marker = roundTicks{}, roundTicks{}
	if c.LogY {
		p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	}
	if c.LogX {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, decades{}
	}
	left, right := math.Inf(1), math.Inf(-1)
	for i, l := range c.Lines {
		if len(l.X) != len(l.Y) {
			return nil, fmt.Errorf("drawing chart %q: curve %q has %d x and %d y", c.Title, l.Label, len(l.X), len(l.Y))
		}
		var xy plotter.XYs
		for k := range l.X {
			if math.IsNaN(l.Y[k]) || math.IsInf(l.Y[k], 0) || c.LogY && l.Y[k] <= 0 || c.LogX && l.X[k] <= 0 {
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
			return nil, fmt.Errorf("drawing chart %q, curve %q: %w", c.Title, l.Label, err)
		}
		line.Color, line.Width = l.color(i), vg.Points(1.6)
		line.Dashes = l.dashes(i)
		p.Add(line)
		if legend {
			p.Legend.Add(l.Label, line)
		}
	}
	if math.IsInf(left, 1) {
		return nil, fmt.Errorf("drawing chart %q: no point to draw", c.Title)
	}
	for i, v := range c.Levels {
		line, err := plotter.NewLine(plotter.XYs{{X: left, Y: v.Y}, {X: right, Y: v.Y}})
		if err != nil {
			return nil, fmt.Errorf("drawing chart %q, level %q: %w", c.Title, v.Label, err)
		}
		line.Color, line.Width, line.Dashes = warning, vg.Points(1.2), levelDashes(i)
		p.Add(line)
		if legend {
			p.Legend.Add(v.Label, line)
		}
	}
	if c.FromZero {
		p.Y.Min, p.Y.Max = min(p.Y.Min, 0), max(p.Y.Max, 0)
	}
	if !c.LogY {
		p.Y.Max += 0.04 * (p.Y.Max - p.Y.Min)
	}
	return p, nil
}

// color is the colour of a chart's i-th curve.
func (l Line) color(i int) color.RGBA {
	if l.Color > 0 {
		i = l.Color - 1
	}
	return lineColors[i%len(lineColors)]
}

// dashes and levelDashes tell curves and levels of one colour apart.
func (l Line) dashes(i int) []vg.Length {
	switch {
	case l.Dashed:
		return dashes[1]
	case l.Color > 0:
		return nil
	}
	return dashes[i/len(lineColors)%len(dashes)]
}

func levelDashes(i int) []vg.Length { return dashes[1+i%(len(dashes)-1)] }
