package cooling

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/pixel"
	"lodegrid/field/material"
)

// BoardLayer is the heat network's first layer: laminate, and the coils' copper with it.
// The steel, when there is any, is the next.
const BoardLayer = 0

// contact is the thermal resistance of a plate clamped to the board with no film
// between, m²·K/W: common practice, no source.
const contact = 1e-3

// Params returns the heat network of a design: per pixel the board and, when there is
// steel, the plate, which conduct to each other, sideways and to the air, and the
// stages by which its coil is warmer than the board.
//
// The plate and the board's front face the air of the design's orientation, the front
// through the pane and the tank.
func Params(ctx context.Context, d design.Design, p pixel.Pixel) (heat.Params, error) {
	width, height := d.Size()
	front := face(d, d.Heat.Orientation, width, height, 0, d.Heat.FrontInsulation)
	if d.Heat.FrontInsulation == 0 { // else a pane is what faces the air
		front.Emissivity = bared(front.Emissivity, d.Bare(0))
	}
	edge := face(d, heat.Vertical, width, height, 0, 0)
	if d.Heat.Orientation != heat.Vertical { // which lies has no height: the film of its long side passes least
		edge.Length = max(width, height)
	}
	return cooled(ctx, d, p, heat.Params{
		Rows: d.Grid.Rows, Cols: d.Grid.Cols, Ambient: d.Heat.Ambient,
		Front: front,
		Back:  back(d, width, height),
		Edge:  edge,
	})
}

// Behind is a network's parameters with what is behind the display as a design has it.
// The stages stay: they are what a coil is over its board, which its faces hardly move.
func Behind(p heat.Params, d design.Design) heat.Params {
	width, height := d.Size()
	p.Back = back(d, width, height)
	return p
}

// cooled adds board, plate and coils to a network that has its size and its faces.
func cooled(ctx context.Context, d design.Design, p pixel.Pixel, out heat.Params) (heat.Params, error) {
	out.Heated, out.Alpha = BoardLayer, material.AnnealedCopper.TempCoefficient
	cell := d.Grid.Pitch * d.Grid.Pitch
	c, err := coilHeat(d, p)
	if err != nil {
		return out, fmt.Errorf("building the heat network: %w", err)
	}
	board := heat.Layer{Front: cell, Rim: d.Grid.Pitch * d.Board.Thickness}
	plate := heat.Layer{}
	through := 0.0 // m²·K/W from the board's middle to the plate's
	for i, s := range c.Layers {
		m := c.Off(s)
		switch {
		case i < c.Board:
			board.Capacity += cell * s.Thickness * m.Heat
			board.Lateral += s.Thickness * m.Along
			through += s.Thickness / m.Through / 2
		case i < c.plate:
			through += s.Thickness / m.Through
		default:
			area := cell
			plate.Lateral += s.Thickness * m.Along
			if r := s.Radius; r > 0 {
				area = min(area, math.Pi*r*r)
				if 2*r < d.Grid.Pitch {
					plate.Lateral = 0 // discs do not touch
				}
			}
			plate.Back, plate.Rim = area, d.Grid.Pitch*s.Thickness
			plate.Capacity += area * s.Thickness * m.Heat
			through += s.Thickness / m.Through / 2
		}
	}
	board.Back = cell - plate.Back
	out.Layers = []heat.Layer{board}
	if plate.Back > 0 {
		out.Layers[0].Down = plate.Back / through
		out.Layers = append(out.Layers, plate)
	}
	if err := c.answer(ctx, &out); err != nil {
		return out, fmt.Errorf("building the heat network: %w", err)
	}
	return out, nil
}

// face is one face of the display for the film correlations: the characteristic
// length is the height of a vertical face and area over perimeter of a level one
// (Lloyd and Moran 1974; from memory).
func face(d design.Design, o heat.Orientation, width, height, airSpeed, insulation float64) heat.Film {
	f := heat.Film{Orientation: o, Length: height, AirSpeed: airSpeed, FlowLength: width, Emissivity: d.Heat.Emissivity, Insulation: insulation, Convected: d.Heat.Convection}
	if o != heat.Vertical {
		f.Length = width * height / (2 * (width + height))
	}
	return f
}

// bareCopper is the emissivity of copper under no solder mask, tinned or gilded: common
// practice, no source; polished metals have less, oxidised copper has far more.
const bareCopper = 0.1

// bared is a face's emissivity with some of it bare copper.
func bared(emissivity, share float64) float64 {
	return emissivity + share*min(bareCopper-emissivity, 0)
}

// back is the film of the display's back with what is behind it.
func back(d design.Design, width, height float64) heat.Film {
	h := d.Heat
	f := face(d, h.Orientation.Opposite(), width, height, h.AirSpeed, 0)
	if d.Iron.Model == design.IronNone { // else steel is what faces the air
		f.Emissivity = bared(f.Emissivity, d.Bare(d.Board.Layers-1))
	}
	kind := h.Back
	switch {
	case kind == design.BackFan && h.Gapped():
		kind = heat.Wall
	case kind == design.BackFan, kind == design.BackFree:
		return f
	}
	depth := h.BackGap + d.Board.Thickness
	b := &heat.Behind{
		Kind: kind, Gap: h.BackGap, Width: width, Height: height, Contact: h.BackContact,
		CaseArea: 2 * (h.CaseWidth + h.CaseHeight) * depth, CaseLength: h.CaseHeight,
		CaseWall: h.CaseWall, CaseEmissivity: h.CaseEmissivity, Vents: h.CaseVents,
	}
	if kind == heat.Case { // its back looks into the air too
		b.CaseArea += h.CaseWidth * h.CaseHeight
	}
	f.Behind = b
	return f
}
