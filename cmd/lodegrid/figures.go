package main

import (
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/render"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// pictures keeps what a page shows of a scene that is played: the field of the frame that draws
// most, and the display as the frame in the middle of the scene ends.
type pictures struct {
	plane *grid.Plane
	frame int
	power float64 // W

	still *render.Still
	worst []worstFrame
}

// worstFrame is the display as a frame ends of which little shows.
type worstFrame struct {
	shown.Sight
	lit   []int
	still *render.Still
}

// worstFrames is how many of them a page shows, each of another picture.
const worstFrames = 3

// sight looks at a wanted frame that ends; middle is the one that the page begins with.
func (h *pictures) sight(g *grid.Grid, s shown.Sight, lit []int, m shown.Model, fluid shown.Fluid, middle int) {
	draw := func() *render.Still { return render.DrawStill(g, s, lit, m, fluid) }
	if s.Frame == middle {
		h.still = draw()
	}
	if s.Start || s.Shown == s.Wanted {
		return
	}
	at := slices.IndexFunc(h.worst, func(w worstFrame) bool { return slices.Equal(w.lit, lit) })
	switch {
	case at >= 0 && !s.Worse(h.worst[at].Sight):
		return
	case at >= 0:
		h.worst = slices.Delete(h.worst, at, at+1)
	case len(h.worst) == worstFrames && !s.Worse(h.worst[worstFrames-1].Sight):
		return
	}
	still := draw()
	at = len(h.worst)
	for at > 0 && s.Worse(h.worst[at-1].Sight) {
		at--
	}
	h.worst = slices.Insert(h.worst, at, worstFrame{s, slices.Clone(lit), still})
	h.worst = h.worst[:min(len(h.worst), worstFrames)]
}

// shownFigures are the measure over time and the frames that show least.
func (h *pictures) shownFigures(d design.Design, r *shown.Record) []render.Figure {
	c := render.ShownChart(d, r)
	list := []render.Figure{{Caption: c.Title, Chart: &c}}
	for _, w := range h.worst {
		if r.Time == 0 { // they are of the first time
			list = append(list, render.Figure{Caption: w.still.Caption, Still: w.still})
		}
	}
	return list
}

// keep returns what to keep pictures in, nil where none are wanted.
func keep(figures bool) *pictures {
	if figures {
		return new(pictures)
	}
	return nil
}

// show puts the display's picture into a judged document.
func (h *pictures) show(doc *render.Document) {
	if h != nil && doc.Glance != nil {
		doc.Glance.Still = h.still
	}
}

// see looks at a frame that was just played.
func (h *pictures) see(e player.Entry, p *grid.Plane) {
	if h.plane == nil {
		h.plane = &grid.Plane{Raster: p.Raster, Abs: make([]float64, len(p.Abs))}
	} else if e.SupplyPower <= h.power {
		return
	}
	copy(h.plane.Abs, p.Abs)
	h.frame, h.power = e.Frame, e.SupplyPower
}

// illustrate adds a report's figures to its sections up to the scene's.
func illustrate(doc *render.Document, g *grid.Grid, passing *handover.Table) {
	for i := range doc.Sections {
		s := &doc.Sections[i]
		switch s.Key {
		case "field":
			c := render.HeightChart(g)
			s.Figures = []render.Figure{{Caption: c.Title, Chart: &c}}
		case "handover":
			m := render.HandoverMap(g.Design, passing)
			s.Figures = []render.Figure{{Caption: m.Title, Map: &m}}
		case "crosstalk":
			m := render.WorstPatternMap(g)
			s.Figures = []render.Figure{{Caption: m.Title, Map: &m}}
		}
	}
}

func powerFigure(d design.Design, l *player.Ledger) []render.Figure {
	c := render.PowerChart(d, l)
	return []render.Figure{{Caption: c.Title, Chart: &c}}
}

func heatFigures(d design.Design, l *player.Ledger) []render.Figure {
	c, m := render.HeatChart(d, l), render.TemperatureMap(d, l.PixelPeak)
	return []render.Figure{{Caption: c.Title, Chart: &c}, {Caption: m.Title, Map: &m}}
}

func sceneFigures(g *grid.Grid, l *player.Ledger, h *pictures) []render.Figure {
	m := render.FieldMap(g.Design, h.plane, fmt.Sprintf("|B| on the fluid plane in frame %d, the one that draws most", h.frame+1))
	list := append(powerFigure(g.Design, l), heatFigures(g.Design, l)...)
	return append(list, render.Figure{Caption: m.Title, Map: &m})
}
