package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// implantLimit is the static flux density that people with implanted electronic
// devices should stay below, T (ICNIRP, Health Physics 96(4) (2009) 504: quoted by
// a secondary source).
const implantLimit = 0.5e-3

// Cautions lists the warnings that the display earns, from what it does.
func Cautions(g *array.Grid, z player.Summary) []string {
	d := g.Design
	list := HeatCautions(d, z)
	if distance, near := standOff(g); near {
		list = append(list, fmt.Sprintf("Magnetic field: with every pixel on it may exceed 0.5 mT nearer than %s in front of the board; people with implanted electronic devices stay farther away (ICNIRP 2009).", quantity.Format(distance, quantity.Length)))
	} else {
		list = append(list, fmt.Sprintf("Magnetic field: with every pixel on it may exceed 0.5 mT up to %s in front of the board; people with implanted electronic devices stay farther away (ICNIRP 2009).", quantity.Format(distance, quantity.Length)))
	}
	if d.Magnet.Kind != design.MagnetNone {
		list = append(list, "Strong magnets pinch, shatter and wipe cards; keep them from children, who must never swallow one.")
	}
	return append(list,
		"These figures are computed, not certified. Build one pixel and measure it before ordering many boards.")
}

// HeatCautions lists the warnings that the display's heat earns.
func HeatCautions(d design.Design, z player.Summary) []string {
	var list []string
	if z.Touch > zeroCelsius+43 {
		list = append(list, fmt.Sprintf("Hot surface: up to %s. Contact burns begin near 43 °C for hours and 51 °C for a minute (ISO 13732-1, from memory); guard what people can reach.", celsius(z.Touch)))
	}
	switch {
	case z.Hottest > d.Limits.Board:
		list = append(list, fmt.Sprintf("The board passes its limit (%s of %s): the laminate chars, and may burn, in time. Fit a thermal cut-out whatever you change.", celsius(z.Hottest), celsius(d.Limits.Board)))
	case z.Hottest > d.Limits.Board-20:
		list = append(list, fmt.Sprintf("The board comes within 20 K of its limit (%s of %s): leave a margin for dust, sun and a blocked draught, and fit a thermal cut-out.", celsius(z.Hottest), celsius(d.Limits.Board)))
	}
	return list
}

// standOff is the distance in front of the display at which all pixels on and all
// magnets together fall to the implant limit, on the axis of a pixel in the middle
// and on that of the display, whichever is farther. Each pixel counts as a dipole
// on the board's front, doubled where steel mirrors it, which errs on the safe
// side. near tells that it is less than the 10 mm returned.
func standOff(g *array.Grid) (distance float64, near bool) {
	d := g.Design
	moment := math.Abs(g.Pixel.FullCurrent * g.Pixel.Coil.MagneticMoment())
	if m, ok := g.Pixel.Magnet.(field.CylinderMagnet); ok {
		moment += math.Abs(m.Moment().Z)
	}
	double := 1.0
	if d.Iron.Model != design.IronNone {
		double = 2
	}
	if f := g.Pixel.Iron.CoilSolution; f != nil {
		moment += math.Abs(f.Moment)
		double = 1
	}
	sheet := array.SheetField(d)
	sizeAt := func(axis r3.Vec, z float64) float64 {
		var b r3.Vec
		for row := range d.Grid.Rows {
			for col := range d.Grid.Cols {
				at := d.PixelCenter(row, col)
				from := r3.Vec{X: axis.X - at.X, Y: axis.Y - at.Y, Z: z}
				b = r3.Add(b, field.Dipole{Moment: r3.Vec{Z: double * moment}}.B(from))
			}
		}
		if sheet != nil {
			b = r3.Add(b, sheet.B(r3.Vec{X: axis.X, Y: axis.Y, Z: z}))
		}
		return r3.Norm(b)
	}
	middle := d.PixelCenter(d.Grid.Rows/2, d.Grid.Cols/2)
	size := func(z float64) float64 { return max(sizeAt(r3.Vec{}, z), sizeAt(middle, z)) }
	low, high := 10e-3, 10.0
	if size(low) < implantLimit {
		return low, true
	}
	for high/low > 1.01 {
		mid := math.Sqrt(low * high)
		if size(mid) > implantLimit {
			low = mid
		} else {
			high = mid
		}
	}
	return high, false
}
