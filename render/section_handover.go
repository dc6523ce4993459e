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
	if edges == 0 {
		frame.Text = "none: the pixel has no neighbour"
	}
	if h.FrameTime > 0 {
		frame.Value = h.FrameTime
		frame.Text = fmt.Sprintf("%s, until the slowest drop that is handed over has arrived", quantity.Format(h.FrameTime, quantity.Time))
		switch f := d.Scene.FrameTime / d.Scene.Speed; {
		case d.Scene.Carry:
			frame.Text += " (the scene does not hand drops over so: it carries them)"
		case f > 0:
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
		sinks(d, h.Terminal),
	}
	if gripped != nil {
		out.Facts = append(out.Facts, Fact{Key: "failing_handovers_gripped", Label: "where the panes hold most", Value: gripped.Failing,
			Text: fmt.Sprintf("%d of %d fail (%s)", gripped.Failing, edges, quantity.Format(d.Fluid.ContactLineMost, quantity.LineTension))})
	} else {
		out.Facts = append(out.Facts, absent("failing_handovers_gripped")...)
	}
	kick := fmt.Sprintf("the kick is %s × the current of full level", quantity.Figure(h.Kick, 3))
	if d.Scene.HoldLevel < 1 && h.Kick == 1 {
		kick = fmt.Sprintf("full level is the kick, %s of the supply", quantity.Format(d.Drive.MaxDuty, quantity.Ratio))
	}
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
	out.Notes = []string{fmt.Sprintf("The two pixels alone are on, the drop is a disc that keeps its shape, its force within 6 %% of the greatest (RMS over 80 discs, %s over the way of the worst, by an integral equation); the pull of other lit pixels and the parting of drops are seen in the film.", percent(handover.PullError))}
	if d.Heat.Orientation == design.Vertical {
		out.Notes = append(out.Notes, "A drop handed over sideways also has to be kept from falling: the force ratio counts its weight across the way.")
	}
	return out
}

// sinks tells how fast a drop that is let go sinks, or rises where it is the lighter liquid.
func sinks(d design.Design, speed quantity.Derived) Fact {
	f := By("terminal_speed_m_per_s", "sinking speed without field", speed, quantity.Speed)
	switch {
	case d.Heat.Orientation != design.Vertical:
		f.Text, f.Why = "none: the display lies, no weight pulls along its pane", ""
	case d.Fluid.DensityDifference == 0:
		f.Text, f.Why = "none: both liquids weigh the same", ""
	case d.Fluid.DensityDifference < 0:
		f.Label = "rising speed without field"
	}
	return f
}

// pace is for times: pale green for short ones to dark blue for long ones.
var pace = ramp([]lch{{0.82, 0.13, 120}, {0.58, 0.12, 195}, {0.28, 0.11, 265}})

// HandoverMap draws an arrow over each pixel's sides, with A off and B on: how long the drop takes
// to the neighbour, red where it does not arrive.
func HandoverMap(d design.Design, h *handover.Table) Map {
	m := overPixels(d)
	longest, per := max(h.FrameTime, 1e-3), 1e3
	if m.Unit = "ms"; longest >= 2 {
		m.Unit, per = "s", 1
	}
	m.Colors, m.Rows, m.Cols, m.Width = pace, d.Grid.Rows, d.Grid.Cols, float64(d.Grid.Cols)*d.Grid.Pitch
	m.Marks = PixelRings(m.Rows, m.Cols, m.Pitch, d.Coil.Outer/2, RingColor)
	m.High = longest * per
	m.Arrows = []Arrow{} // a pixel alone has none, and is drawn all the same
	edges := 0
	for _, sides := range h.Edges {
		for _, e := range sides {
			if e == nil {
				continue
			}
			edges++
			p, c := e.Passages[handover.Switch], failing
			switch {
			case p.Taken:
				c = pace.At(p.Time / longest)
			case p.End == handover.Undecided:
				c = undecidedArrow
			}
			// Beside the line between the two, on its right, so that the way back has room.
			at, x, y := d.PixelCenter(e.From/m.Cols, e.From%m.Cols), float64(e.Right)*m.Pitch, float64(e.Up)*m.Pitch
			m.Arrows = append(m.Arrows, Arrow{X: at.X + 0.16*x + 0.11*y, Y: at.Y + 0.16*y - 0.11*x, DX: 0.68 * x, DY: 0.68 * y, Color: c})
		}
	}
	m.Title = "How long a drop takes to the neighbour that lights as its own pixel goes dark"
	if h.Failing > 0 {
		m.Keys = append(m.Keys, Key{failing, fmt.Sprintf("does not arrive: %d of %d", h.Failing, edges)})
	}
	if h.Undecided > 0 {
		m.Keys = append(m.Keys, Key{undecidedArrow, fmt.Sprintf("not followed to its end: %d", h.Undecided)})
	}
	return m
}

var undecidedArrow = color.RGBA{128, 128, 128, 255}
