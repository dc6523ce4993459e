package escape

import (
	"math"
	"sort"

	"lodegrid/array/design"
	"lodegrid/field/coil"
)

// mostWider is how many times as wide a pitch is looked at.
const mostWider = 2

// Wider is the least pitch, m, to hundredths of a millimetre, at which the tracks between
// the coils carry all wires; 0 where no pitch is needed or does it. Coil and amperes are
// those of Of.
func (a Answer) Wider(d design.Design, c *coil.Coil, amperes float64) float64 {
	if a.Fits() || a.Place != design.PlaceEdge || a.Wires == 0 || a.Obstacle != "" {
		return 0
	}
	fits := func(steps int) bool {
		d.Grid.Pitch = float64(steps) * 1e-5
		return Of(d, c, amperes).Fits()
	}
	low := int(math.Floor(d.Grid.Pitch*1e5 + 1e-6))
	high := mostWider * low
	if !fits(high) {
		return 0
	}
	return float64(low+1+sort.Search(high-low-1, func(k int) bool { return fits(low + 1 + k) })) * 1e-5
}

// Smaller is an outside size of the coils, m, to hundredths of a millimetre, that leaves as
// much between them at the design's pitch as Wider does, where all wires come out then; 0
// for none.
func (a Answer) Smaller(d design.Design, c *coil.Coil, amperes float64) float64 {
	pitch := a.Wider(d, c, amperes)
	if pitch == 0 {
		return 0
	}
	d.Coil.Outer = math.Floor((d.Grid.Pitch-(pitch-d.Coil.Outer))*1e5+1e-6) / 1e5
	if !rewound(d, amperes) {
		return 0
	}
	return d.Coil.Outer
}

// Fewer is the greatest number of wound layers with which the layers left carry all wires;
// 0 for none.
func (a Answer) Fewer(d design.Design, amperes float64) int {
	if a.Fits() || a.Place == design.PlaceBoard || a.Wires == 0 {
		return 0
	}
	for d.Coil.Layers--; d.Coil.Layers >= 1; d.Coil.Layers-- {
		if d.Coil.Layers%max(d.Coil.ParallelGroups, 1) == 0 && rewound(d, amperes) {
			return d.Coil.Layers
		}
	}
	return 0
}

// rewound tells whether the wires of a design come out whose coil is another.
func rewound(d design.Design, amperes float64) bool {
	c, err := coil.New(d.CoilSpec(), d.Board.Rules)
	return err == nil && Of(d, c, amperes).Fits()
}
