package array

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/lattice"
	"lodegrid/field/coil"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/kernel"
)

// DefaultSamples is the number of samples per pitch when none is asked for.
const DefaultSamples = 8

// margin is the strip computed around the grid, in pitches, so that drops at
// the edge see the field beyond it.
const margin = 1

// Grid is a design made computable. It is safe for concurrent use except for
// FieldInto, which uses scratch of its own.
type Grid struct {
	Design design.Design
	Pixel  Pixel
	Fluid  ferrofluid.Body // the reference drop's fluid, with the drop's own poles
	// Kernel is the coil's field at 1 A on the fluid plane; Bias the pixel
	// magnet's, nil without one.
	Kernel, Bias *kernel.Kernel
	Raster       Raster

	engine *lattice.Engine
	planes *lattice.Planes
	bias   *Plane // field of all bias magnets, nil without any

	pressure *pressureTable // of Fluid
}

// Build makes a design computable with the given samples per pitch (0 = 8).
func Build(d design.Design, samples int) (*Grid, error) {
	if samples == 0 {
		samples = DefaultSamples
	}
	pixel, err := NewPixel(d, d.Fluid.Height)
	if err != nil {
		return nil, err
	}
	g := &Grid{
		Design: d,
		Pixel:  pixel,
		Fluid:  dropFluid(d),
		Raster: Raster{
			Rows: (d.Grid.Rows + 2*margin) * samples, Cols: (d.Grid.Cols + 2*margin) * samples,
			Samples: samples, Margin: margin, Spacing: d.Grid.Pitch / float64(samples), Z: d.Fluid.Height,
		},
	}
	reach := d.Grid.Pitch * math.Hypot(float64(d.Grid.Rows+margin), float64(d.Grid.Cols+margin))
	if g.Kernel, err = pixel.CoilKernel(d.Fluid.Height, reach); err != nil {
		return nil, fmt.Errorf("computing the coil's field on the fluid plane: %w", err)
	}
	if g.engine, err = lattice.New(g.shape(samples, margin), g.latticeKernel(g.Kernel), g.symmetry()); err != nil {
		return nil, fmt.Errorf("preparing the grid engine: %w", err)
	}
	g.planes = g.engine.NewPlanes()
	g.pressure = newPressureTable(g.Fluid)
	if err := g.addBias(reach); err != nil {
		return nil, err
	}
	return g, nil
}

func (g *Grid) shape(samples, margin int) lattice.Shape {
	return lattice.Shape{Rows: g.Design.Grid.Rows, Cols: g.Design.Grid.Cols, Samples: samples, Margin: margin, Components: 3}
}

func (g *Grid) latticeKernel(k *kernel.Kernel) lattice.Kernel {
	pitch := g.Design.Grid.Pitch
	return func(dst []float64, dx, dy float64) {
		b := k.At(dx*pitch, dy*pitch)
		dst[0], dst[1], dst[2] = b.X, b.Y, b.Z
	}
}

// addBias computes the field of every bias magnet on the raster, once.
func (g *Grid) addBias(reach float64) error {
	d := g.Design
	switch d.Magnet.Kind {
	case design.MagnetPerPixel:
		var err error
		g.Bias, err = kernel.Build(kernel.Spec{
			Source: g.Pixel.MagnetField(), Height: d.Fluid.Height,
			Reach: reach, Scale: max(d.Magnet.Diameter/2, d.Grid.Pitch/4),
		})
		if err != nil {
			return fmt.Errorf("computing the bias magnets' field: %w", err)
		}
		e, err := lattice.New(g.shape(g.Raster.Samples, margin), g.latticeKernel(g.Bias), g.symmetry())
		if err != nil {
			return fmt.Errorf("preparing the bias magnets' field: %w", err)
		}
		ones := make([]float64, d.Grid.Rows*d.Grid.Cols)
		for i := range ones {
			ones[i] = 1
		}
		if err := e.Superpose(g.planes, ones); err != nil {
			return fmt.Errorf("adding up the bias magnets: %w", err)
		}
		g.bias = NewPlane(g.Raster)
		g.copyPlanes(g.bias)
	case design.MagnetSheet:
		s := SheetField(d)
		g.bias = NewPlane(g.Raster)
		for i := range g.Raster.Rows {
			for j := range g.Raster.Cols {
				b := s.B(g.Raster.Point(i, j))
				k := i*g.Raster.Cols + j
				g.bias.Bx[k], g.bias.By[k], g.bias.Bz[k] = b.X, b.Y, b.Z
			}
		}
	}
	return nil
}

func (g *Grid) copyPlanes(dst *Plane) {
	g.planes.CopyPlane(dst.Bx, 0)
	g.planes.CopyPlane(dst.By, 1)
	g.planes.CopyPlane(dst.Bz, 2)
}

// FieldInto fills dst, made by NewPlane(g.Raster), with the field of the pixel
// currents (A, len Rows*Cols) and of all bias magnets. Every pixel contributes
// over the full range; nothing is cut off. It does not allocate.
func (g *Grid) FieldInto(dst *Plane, currents []float64) error {
	if err := g.engine.Superpose(g.planes, currents); err != nil {
		return fmt.Errorf("adding up the pixels' fields: %w", err)
	}
	g.copyPlanes(dst)
	if g.bias != nil {
		for k := range dst.Bx {
			dst.Bx[k] += g.bias.Bx[k]
			dst.By[k] += g.bias.By[k]
			dst.Bz[k] += g.bias.Bz[k]
		}
	}
	for k := range dst.Abs {
		b := math.Sqrt(dst.Bx[k]*dst.Bx[k] + dst.By[k]*dst.By[k] + dst.Bz[k]*dst.Bz[k])
		dst.Abs[k] = b
		dst.Pi[k] = g.pressure.Pi(b)
	}
	return nil
}

// Center returns the position of a pixel's axis on the fluid plane in metres.
func (g *Grid) Center(row, col int) r3.Vec {
	p := g.Design.PixelCenter(row, col)
	p.Z = g.Design.Fluid.Height
	return p
}

// symmetry is what the coil's shape promises about its field.
func (g *Grid) symmetry() lattice.Symmetry {
	s := lattice.Field()
	if g.Pixel.Coil.Spec().Shape == coil.Hexagon {
		s.Swap = nil // a hexagon is not its own mirror about the diagonal
	}
	return s
}

// BiasAt returns the bias magnets' field at a pixel's axis on the fluid plane.
func (g *Grid) BiasAt(row, col int) r3.Vec {
	switch {
	case g.Bias != nil:
		var b r3.Vec
		at := g.Center(row, col)
		for r := range g.Design.Grid.Rows {
			for c := range g.Design.Grid.Cols {
				from := g.Center(r, c)
				b = r3.Add(b, g.Bias.At(at.X-from.X, at.Y-from.Y))
			}
		}
		return b
	case g.bias != nil:
		return SheetField(g.Design).B(g.Center(row, col))
	}
	return r3.Vec{}
}
