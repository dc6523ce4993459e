package array

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/kernel"
)

// filamentError bounds the share of the field lost by replacing a track's width
// by filaments; see coil.Source.
const filamentError = 1e-3

// Pixel is one pixel of a design: its coil, the steel behind it and its own
// magnet, at the origin.
type Pixel struct {
	Coil *coil.Coil
	// IronModel is the model that ran for the steel, and IronNote says why and
	// where its limit lies.
	IronModel design.IronModel
	IronNote  string
	ironZ     float64 // m, front face of the steel
	factor    float64 // image factor κ, 0 without steel
}

// NewPixel builds the pixel of a design.
func NewPixel(d design.Design) (Pixel, error) {
	spec, err := d.CoilSpec()
	if err != nil {
		return Pixel{}, fmt.Errorf("building the coil: %w", err)
	}
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		return Pixel{}, fmt.Errorf("building the coil: %w", err)
	}
	p := Pixel{Coil: c, IronModel: d.Iron.Model, ironZ: -d.Board.Thickness - d.Iron.Gap}
	p.factor, p.IronModel, p.IronNote = chooseIron(d)
	return p, nil
}

// CoilAir returns the coil's field at 1 A without steel, accurate at heights z
// (m) and above.
func (p Pixel) CoilAir(z float64) field.Source { return p.Coil.Source(z, filamentError) }

// CoilSource returns the coil's field at 1 A with the steel behind it, valid in
// front of the steel.
func (p Pixel) CoilSource(z float64) field.Source { return p.withIron(p.CoilAir(z)) }

func (p Pixel) withIron(s field.Source) field.Source {
	if p.factor == 0 {
		return s
	}
	return field.Sum{s, field.Mirror{Source: s, Z: p.ironZ, Factor: p.factor}}
}

// MagnetSource returns the field of the pixel's own bias magnet at temperature
// tempK with the steel behind it, or nil when the design has none per pixel.
func (p Pixel) MagnetSource(d design.Design, tempK float64) field.Source {
	if d.Magnet.Kind != design.MagnetPerPixel {
		return nil
	}
	return p.withIron(field.CylinderMagnet{
		Radius:    d.Magnet.Diameter / 2,
		Length:    d.Magnet.Length,
		Remanence: remanence(d, tempK),
		Center:    r3.Vec{Z: magnetCentre(d)},
	})
}

// SheetSource returns the field of the bias sheet behind the whole grid, or nil
// when the design has none.
func (p Pixel) SheetSource(d design.Design, tempK float64) field.Source {
	if d.Magnet.Kind != design.MagnetSheet {
		return nil
	}
	w, h := d.Magnet.Width, d.Magnet.Height
	if w == 0 {
		w = float64(d.Grid.Cols) * d.Grid.Pitch
	}
	if h == 0 {
		h = float64(d.Grid.Rows) * d.Grid.Pitch
	}
	return p.withIron(field.CuboidMagnet{
		Size:      r3.Vec{X: w, Y: h, Z: d.Magnet.Length},
		Remanence: remanence(d, tempK),
		Center:    r3.Vec{Z: magnetCentre(d)},
	})
}

func magnetCentre(d design.Design) float64 {
	return -d.Board.Thickness - d.Magnet.Depth - d.Magnet.Length/2
}

// remanence at a temperature, by the grade's reversible coefficient.
func remanence(d design.Design, tempK float64) float64 {
	return d.Magnet.Remanence * (1 + d.Magnet.TempCoefficient*(tempK-293.15))
}

// fold returns the turning symmetry of the coil's closed-turn field.
func fold(c *coil.Coil) int {
	switch {
	case c.Radial():
		return 0
	case c.Spec().Shape == coil.Hexagon:
		return 6
	default:
		return 4
	}
}

// Kernel returns the coil's field at 1 A on the plane z (m), out to reach (m).
func (p Pixel) Kernel(z, reach float64) (*kernel.Kernel, error) {
	return kernel.Build(kernel.Spec{
		Source: p.CoilSource(z), Height: z, Fold: fold(p.Coil), Reach: reach, Scale: p.Coil.Spec().Outer / 2,
	})
}
