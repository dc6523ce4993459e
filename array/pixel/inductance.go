package pixel

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
)

// Inductance returns a pixel's inductance with its steel, in henries, at full level,
// and how it was found; without steel that of the coil in air. It is that of slow changes:
// Pixel.Eddy has what eddy currents make of it. The neighbours' coils are left out.
func (p Pixel) Inductance(ctx context.Context, d design.Design) (henries float64, how string, err error) {
	air := p.Coil.Inductance()
	switch p.Iron.Model {
	case design.IronNone:
		return air, "no steel", nil
	case design.IronImage:
		l := p.Coil.InductanceOnSteel(d.IronFront(), d.Iron.Factor)
		return l, fmt.Sprintf("with its mirror image times %.4g", d.Iron.Factor), nil
	case design.IronSlab:
		slab := iron.NewSlabFrom(seenFrom(p.Coil), d.IronFront(), d.Iron.Thickness, d.Iron.MuR)
		planes, factors := slab.Planes()
		for i, z := range planes {
			if err := ctx.Err(); err != nil {
				return 0, "", fmt.Errorf("inductance with steel: %w", err)
			}
			m := p.Coil.MutualWithImage(z)
			air += factors[i] * m
		}
		return air, fmt.Sprintf("with the sheet's %d images", len(planes)), nil
	}
	near := p.Coil.Source(p.Coil.Spec().Outer/8, FilamentError)
	flux := p.Iron.CoilSolution.Linkage(near)
	if p.Iron.BiasSolution != nil {
		flux -= p.Iron.BiasSolution.Linkage(near)
	}
	return air + flux/p.Iron.current, "flux of the steel's magnetisation through the coil over the current", nil
}

// ImageInductance returns the inductance in henries by the plain mirror image, as a check
// on Inductance, or why that is no fair model of the design's steel.
func (p Pixel) ImageInductance(d design.Design) (henries float64, unfair string) {
	f, r := d.Iron, d.Coil.Outer/2
	switch {
	case f.CoreRadius > 0:
		return 0, "a core passes through the coil"
	case f.Radius > 0 && f.Radius < 3*r:
		return 0, fmt.Sprintf("the disc reaches out to %.2g coil radii only", f.Radius/r)
	case f.MuR*f.Thickness/2 < 10*r:
		return 0, fmt.Sprintf("µr·t/2 is %.0f mm, not long against the coil's radius of %.1f mm", f.MuR*f.Thickness/2*1e3, r*1e3)
	}
	henries = p.Coil.InductanceOnSteel(d.IronFront(), f.Factor)
	return henries, ""
}

// From is the same pixel with the coil's field accurate at height z (m) and above.
func (p Pixel) From(z float64) Pixel { return p.Resolved(z, FilamentError) }

func (p Pixel) Resolved(z, filaments float64) Pixel {
	p.Air = p.Coil.Source(z, filaments)
	return p
}

// steelAdds is by which share of what steel adds to an inductance its models differ, at most, by
// tests against images and finite elements.
const steelAdds = 0.02

// InductanceError is by which share an inductance of the pixel in henries, with or without its
// steel, may be wrong: by the closed turns, by what is added to them, by the ladder that tells
// it under PWM and by the round coil that stands for another. What the design is off by is not
// in it.
func (p Pixel) InductanceError(henries float64) float64 {
	air := p.Coil.Inductance()
	if henries == air {
		return coil.ClosedTurns
	}
	e := (coil.ClosedTurns*air + steelAdds*math.Abs(henries-air)) / henries
	if p.Eddy != nil {
		e += p.Eddy.Ladder.Error + p.Eddy.Alike
	}
	return e
}
