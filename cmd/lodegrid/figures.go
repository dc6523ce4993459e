package main

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/render"
	"lodegrid/scenes/player"
)

// pictures keeps what a page shows of a scene that is played: the field of the frame that draws
// most, and the display as the frame in the middle of the scene ends.
type pictures struct {
	plane *grid.Plane
	frame int
	power float64 // W

	still *render.Still
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
func illustrate(doc *render.Document, g *grid.Grid, passing *handover.Table) error {
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
			m, err := render.WorstPatternMap(g)
			if err != nil {
				return err
			}
			s.Figures = []render.Figure{{Caption: m.Title, Map: &m}}
		}
	}
	return nil
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
