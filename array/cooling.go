package array

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/field/material"
)

// The layers of the heat network, front first.
const (
	CoilLayer  = 0 // the coil's copper
	BoardLayer = 1 // the laminate around it
	PlateLayer = 2 // the steel, when there is any
)

// contactConductance of a plate clamped to the board without a gap, W/(m²·K):
// common practice, no source.
const contactConductance = 1000.0

// Cooling returns the heat network of a design: per pixel the coil's copper, the
// board's laminate and, when there is steel, the plate, which conduct to each
// other through the board, sideways through board and plate, and to the air.
//
// Copper of the coils carries no heat sideways: across the turns every track is
// followed by a gap of laminate. The plate and the board's front face the air of
// the design's orientation, the front through the pane and the tank.
func Cooling(d design.Design, p Pixel) (heat.Params, error) {
	laminate, err := material.LaminateNamed(d.Board.Laminate)
	if err != nil {
		return heat.Params{}, fmt.Errorf("building the heat network: %w", err)
	}
	copper := material.AnnealedCopper
	cell := d.Grid.Pitch * d.Grid.Pitch
	width, height := d.Size()
	copperVolume := p.Coil.CopperVolume()

	// Heat leaves the copper through both faces of each of its layers and crosses
	// half the laminate to the next.
	// The outermost faces look at no laminate.
	faces := float64(max(2*d.Coil.Layers-2, 1))
	half := d.Board.Thickness / (2 * float64(max(d.Board.Layers, 2)-1))
	coil := heat.Layer{
		Capacity: copperVolume * copper.Density * copper.HeatCapacity,
		Down:     faces * p.Coil.CopperArea() * laminate.Through / half,
	}
	board := heat.Layer{
		Capacity: max(cell*d.Board.Thickness-copperVolume, 0.1*cell*d.Board.Thickness) * laminate.Density * laminate.HeatCapacity,
		Lateral:  d.Board.Thickness*d.Heat.BoardConductivity + d.Heat.CopperFraction*sheetCopper(d)*copper.Conductivity,
		Front:    cell,
		Rim:      d.Grid.Pitch * d.Board.Thickness,
	}
	out := heat.Params{
		Rows: d.Grid.Rows, Cols: d.Grid.Cols, Ambient: d.Heat.Ambient, Heated: CoilLayer,
		Front: face(d, heat.Orientation(d.Heat.Orientation), width, height, 0, d.Heat.FrontInsulation),
		Back:  face(d, heat.Orientation(d.Heat.Orientation).Opposite(), width, height, d.Heat.AirSpeed, 0),
		Edge:  face(d, heat.Vertical, width, height, 0, 0),
	}
	if d.Iron.Model == design.IronNone {
		board.Back = cell
		out.Layers = []heat.Layer{coil, board}
		return out, nil
	}
	steel, err := material.SteelNamed(d.Iron.Steel)
	if err != nil {
		return heat.Params{}, fmt.Errorf("building the heat network: %w", err)
	}
	across := float64(contactConductance)
	if d.Iron.Gap > 0 {
		across = min(across, d.Iron.GapConductivity/d.Iron.Gap)
	}
	area := cell
	lateral := d.Iron.Thickness * steel.Conductivity
	if r := d.Iron.Radius; r > 0 {
		area = min(area, math.Pi*r*r)
		if 2*r < d.Grid.Pitch {
			lateral = 0 // discs do not touch
		}
	}
	// Through the middle of the board to its back, then the gap.
	board.Down = area / (d.Board.Thickness/2/laminate.Through + 1/across)
	board.Back = cell - area
	plate := heat.Layer{
		Capacity: area * d.Iron.Thickness * steel.Density * steel.HeatCapacity,
		Lateral:  lateral,
		Back:     area,
		Rim:      d.Grid.Pitch * d.Iron.Thickness,
	}
	out.Layers = []heat.Layer{coil, board, plate}
	return out, nil
}

// sheetCopper is the thickness of all copper layers together, m.
func sheetCopper(d design.Design) float64 {
	return 2*d.Board.CopperOuter + float64(max(d.Board.Layers-2, 0))*d.Board.CopperInner
}

// face is one face of the display for the film correlations: the characteristic
// length is the height of a vertical face and area over perimeter of a level one
// (Lloyd and Moran 1974; from memory).
func face(d design.Design, o heat.Orientation, width, height, airSpeed, insulation float64) heat.Film {
	f := heat.Film{Orientation: o, Length: height, AirSpeed: airSpeed, FlowLength: width, Emissivity: d.Heat.Emissivity, Insulation: insulation}
	if o != heat.Vertical {
		f.Length = width * height / (2 * (width + height))
	}
	return f
}
