package pixel

import (
	"cmp"
	"context"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/iron"
	"lodegrid/field/material"
)

// IronComparison is one pixel's coil in front of its steel, model by model.
type IronComparison struct {
	Models []design.IronModel
	Notes  []string // what each model takes the steel for
	// Axial[m][k] is Bz on the axis at height k with model m at Current, the full
	// level's or 1 A where that is none, in tesla; the bias magnet's own field is left
	// out.
	Heights []float64
	Current float64
	Axial   [][]float64
}

// Best is the model that comes nearest to the truth of those compared: finite elements,
// or the slab where they cannot run.
func (c IronComparison) Best() int { return len(c.Models) - 1 }

// Off is by how much model m is off the best at height k, as a share of that.
func (c IronComparison) Off(m, k int) float64 { return c.Axial[m][k]/c.Axial[c.Best()][k] - 1 }

// CompareIron computes the coil's field on the pixel's axis at heights (m) with every
// model of the steel that can run on the design: none, image, slab, and finite elements
// for a round coil. The slab leaves out a core and takes a disc for a wide sheet. It
// fails when the design has no steel.
func CompareIron(ctx context.Context, d design.Design, p Pixel, heights []float64) (IronComparison, error) {
	c := IronComparison{Heights: heights, Current: p.Full.On.Average}
	c.Current = cmp.Or(c.Current, 1)
	if d.Iron.Model == design.IronNone {
		return c, fmt.Errorf(`comparing the models of the steel: the design has none (iron.model is "none"); set iron.model to auto`)
	}
	lowest := heights[0]
	for _, z := range heights {
		lowest = min(lowest, z)
	}
	air := p.Coil.Source(lowest, FilamentError)
	var sources []field.Source
	add := func(m design.IronModel, note string, steel field.Source) {
		c.Models, c.Notes, sources = append(c.Models, m), append(c.Notes, note), append(sources, plus(air, steel))
	}
	add(design.IronNone, "the coil alone", nil)
	add(design.IronImage, fmt.Sprintf("mirror image times κ = %.4g: steel without bounds", d.Iron.Factor),
		field.Mirror{Source: seenFrom(p.Coil)(2 * d.IronFront()), Z: d.IronFront(), Factor: d.Iron.Factor})
	note := fmt.Sprintf("wide sheet of linear steel, µr %.0f", d.Iron.MuR)
	switch {
	case d.Iron.CoreRadius > 0 && d.Iron.Radius > 0:
		note += ", disc and core left out"
	case d.Iron.CoreRadius > 0:
		note += ", core left out"
	case d.Iron.Radius > 0:
		note += " instead of the disc"
	}
	add(design.IronSlab, note, iron.NewSlabFrom(seenFrom(p.Coil), d.IronFront(), d.Iron.Thickness, d.Iron.MuR))
	if p.Coil.Radial() {
		fem := p.Iron
		if fem.Model != design.IronFEM {
			d.Iron.Model = design.IronFEM
			var err error
			if fem, err = newIron(ctx, d, p, heights[0]); err != nil {
				return c, fmt.Errorf("comparing the models of the steel: %w", err)
			}
		}
		add(design.IronFEM, fem.Note, fem.coil)
	}
	for _, s := range sources {
		var row []float64
		for _, z := range heights {
			if err := ctx.Err(); err != nil {
				return c, fmt.Errorf("comparing the models of the steel: %w", err)
			}
			row = append(row, s.B(r3.Vec{Z: z}).Z*c.Current)
		}
		c.Axial = append(c.Axial, row)
	}
	return c, nil
}

// ThinSheet is the thickness in metres of the low-carbon sheet that is held against a
// steel that is none.
const ThinSheet = 0.1e-3

// Unmagnetic tells whether the design's steel is an alloy that is no magnetic one
// (austenitic), with its permeability and the gain of the coil at the fluid with a
// ThinSheet of low-carbon steel in its place.
func (p Pixel) Unmagnetic(d design.Design) (muR, instead float64, is bool) {
	steel := material.SteelNamed(d.Iron.Steel)
	if steel.Saturation != 0 {
		return 0, 0, false
	}
	return steel.MuR, p.SheetGain(d, ThinSheet, material.SteelNamed("low-carbon").MuR, d.Fluid.Height), true
}

// SheetGain is the gain of a pixel's coil at height z (m) on its axis with a wide sheet
// of linear steel in the place of the design's: thickness in metres, permeability muR.
func (p Pixel) SheetGain(d design.Design, thickness, muR, z float64) float64 {
	slab := iron.NewSlabFrom(seenFrom(p.Coil), d.IronFront(), thickness, muR)
	at := r3.Vec{Z: z}
	return 1 + slab.B(at).Z/p.Coil.Source(z, FilamentError).B(at).Z
}
