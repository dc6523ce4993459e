package coil

import (
	"lodegrid/field/param"
)

// Shape is the outline of a turn.
type Shape string

// The shapes. A hexagon stands with two flats at left and right.
const (
	Round         Shape = "round"
	Square        Shape = "square"
	RoundedSquare Shape = "rounded-square"
	Hexagon       Shape = "hexagon"
)

// Shapes returns every shape, in the order they are listed to a user.
func Shapes() []Shape { return []Shape{Round, Square, RoundedSquare, Hexagon} }

// Spec is a coil as the builder asks for it. Lengths are in metres.
//
// The track moves in by Track+Gap per turn along every ray from the middle, so N
// turns need a band N·(Track+Gap)+Track wide and
//
//	Inner = Outer − 2·Track − 2·N·(Track+Gap)
//
// A track with corners moves in by equal steps, one per side, and N counts as whole
// sides here.
type Spec struct {
	Shape Shape

	// Outer is the outside size of the copper: the diameter, or the distance
	// across the flats. Vias at the edge lie outside it.
	Outer float64
	// Inner is the size of the free middle, edge to edge. Zero lets Turns decide.
	// With both given, Inner is the least that must stay free.
	Inner float64
	// CornerRadius is the radius of the outer edge's corners; rounded-square only.
	CornerRadius float64
	// Turns is the number of turns in each layer, fractions allowed. Zero winds as
	// many half turns as leave Inner free.
	Turns      float64
	Track, Gap float64

	// Layers are the copper layers the coil uses, front first.
	Layers []Layer
	// ParallelGroups is the number of equal groups of neighbouring layers wired in
	// parallel, the layers of a group being in series. Zero means 1.
	ParallelGroups int

	ViaDrill   float64 // drilled diameter
	ViaPlating float64 // copper thickness in the barrel
	// ViaRing is the width of the copper ring round a drill. Zero takes the least
	// the rules allow.
	ViaRing float64
}

// Layer is one copper layer of a coil.
type Layer struct {
	Copper float64 // copper thickness, m
	Z      float64 // height of the copper's middle, m; negative, front layer first
}

// params names this package in the errors of its parameters.
const params = param.Of("coil")
