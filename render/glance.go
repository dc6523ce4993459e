package render

import (
	"fmt"
	"image"
	"image/color"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// Glance is what an HTML page shows of a played scene before anything else: a picture of the
// display, three figures, and how near each limit is.
type Glance struct {
	Still  *Still
	Facts  []Fact
	Limits Table
}

// Still is a picture of the display with its fluid.
type Still struct {
	Caption string
	Image   *image.RGBA
}

// wantedRing is the colour of the rings round pixels that are lit.
var wantedRing = color.RGBA{196, 84, 20, 255}

// DrawStill draws the fluid of a model as a wanted frame ends, and rings the pixels that the
// frame lights.
func DrawStill(g *grid.Grid, s shown.Sight, lit []int, m shown.Model, fluid shown.Fluid) *Still {
	const width, cells = 760, 16 // pixels; cells per pitch of the drop model
	r, d := g.Raster, g.Design
	t := Tank{
		Width: float64(r.Cols) * r.Spacing,
		Rings: PixelRings(d.Grid.Rows, d.Grid.Cols, d.Grid.Pitch, d.Coil.Outer/2, RingColor),
	}
	for _, k := range lit {
		t.Rings[k].Color = wantedRing
	}
	var fraction []float64
	switch f := fluid.(type) {
	case *player.Droplets:
		t.Rows, t.Cols = r.Rows/r.Samples*cells, r.Cols/r.Samples*cells
		fraction = f.Fraction(nil, t.Rows, t.Cols)
	case *player.Tank:
		t.Rows, t.Cols = f.Cells()
		fraction = f.Fraction()
	default:
		panic(fmt.Sprintf("drawing the display: no picture of the fluid of the %s", m))
	}
	img := image.NewRGBA(image.Rect(0, 0, width, width*r.Rows/r.Cols))
	t.Draw(img, img.Rect, fraction)
	return &Still{fmt.Sprintf("Frame %d, %s into the scene, by the %s: the fluid is on %d of %d lit pixels (ringed)",
		s.Frame+1, quantity.Format(s.End, quantity.Time), m, s.Shown, s.Wanted), img}
}

// glance is what is told of a verdict first; without a steady state there is nothing to tell.
func glance(d design.Design, v *verdict.Verdict) *Glance {
	if v.Seen == nil {
		return nil
	}
	z := v.Summary
	share, _ := v.Seen.Share()
	g := &Glance{Facts: []Fact{
		{Label: fmt.Sprintf("of the wanted pixels show when a frame ends (asked %s), by the %s", percent(d.Limits.Shown), v.Seen.Model), Text: percent(share)},
		{Label: fmt.Sprintf("from the supply on average, %s in the frame that draws most", quantity.Format(z.PeakFramePower, quantity.Power)), Text: quantity.Format(z.AveragePower, quantity.Power)},
		{Label: fmt.Sprintf("at the hottest surface within reach (limit %s), in air of %s", celsius(d.Limits.Touch), celsius(d.Heat.Ambient)), Text: celsius(z.Touch)},
	}}
	g.Limits = Table{Columns: []Column{{"figure", "what is limited"}, {"value", "is"}, {"bound", "limit"}}}
	row := func(what, is, bound string) {
		g.Limits.Rows = append(g.Limits.Rows, []Cell{Say(what), Say(is), Say(bound)})
	}
	row("wanted pixels that the fluid is on", percent(share), "at least "+percent(d.Limits.Shown))
	if r := v.Seen; r.Model == shown.Drops && r.Asked > 0 && d.Limits.Shown > 0 {
		row("hops that fail with a stiff drop", fmt.Sprintf("%d of %d", len(r.Failing), r.Asked), "none")
	}
	for _, m := range v.Margins {
		w, ok := limitWords[m.Limit]
		if !ok {
			continue
		}
		bound := w.figure(m.Bound)
		if m.AtLeast {
			bound = "at least " + bound
		}
		row(w.what, w.figure(m.Value), bound)
	}
	return g
}

// limitWords are what a limit is of and how its figures are written.
var limitWords = map[verdict.Limit]struct {
	what   string
	figure func(float64) string
}{
	verdict.Board:    {"hottest coil", celsius},
	verdict.Touch:    {"hottest surface within reach", celsius},
	verdict.Magnets:  {"bias magnets", celsius},
	verdict.Power:    {"power from the supply, coils cold", func(v float64) string { return quantity.Format(v, quantity.Power) }},
	verdict.Driver:   {"current of a driver's channel", func(v float64) string { return quantity.Format(v, quantity.Current) }},
	verdict.Holding:  {"least hold of a lit pixel", needed},
	verdict.Releases: {"greatest hold of a dark pixel", needed},
}
