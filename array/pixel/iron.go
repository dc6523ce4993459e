package pixel

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
	"lodegrid/field/material"
)

// Iron is the steel behind a pixel: which model runs, what it adds to the pixel's
// coil and magnet, and where its limit lies.
type Iron struct {
	Model design.IronModel
	// Note says why this model runs and what it leaves out.
	Note string
	// CoilSolution and BiasSolution are the finite-element results, nil for the
	// other models or without a magnet. CoilSolution carries coil and magnet.
	CoilSolution, BiasSolution *iron.Solution

	// Levels are the coil's shares of a biased field at several currents, in order of
	// the current; empty where the coil's field is proportional to its current.
	Levels []LevelGain

	coil, magnet field.Source // what the steel adds, per ampere and for the magnet; nil = nothing
	current      float64      // A, at which finite elements took the coil's share
}

// wideDisc is the radius, in coil radii, of the disc that stands for a wide sheet
// when only finite elements will do.
const wideDisc = 12

// noCurrent stands for a coil that carries none at full level, A: its share of the
// steel's field is then that of a small current.
const noCurrent = 1e-3

// newIron chooses and runs the model for a pixel that has all else, its field wanted at
// height z (m). What the steel adds is accurate from the board up, or as near as finite
// elements are.
func newIron(ctx context.Context, d design.Design, p Pixel, z float64) (Iron, error) {
	model, note, err := chooseIron(d, p.Coil.Radial(), p.Magnet != nil)
	if err != nil {
		return Iron{}, err
	}
	i := Iron{Model: model, Note: note, current: p.Full.On.Average}
	i.current = cmp.Or(i.current, noCurrent)
	switch model {
	case design.IronNone:
		return i, nil
	case design.IronImage:
		i.coil = field.Mirror{Source: seenFrom(p.Coil)(2 * d.IronFront()), Z: d.IronFront(), Factor: d.Iron.Factor}
	case design.IronSlab:
		i.coil = iron.NewSlabFrom(seenFrom(p.Coil), d.IronFront(), d.Iron.Thickness, d.Iron.MuR)
	case design.IronFEM:
		err = i.solve(ctx, d, p, z)
	}
	if err == nil && model != design.IronFEM && p.Magnet != nil {
		i.magnet = behindSheet(d, model, d.Iron.MuR, p.Magnet)
	}
	if err != nil {
		return Iron{}, fmt.Errorf("computing the steel behind a pixel: %w", err)
	}
	return i, nil
}

// seenFrom returns the coil at 1 A as seen from a depth (m, negative) behind it and
// from deeper. The further away, the weaker the field and the fewer turns stand for
// it; the images of a slab, whose factors sum to less than one, stay within the
// filaments' usual error of the field in front.
func seenFrom(c *coil.Coil) func(depth float64) field.Source {
	s := c.Spec()
	last := s.Layers[len(s.Layers)-1]
	back := last.Z - last.Copper/2
	const step = 1.5 // a coil for all distances up to this much further
	var nearest float64
	known := map[int]field.Source{}
	return func(depth float64) field.Source {
		away := max(back-depth, 1e-6)
		nearest = cmp.Or(nearest, away)
		band := max(0, int(math.Log(min(away, 100*s.Outer)/nearest)/math.Log(step)))
		if known[band] == nil {
			away = nearest * math.Pow(step, float64(band))
			fall := func(z float64) float64 { return math.Pow(1+4*z*z/(s.Outer*s.Outer), 0.75) } // root of a loop's on its axis
			known[band] = c.Source(away, min(FilamentError*fall(away)/fall(nearest), 0.01))
		}
		return known[band]
	}
}

// chooseIron picks the model by the shape when the design leaves it open.
func chooseIron(d design.Design, round, biased bool) (model design.IronModel, note string, err error) {
	f := d.Iron
	sheet := f.MuR * f.Thickness / 2
	shaped := f.Radius > 0 || f.CoreRadius > 0
	switch f.Model {
	case design.IronNone:
		return design.IronNone, "no steel behind the board", nil
	case design.IronImage:
		note = fmt.Sprintf("mirror image times κ = %.4f: right for a wide, thick, unsaturated plate", f.Factor)
		if shaped {
			note += "; with a disc or a core behind each pixel it can be 30 % too strong or 50 % too weak: use auto or fem"
		}
		if sheet < 10*d.Coil.Outer/2 {
			note += fmt.Sprintf("; the sheet's µr·t/2 of %.0f mm is thin against the coil's radius of %.1f mm: use auto or slab", sheet*1e3, d.Coil.Outer/2*1e3)
		}
		return design.IronImage, note, nil
	case design.IronFEM:
		if !round {
			return "", "", fmt.Errorf("iron.model fem: the finite elements are round about the coil's axis, the coil is %s; use slab, image or a round coil", d.Coil.Shape)
		}
	case design.IronSlab:
		if shaped {
			return "", "", fmt.Errorf("iron.model slab: the steel is a disc or has a core, a slab is a wide plain sheet; use auto or fem")
		}
	}
	if f.Model == design.IronSlab || f.Model == design.IronAuto && !shaped && (!biased || !round) {
		note = fmt.Sprintf("wide sheet of linear steel, µr %.0f, solved exactly", f.MuR)
		if biased {
			note += "; the magnets may saturate it, which this model does not see"
		}
		return design.IronSlab, note, nil
	}
	if !round {
		return design.IronImage, fmt.Sprintf("mirror image times κ = %.4f, for want of a better model for a %s coil with shaped steel: up to 30 %% too strong for a disc, up to 50 %% too weak with a core", f.Factor, d.Coil.Shape), nil
	}
	note = "axisymmetric finite elements with the steel's B–H curve"
	if f.Radius == 0 {
		note = fmt.Sprintf("the sheet solved exactly as linear steel, µr %.0f, and what the steel's B–H curve and a core change by axisymmetric finite elements", f.MuR)
	}
	return design.IronFEM, note, nil
}

// ironState is what the steel adds to a field of coil and magnet.
type ironState struct {
	*iron.Solution
	wide *iron.Wide // nil for a disc
}

// over is what one state adds over another, times a factor.
func (s ironState) over(o ironState, factor float64) field.Source {
	if s.wide == nil {
		return difference{s.Solution, o.Solution, factor}
	}
	return s.wide.Over(o.wide, factor)
}

// ironRegions is the steel about a pixel's axis: a disc, which may stand for a wide
// sheet, and the core if there is one.
func ironRegions(d design.Design, curve iron.Curve) []iron.Region {
	front, radius := d.IronFront(), d.Iron.Radius
	if radius == 0 {
		radius = wideDisc * d.Coil.Outer / 2
	}
	regions := []iron.Region{{R1: radius, Z0: front - d.Iron.Thickness, Z1: front, Curve: curve}}
	if d.Iron.CoreRadius > 0 {
		regions = append(regions, iron.Region{R1: d.Iron.CoreRadius, Z0: front, Z1: 0, Curve: curve})
	}
	return regions
}

// solve runs the finite elements: with coil and magnet together, and with the
// magnet alone. The coil's share is their difference, since a magnet may
// saturate the steel.
func (i *Iron) solve(ctx context.Context, d design.Design, p Pixel, z float64) error {
	curve := steelCurve(d)
	front, regions := d.IronFront(), ironRegions(d, curve)
	// Steel close behind, and a core between the turns: few turns will not do.
	near := p.Coil.Source(p.Coil.Spec().Outer/8, FilamentError)
	at := func(current float64) (s ironState, err error) {
		applied := field.Source(field.Scaled{Source: near, Factor: current})
		if p.Magnet != nil {
			applied = field.Sum{p.Magnet, applied}
			if current == 0 {
				applied = p.Magnet
			}
		}
		problem := iron.Problem{Steel: regions, Scale: d.Coil.Outer / 2, Applied: applied}
		if d.Iron.Radius > 0 {
			s.Solution, err = iron.Solve(ctx, problem)
			return s, err
		}
		if s.wide, err = iron.SolveWide(ctx, problem); err == nil {
			s.Solution = s.wide.Full
		}
		return s, err
	}
	full, err := at(i.current)
	if err != nil {
		return err
	}
	i.CoilSolution = full.Solution
	// What a wide, linear sheet adds by itself is known exactly.
	sheet, muR := field.Sum{}, iron.InitialMuR(curve)
	if d.Iron.Radius == 0 {
		sheet = field.Sum{iron.NewSlabFrom(seenFrom(p.Coil), front, d.Iron.Thickness, muR)}
	}
	if p.Magnet == nil {
		share := field.Source(full.Solution)
		if full.wide != nil {
			share = full.wide
		}
		i.coil = append(sheet, field.Scaled{Source: share, Factor: 1 / i.current})
		return nil
	}
	bias, err := at(0)
	if err != nil {
		return err
	}
	i.BiasSolution, i.magnet = bias.Solution, bias.Solution
	if bias.wide != nil {
		i.magnet = field.Sum{behindSheet(d, i.Model, muR, p.Magnet), bias.wide}
	}
	share := func(current float64) (field.Source, error) {
		s, err := full, error(nil)
		if current != i.current {
			s, err = at(current)
		}
		if err != nil {
			return nil, err
		}
		return append(sheet[:len(sheet):len(sheet)], s.over(bias, 1/current)), nil
	}
	if i.coil, err = share(i.current); err != nil {
		return err
	}
	return i.atLevels(d, p.Air, z, share)
}

// difference is the field (a − b)·factor.
type difference struct {
	a, b   field.Source
	factor float64
}

// B implements field.Source.
func (d difference) B(p r3.Vec) r3.Vec {
	return r3.Scale(d.factor, r3.Sub(d.a.B(p), d.b.B(p)))
}

// steelCurve is the B–H curve of the design's steel: its measured points or its
// saturating curve, or a straight line when the design gives a permeability of
// its own.
func steelCurve(d design.Design) iron.Curve {
	return CurveOf(material.SteelNamed(d.Iron.Steel), d.Iron.MuR)
}

// CurveOf is the curve of a steel; a permeability that is not its own makes it a
// straight line.
func CurveOf(steel material.Steel, muR float64) iron.Curve {
	switch {
	case muR != steel.MuR || steel.Saturation == 0:
		return iron.Linear{MuR: muR}
	case steel.CurveB != nil:
		return iron.NewTable(steel.CurveH, steel.CurveB)
	}
	return iron.Frohlich{MuI: steel.InitialMuR, Js: steel.Saturation}
}
