package pixel

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// AxisField is Bz on a pixel's axis at a height, in tesla with the settled current on.
type AxisField struct {
	Height float64 // m over the board
	Alone  float64 // the coil without steel
	Coil   float64 // the coil with its steel
	Gain   float64 // Coil over Alone
	Magnet float64 // the pixel's own magnet with its steel
	Total  float64 // everything
}

// Axis is the field on the pixel's axis at heights in metres, as near to the board as
// the lowest of them.
func (p Pixel) Axis(heights ...float64) []AxisField {
	p = p.From(slices.Min(heights))
	list := make([]AxisField, len(heights))
	coil, magnet := p.CoilField(), p.MagnetField()
	for k, z := range heights {
		at := r3.Vec{Z: z}
		air, steel := p.Air.B(at).Z, coil.B(at).Z
		f := AxisField{Height: z, Alone: air * p.Full.On.Average, Coil: steel * p.Full.On.Average, Gain: steel / air}
		if magnet != nil {
			f.Magnet = magnet.B(at).Z
		}
		f.Total = f.Coil + f.Magnet
		list[k] = f
	}
	return list
}
