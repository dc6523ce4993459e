package grid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/root"
)

// The nearest and the farthest distance that StandOff tells, m.
const (
	nearestStandOff  = 10e-3
	farthestStandOff = 10.0
)

// StandOff is the distance in metres in front of the display at which all pixels on
// and all magnets together fall to a flux density in tesla, on the axis of a pixel in
// the middle and on that of the display, whichever is farther. Each pixel counts as a
// dipole on the board's front, doubled where steel mirrors it, which errs on the safe
// side. near tells that it is less than the 10 mm returned.
func (g *Grid) StandOff(limit float64) (distance float64, near bool) {
	d := g.Design
	most := max(math.Abs(g.Pixel.FullCurrent), math.Abs(g.Pixel.Full.Kick.Average))
	moment := most * math.Abs(g.Pixel.Coil.MagneticMoment())
	if m, ok := g.Pixel.Magnet.(field.CylinderMagnet); ok {
		moment += math.Abs(m.Moment().Z)
	}
	double := 1.0
	if d.Iron.Model != design.IronNone {
		double = 2
	}
	if f := g.Pixel.Iron.CoilSolution; f != nil {
		moment += math.Abs(f.Moment())
		double = 1
	}
	sizeAt := func(axis r3.Vec, z float64) float64 {
		var b r3.Vec
		for row := range d.Grid.Rows {
			for col := range d.Grid.Cols {
				at := d.PixelCenter(row, col)
				from := r3.Vec{X: axis.X - at.X, Y: axis.Y - at.Y, Z: z}
				b = r3.Add(b, field.Dipole{Moment: r3.Vec{Z: double * moment}}.B(from))
			}
		}
		if g.sheet == nil {
			return r3.Norm(b)
		}
		// Far away the field finds its way round a steel sheet of the display's size.
		at := r3.Vec{X: axis.X, Y: axis.Y, Z: z}
		return max(r3.Norm(r3.Add(b, g.sheet.With.B(at))), r3.Norm(r3.Add(b, g.sheet.Bare.B(at))))
	}
	middle := d.PixelCenter(d.Grid.Rows/2, d.Grid.Cols/2)
	size := func(z float64) float64 { return max(sizeAt(r3.Vec{}, z), sizeAt(middle, z)) }
	low, high := nearestStandOff, farthestStandOff
	if size(low) < limit {
		return low, true
	}
	in, _ := root.Boundary(func(log float64) bool { return size(math.Exp(log)) <= limit }, math.Log(high), math.Log(low), 0.01)
	return math.Exp(in), false
}
