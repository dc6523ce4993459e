package escape

import (
	"math"

	"lodegrid/array/design"
)

// Wider is the least pitch, m, to hundredths of a millimetre, at which the tracks between
// the coils carry all wires; 0 where no pitch is needed or does it.
func (a Answer) Wider(d design.Design) float64 {
	if a.Fits() || a.Place != design.PlaceEdge || a.Wires == 0 || a.Obstacle != "" || a.Wound == 0 {
		return 0
	}
	// The free layers widen, too, but by less than a track as a rule: the wound ones decide.
	n := (a.Need - (a.Have - a.Wound*a.Between) + a.Wound - 1) / a.Wound
	room := float64(n)*(a.Width+a.Gap) + a.Gap
	return math.Ceil((d.Coil.Outer+room)*1e5-1e-6) / 1e5
}

// Smaller is the greatest outside size of the coils, m, to hundredths of a millimetre,
// at which the same is so at the design's pitch; 0 for none.
func (a Answer) Smaller(d design.Design) float64 {
	pitch := a.Wider(d)
	if pitch == 0 {
		return 0
	}
	return max(math.Floor((d.Grid.Pitch-(pitch-d.Coil.Outer))*1e5+1e-6)/1e5, 0)
}

// Fewer is the greatest number of wound layers with which the layers left carry all wires;
// 0 for none.
func (a Answer) Fewer(d design.Design) int {
	if a.Fits() || a.Place == design.PlaceBoard || a.Wires == 0 {
		return 0
	}
	for wound := a.Wound - 1; wound >= 1; wound-- {
		if wound%max(d.Coil.ParallelGroups, 1) != 0 {
			continue
		}
		free := d.Board.Layers - wound
		switch {
		case a.Place == design.PlaceBack && free >= a.Need && a.Obstacle == "":
			return wound
		case a.Place == design.PlaceEdge && free >= a.Plane && wound*a.Between+(free-a.Plane)*a.Across >= a.Need:
			return wound
		}
	}
	return 0
}
