package iron

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Wide is what steel about a coil's axis adds on a sheet that goes on far beyond it.
// Finite elements need a disc for the sheet, whose rim disturbs the field there and
// whose wide elements, far from the axis, cannot be read close by. So only what differs
// from a bare, linear, endless sheet is taken from them:
//
//   - Cores, the magnetisation of what stands on the sheet. The sheet answers it as
//     it answers any source, exactly: the field of Cores and of its Slab is smooth
//     everywhere in front of the sheet, however far from the axis.
//   - Excess, the magnetisation that the disc has beyond what the same disc of linear
//     steel would have in the same field with the same cores: that of saturation. It
//     dies away from the axis, and with it the rim's part in it.
//
// What the bare sheet adds to the applied field itself is the caller's to add
// (NewSlab, NewScreen).
type Wide struct {
	Full          *Solution // on the disc
	Cores, Excess Rings

	sheet Region
	muR   float64
	slab  *Slab // of the cores
	read  Rings // Excess without its weakest rings
}

// What is left out of a Wide's Excess: the weakest rings, of this share of the steel's
// whole magnetisation, and those farther from the axis than so many scales, where
// elements are wide and it has died away.
const (
	excessLost = 1e-4
	excessEnds = 4
)

// SolveWide solves a problem whose first region is a disc that stands for a wide sheet
// of the same curve, which far from the axis, in weak fields, has its initial permeability.
func SolveWide(ctx context.Context, p Problem) (*Wide, error) {
	s, full, err := solved(ctx, p)
	if err != nil {
		return nil, err
	}
	p = full.Problem()
	out := &Wide{Full: full, sheet: p.Steel[0], muR: InitialMuR(p.Steel[0].Curve)}
	linear, err := s.linearSheet(out.Full.Rings, out.sheet, out.muR)
	if err != nil {
		return nil, err
	}
	for i, g := range out.Full.Rings {
		if out.sheet.holds(g.r, g.z) {
			if g.r < excessEnds*p.Scale {
				out.Excess = append(out.Excess, ring{g.r, g.z, g.mr - linear[i].mr, g.mz - linear[i].mz})
			}
		} else {
			out.Cores = append(out.Cores, g)
		}
	}
	out.complete(out.Full.whole())
	return out, nil
}

// complete makes ready what is asked for at every point, for steel of which ∫|M| dV is
// the whole.
func (w *Wide) complete(whole float64) {
	w.read = w.Excess.strong(whole, excessLost)
	if len(w.Cores) == 0 {
		return
	}
	// The mirrored cores stand below the mirror as they stand above it; a point in
	// front of the sheet sees those of the nearest image from no distance.
	first := true
	w.slab = NewSlabFrom(func(depth float64) field.Source {
		if first {
			first = false
			return w.Cores
		}
		return w.Cores.From(2*w.sheet.Z1 - depth)
	}, w.sheet.Z1, w.sheet.Z1-w.sheet.Z0, w.muR)
}

// Over returns what one state of the steel adds over another on the same mesh, times a
// factor: that of coil and magnet over that of the magnet, per ampere. Its Full is w's.
func (w *Wide) Over(o *Wide, factor float64) *Wide {
	if len(w.Excess) != len(o.Excess) || len(w.Cores) != len(o.Cores) {
		panic("iron: the difference of two states of the steel that are not on one mesh")
	}
	d := &Wide{Full: w.Full, sheet: w.sheet, muR: w.muR,
		Cores: w.Cores.over(o.Cores, factor), Excess: w.Excess.over(o.Excess, factor)}
	d.complete(w.Full.Rings.over(o.Full.Rings, factor).whole())
	return d
}

// B implements field.Source.
func (w *Wide) B(p r3.Vec) r3.Vec {
	b := w.read.B(p)
	if w.slab != nil {
		b = r3.Add(b, r3.Add(w.Cores.B(p), w.slab.B(p)))
	}
	return b
}

func (g Region) holds(r, z float64) bool { return r > g.R0 && r < g.R1 && z > g.Z0 && z < g.Z1 }

// linearSheet returns the magnetisation on all of the system's steel points that the
// applied field and the given magnetisation of the cores leave in the sheet if that is
// linear; zero outside the sheet.
func (s *system) linearSheet(given Rings, sheet Region, muR float64) (Rings, error) {
	copy(s.values, s.air)
	load := make([]float64, s.factor.Size())
	nu := 1 / muR
	at := 0
	for k := range s.steel {
		el := &s.steel[k]
		nodes := s.nodesOf(el.element)
		var stiff [45]float64
		for q := range el.points {
			p := &el.points[q]
			g := given[at]
			at++
			var sr, sz float64
			if sheet.holds(p.r, p.z) {
				addStiffness(&stiff, p, nu, nu, 0)
				sr, sz = (1-nu)*el.applied[q][0], (1-nu)*el.applied[q][1]
			} else {
				addStiffness(&stiff, p, 1, 1, 0)
				area := p.weight / p.r
				sr, sz = field.Mu0*g.mr/area, field.Mu0*g.mz/area
			}
			for i, u := range nodes {
				if u >= 0 {
					load[u] += p.weight * (sr*p.br[i] + sz*p.bz[i])
				}
			}
		}
		s.add(s.values, el.element, &stiff)
	}
	if err := s.factor.Factor(s.values); err != nil {
		return nil, fmt.Errorf("solving the linear sheet: %w", err)
	}
	s.factor.Solve(load)
	out := make(Rings, 0, len(given))
	for k := range s.steel {
		el := &s.steel[k]
		nodes := s.nodesOf(el.element)
		for q := range el.points {
			p := &el.points[q]
			g := ring{r: p.r, z: p.z}
			if sheet.holds(p.r, p.z) {
				br, bz, _ := el.total(q, &nodes, load)
				area := p.weight / p.r
				g.mr, g.mz = area*br*(1-nu)/field.Mu0, area*bz*(1-nu)/field.Mu0
			}
			out = append(out, g)
		}
	}
	return out, nil
}
