package design

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/iron"
)

// screened says what it costs to put the magnet at a depth (m) that lies behind the
// steel: the share of its field on its axis at the fluid that a wide linear sheet lets
// through.
func (d Design) screened(depth float64) string {
	if d.Iron.Radius > 0 {
		return "whose disc then keeps part of its field from the fluid"
	}
	d.Magnet.Depth = depth
	at := r3.Vec{Z: d.Fluid.Height}
	var bare field.Source = field.CylinderMagnet{Radius: d.Magnet.Diameter / 2, Length: d.Magnet.Length, Remanence: 1, Center: r3.Vec{Z: d.MagnetCenter()}}
	if d.Magnet.Kind == MagnetSheet {
		bare = field.CuboidMagnet{Size: r3.Vec{X: d.Magnet.Width, Y: d.Magnet.Height, Z: d.Magnet.Length}, Remanence: 1, Center: r3.Vec{Z: d.MagnetCenter()}}
	}
	steel := iron.NewScreen(bare, d.Iron.Thickness, d.Iron.MuR)
	return fmt.Sprintf("which then lets %.2g %% of its field through to the fluid", 100*(1+steel.B(at).Z/bare.B(at).Z))
}
