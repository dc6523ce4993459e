package grid

import (
	"math"

	"lodegrid/array/design"
)

// State is what a pixel is meant to do in a frame.
type State uint8

// The states: dark pixels must not keep a drop, lit ones must, dim ones are not
// judged.
const (
	Dark State = iota
	Dim
	Lit
)

// litLevel and dimLevel part the drive levels into states, as parts of the level that
// holds a drop.
const (
	litLevel = 0.5
	dimLevel = 0.05
)

// StateOf returns what a drive level asks of a pixel. Without bias magnets either
// sign pulls; with them only the sign that adds to their field does, and the
// other releases.
func (g *Grid) StateOf(level float64) State {
	switch {
	case g.Design.Magnet.Kind == design.MagnetNone:
		level = math.Abs(level)
	case g.Design.Magnet.Remanence < 0:
		level = -level
	}
	hold := g.Design.Scene.HoldLevel
	switch {
	case level >= litLevel*hold:
		return Lit
	case level > dimLevel*hold:
		return Dim
	}
	return Dark
}

// FullLevel is the level at which a pixel pulls most: against southern magnets, −1.
func (g *Grid) FullLevel() float64 {
	if g.StateOf(1) != Lit {
		return -1
	}
	return 1
}
