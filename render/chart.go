package render

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	typeset "gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	_ "gonum.org/v1/plot/vg/vgsvg" // there in a build with the tag minimal too
)

// Chart is a line chart. Axes carry their unit in the label.
type Chart struct {
	Title, X, Y string
	Lines       []Line
	LogX        bool
	FromZero    bool // the y axis includes 0
	Share       bool // the y axis is marked in per cent
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
	// Apart draws each point as a dash of its own, for points between which there is nothing.
	Apart bool
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

// dashes are of curves, marks of levels, which no curve shares.
var (
	dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}
	marks  = [][]vg.Length{{vg.Points(8), vg.Points(2), vg.Points(2), vg.Points(2)}, {vg.Points(1.5), vg.Points(2.5)}}
)

// Write renders the chart as "svg" or "png", width × height in points (1/72 inch).
func (c Chart) Write(w io.Writer, format string, width, height float64) error {
	return c.write(w, format, width, height, true)
}

func (c Chart) write(w io.Writer, format string, width, height float64, legend bool) error {
	p, keys, err := c.plot()
	if err != nil {
		return err
	}
	canvas, err := draw.NewFormattedCanvas(vg.Points(width), vg.Points(height), format)
	if err != nil {
		return fmt.Errorf("drawing chart %q as %s: %w", c.Title, format, err)
	}
	area := draw.New(canvas)
	area.SetColor(paper)
	area.Fill(area.Rectangle.Path())
	if legend {
		const edge = vg.Length(6)
		area = draw.Crop(area, edge, -edge, edge, -edge)
		area = drawKeys(area, keys, p.Legend.TextStyle)
	}
	p.Draw(area)
	if _, err := canvas.WriteTo(w); err != nil {
		return fmt.Errorf("writing chart %q: %w", c.Title, err)
	}
	return nil
}

// key is a curve's entry in the legend.
type key struct {
	label string
	line  *plotter.Line
}

// drawKeys puts the legend under the chart, in as many columns as fit, where it
// covers no curve, and returns what is left for the chart.
func drawKeys(area draw.Canvas, keys []key, style typeset.Style) draw.Canvas {
	const sample, gap = vg.Length(20), vg.Length(14)
	widest := vg.Length(0)
	for _, k := range keys {
		widest = max(widest, 1.15*style.Width(k.label)) // a viewer may have a wider font than this one
	}
	columns := max(1, min(len(keys), int((area.Size().X+gap)/(sample+4+widest+gap))))
	rows := (len(keys) + columns - 1) / columns
	line := 1.35 * style.Font.Size
	for i, k := range keys {
		// Down the columns, so that related curves stay together.
		x := area.Min.X + vg.Length(i/rows)*(sample+4+widest+gap)
		y := area.Min.Y + (vg.Length(rows-1-i%rows)+0.5)*line
		area.StrokeLine2(k.line.LineStyle, x, y, x+sample, y)
		left := style
		left.XAlign, left.YAlign = typeset.XLeft, typeset.YCenter
		area.FillText(left, vg.Point{X: x + sample + 4, Y: y}, k.label)
	}
	return draw.Crop(area, 0, 0, vg.Length(rows)*line+4, 0)
}

// plot lays the chart out and returns its curves and levels for a legend.
func (c Chart) plot() (*plot.Plot, []key, error) {
	var keys []key
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X, c.Y
	for _, f := range []*font.Font{
		&p.Title.TextStyle.Font, &p.X.Label.TextStyle.Font, &p.Y.Label.TextStyle.Font,
		&p.X.Tick.Label.Font, &p.Y.Tick.Label.Font, &p.Legend.TextStyle.Font,
	} {
		f.Variant = "Sans"
	}
	p.Title.TextStyle.Font.Size = vg.Points(13)
	p.BackgroundColor = paper
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = chartGrid, chartGrid
	p.Add(grid)
	p.X.Tick.Marker, p.Y.Tick.Marker = roundTicks{}, roundTicks{}
	if c.Share {
		p.Y.Tick.Marker = percents{}
	}
	if c.LogX {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, decades{}
	}
	left, right := math.Inf(1), math.Inf(-1)
	for i, l := range slices.Backward(c.Lines) { // the first lies on top
		if len(l.X) != len(l.Y) {
			return nil, nil, fmt.Errorf("drawing chart %q: curve %q has %d x and %d y", c.Title, l.Label, len(l.X), len(l.Y))
		}
		var xy plotter.XYs
		for k := range l.X {
			if math.IsNaN(l.Y[k]) || math.IsInf(l.Y[k], 0) || c.LogX && l.X[k] <= 0 {
				continue
			}
			xy = append(xy, plotter.XY{X: l.X[k], Y: l.Y[k]})
			left, right = min(left, l.X[k]), max(right, l.X[k])
		}
		if len(xy) == 0 {
			continue
		}
		for k, piece := range l.pieces(xy) {
			line, err := plotter.NewLine(piece)
			if err != nil {
				return nil, nil, fmt.Errorf("drawing chart %q, curve %q: %w", c.Title, l.Label, err)
			}
			line.Color, line.Width = l.color(i), vg.Points(1.6)
			line.Dashes = l.dashes(i)
			p.Add(line)
			if k == 0 {
				keys = slices.Insert(keys, 0, key{l.Label, line})
			}
		}
	}
	if math.IsInf(left, 1) {
		return nil, nil, fmt.Errorf("drawing chart %q: no point to draw", c.Title)
	}
	for i, v := range c.Levels {
		line, err := plotter.NewLine(plotter.XYs{{X: left, Y: v.Y}, {X: right, Y: v.Y}})
		if err != nil {
			return nil, nil, fmt.Errorf("drawing chart %q, level %q: %w", c.Title, v.Label, err)
		}
		line.Color, line.Width, line.Dashes = warning, vg.Points(1.2), levelDashes(i)
		p.Add(line)
		keys = append(keys, key{v.Label, line})
	}
	if c.FromZero {
		p.Y.Min, p.Y.Max = min(p.Y.Min, 0), max(p.Y.Max, 0)
	}
	p.Y.Max += 0.04 * (p.Y.Max - p.Y.Min)
	return p, keys, nil
}

// pieces are what is drawn in one stroke each: the curve, or a dash at every point, a little
// more than half as long as whole numbers are apart.
func (l Line) pieces(xy plotter.XYs) []plotter.XYs {
	if !l.Apart {
		return []plotter.XYs{xy}
	}
	const half = 0.3
	var list []plotter.XYs
	for _, at := range xy {
		list = append(list, plotter.XYs{{X: at.X - half, Y: at.Y}, {X: at.X + half, Y: at.Y}})
	}
	return list
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

func levelDashes(i int) []vg.Length { return marks[i%len(marks)] }
