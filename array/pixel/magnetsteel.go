package pixel

import (
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/iron"
)

// behindSheet is what the design's steel, taken for a wide plane sheet of relative
// permeability muR, adds in front of
// itself to the field of magnets without it: their images, or, of magnets that lie
// behind it, what the sheet keeps back. A mirror image times a factor holds for magnets
// in front alone.
func behindSheet(d design.Design, model design.IronModel, muR float64, magnets field.Source) field.Source {
	switch {
	case d.MagnetBehindIron():
		return iron.NewScreen(magnets, d.Iron.Thickness, muR)
	case model == design.IronImage:
		return field.Mirror{Source: magnets, Z: d.IronFront(), Factor: d.Iron.Factor}
	}
	return iron.NewSlab(magnets, d.IronFront(), d.Iron.Thickness, muR)
}

// Sheet is the bias sheet behind a whole grid.
type Sheet struct {
	// Bare is its field without the steel, With that with it, in front of the steel.
	Bare, With field.Source
}

// NewSheet returns the bias sheet of a design, nil when it has none. Its steel is taken
// for a wide plane sheet of linear steel.
func NewSheet(d design.Design) *Sheet {
	if d.Magnet.Kind != design.MagnetSheet {
		return nil
	}
	s := &Sheet{Bare: field.CuboidMagnet{
		Size:      r3.Vec{X: d.Magnet.Width, Y: d.Magnet.Height, Z: d.Magnet.Length},
		Remanence: Remanence(d, d.Heat.Ambient), Center: r3.Vec{Z: d.MagnetCenter()},
	}}
	s.With = s.Bare
	if d.Iron.Model == design.IronNone {
		return s
	}
	s.With = field.Sum{s.Bare, behindSheet(d, d.Iron.Model, d.Iron.MuR, s.Bare)}
	return s
}
