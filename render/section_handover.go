package render

import (
	"fmt"
	"image/color"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/field/quantity"
)

// HandoverSection is what becomes of a drop when a pixel hands it to its neighbour, in
// the middle of the grid each way, and the shortest frame that lets every drop arrive;
// gripped is the same where the panes hold most, nil where they hold alike.
func HandoverSection(g *grid.Grid, h, gripped *handover.Table) Section {
	d := g.Design
	out := Section{Key: "handover", Title: "Hand-over between neighbours"}
	edges := 0
	for _, sides := range h.Edges {
		for _, e := range sides {
			if e != nil {
				edges++
			}
		}
	}
	frame := Fact{Key: "frame_time_s", Label: "shortest safe frame", Value: None, Text: "no hand-over succeeds"}
	if h.FrameTime > 0 {
		frame.Value = h.FrameTime
		frame.Text = fmt.Sprintf("%s, until the slowest drop that is handed over has arrived", quantity.Format(h.FrameTime, quantity.Time))
		if f := d.Scene.FrameTime; f > 0 {
			frame.Text += fmt.Sprintf(" (the scene's frames last %s)", quantity.Format(f, quantity.Time))
		}
	}
	undecided := Fact{Key: "undecided_handovers", Value: h.Undecided}
	if h.Undecided > 0 {
		undecided.Label = "hand-overs not decided"
		undecided.Text = fmt.Sprintf("%d of %d: the drop was not followed to its end", h.Undecided, edges)
	}
	out.Facts = []Fact{
		{Key: "failing_handovers", Label: "hand-overs that fail", Value: h.Failing, Text: fmt.Sprintf("%d of %d, with A off and B on", h.Failing, edges)},
		frame,
		undecided,
		Number("terminal_speed_m_per_s", "sinking speed without field", h.Terminal, quantity.Speed),
	}
	if gripped != nil {
		out.Facts = append(out.Facts, Fact{Key: "failing_handovers_gripped", Label: "where the panes hold most", Value: gripped.Failing,
			Text: fmt.Sprintf("%d of %d fail (%s)", gripped.Failing, edges, quantity.Format(d.Fluid.ContactLineMost, quantity.LineTension))})
	} else {
		out.Facts = append(out.Facts, absent("failing_handovers_gripped")...)
	}
	kick := fmt.Sprintf("the kick is %s × the current of full level", quantity.Figure(h.Kick, 3))
	if !math.IsInf(h.KickTime, 1) {
		kick += fmt.Sprintf(" for %s", quantity.Format(h.KickTime, quantity.Time))
	}
	t := Table{Key: "passages", Title: "From the middle pixel: " + kick, Columns: []Column{
		{"way", "way"}, {"scheme", "scheme"}, {"ratio", "least force ratio"}, {"at", "at"}, {"barrier_j", "barrier"}, {"time_s", "time"}, {"end", "the drop"},
	}}
	middle := d.Pixel(d.Grid.Rows/2, d.Grid.Cols/2)
	for side, e := range h.Edges[middle] {
		if e == nil {
			continue
		}
		for s := range handover.Schemes {
			p := e.Passages[s]
			time := Cell{None, "–"}
			if p.Taken {
				time = In(p.Time, quantity.Time)
			}
			t.Rows = append(t.Rows, []Cell{
				Say([]string{"right", "up", "left", "down"}[side]), Say(s.String()), ratio(p.Ratio), {p.RatioAt, fmt.Sprintf("%.0f %%", p.RatioAt*100)},
				{p.Barrier, fmt.Sprintf("%s nJ", quantity.Figure(p.Barrier*1e9, 3))}, time, Say(string(p.End)),
			})
		}
	}
	out.Tables = []Table{t}
	out.Notes = []string{"The two pixels alone are on, the drop is a disc that keeps its shape, its force within 6 % of the greatest (RMS over 80 discs, 14 % on the worst, by an integral equation); the pull of other lit pixels and the parting of drops are seen in the film."}
	if d.Heat.Orientation == design.Vertical {
		out.Notes = append(out.Notes, "A drop handed over sideways also has to be kept from falling: the force ratio counts its weight across the way.")
	}
	return out
}

// HandoverMap draws each pixel's four sides: the least force ratio with A off and B on,
// in the quarter of the cell that faces the neighbour, up to 4; the middle is blank.
func HandoverMap(d design.Design, h *handover.Table) Map {
	const n = 24
	const most = 4.0
	rows, cols := d.Grid.Rows, d.Grid.Cols
	values := make([]float64, rows*cols*n*n)
	for i := range rows * n {
		for j := range cols * n {
			x, y := float64(j%n)-(n-1)/2.0, (n-1)/2.0-float64(i%n)
			side := 0
			switch {
			case math.Abs(x) >= math.Abs(y) && x < 0:
				side = 2
			case math.Abs(y) > math.Abs(x) && y > 0:
				side = 1
			case math.Abs(y) > math.Abs(x):
				side = 3
			}
			if e := h.Edges[i/n*cols+j/n][side]; e != nil && max(math.Abs(x), math.Abs(y)) > n/8 {
				values[i*cols*n+j] = math.Min(e.Passages[handover.Switch].Ratio, most)
			}
		}
	}
	m := Map{
		Title: fmt.Sprintf("Least force ratio over each side (wedge), A off and B on; ringed: the hand-over fails (%d)", h.Failing), Unit: "",
		Values: values, Rows: rows * n, Cols: cols * n, Width: float64(cols) * d.Grid.Pitch, Colors: Strength, Low: 0, High: most,
	}
	red := color.RGBA{255, 90, 60, 255}
	for _, sides := range h.Edges {
		for _, e := range sides {
			if e == nil || e.Passages[handover.Switch].Taken || e.Passages[handover.Switch].End == handover.Undecided {
				continue
			}
			at := d.PixelCenter(e.From/cols, e.From%cols)
			m.Marks = append(m.Marks, Mark{X: at.X + 0.36*d.Grid.Pitch*float64(e.Right), Y: at.Y + 0.36*d.Grid.Pitch*float64(e.Up), Radius: 0.06 * d.Grid.Pitch, Color: red})
		}
	}
	return m
}
