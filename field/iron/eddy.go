package iron

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/field"
	"lodegrid/field/iron/ldl"
)

// Conductor is a ring of linear steel that conducts.
type Conductor struct {
	R0, R1, Z0, Z1 float64 // m, as of Region
	MuR            float64
	Conductivity   float64 // S/m; 0 leaves the eddy currents out
}

// EddyProblem is conducting steel about the axis of a coil that carries 1 A of alternating
// current.
type EddyProblem struct {
	Steel []Conductor
	// Coil is the coil's turns with their currents at 1 A through the terminals; Center
	// must be on the z axis.
	Coil field.Coaxial
	// Scale is the coil's outer radius, m. Far is the boundary's distance, 0 as in Problem.
	Scale, Far float64
	// Frequencies in Hz, 0 for direct current.
	Frequencies []float64
}

// Harmonic is the answer at one frequency, phasors with e^{+jωt}.
type Harmonic struct {
	Frequency float64
	// Inductance is what the steel adds to the coil's, H; Resistance what it adds to the
	// coil's resistance by the heat of its eddy currents, Ω.
	Inductance, Resistance float64

	rings [2]Rings         // magnetisation, real and imaginary part
	loops [2]field.Coaxial // eddy currents
}

// Axis is what the steel adds to Bz on the axis at a height in metres, T/A.
func (h *Harmonic) Axis(z float64) complex128 {
	var b [2]float64
	for k := range b {
		_, m := h.rings[k].Field(0, z)
		_, j := h.loops[k].Field(0, z)
		b[k] = m + j
	}
	return complex(b[0], b[1])
}

// SkinDepth is √(2/(ω µ σ)) in metres.
func SkinDepth(frequency, muR, conductivity float64) float64 {
	return 1 / math.Sqrt(math.Pi*frequency*field.Mu0*muR*conductivity)
}

// skinShare is the size of an element at a steel's surface over the skin depth there.
const skinShare = 0.3

// eddyGrowth is the growth of elements away from the surfaces.
const eddyGrowth = 0.4

// eddyMesh grades a grid to every surface of the steel: an element there is a share of the
// skin depth of the highest frequency.
func eddyMesh(p EddyProblem) mesh {
	highest := 0.0
	for _, f := range p.Frequencies {
		highest = max(highest, f)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	rs := []finePlace{{0, p.Scale / 6, true}}
	var zs []finePlace
	for _, g := range p.Steel {
		skin := p.Scale / 12
		if highest > 0 && g.Conductivity > 0 {
			skin = min(skin, skinShare*SkinDepth(highest, g.MuR, g.Conductivity))
		}
		edge := min(skin, (g.Z1-g.Z0)/2)
		zs = append(zs, finePlace{g.Z0, edge, true}, finePlace{g.Z1, edge, true})
		rim := skin
		if g.R1 > 4*p.Scale { // where there is hardly a field
			rim = (g.R1 - 2*p.Scale) / 6
		}
		rs = append(rs, finePlace{g.R1, min(rim, (g.R1-g.R0)/2), true})
		if g.R0 > 0 {
			rs = append(rs, finePlace{g.R0, min(skin, (g.R1-g.R0)/2), true})
		}
		for x := 0.0; x < min(1.3*p.Scale, g.R1); x += p.Scale / 4 {
			rs = append(rs, finePlace{x, p.Scale / 6, false})
		}
		lo, hi = min(lo, g.Z0), max(hi, g.Z1)
	}
	return mesh{r: lines(0, p.Far, rs, 1, eddyGrowth), z: lines(lo-p.Far, hi+p.Far, zs, 1, eddyGrowth)}
}

// eddyPoint is the coil's field and potential at an integration point of the steel.
type eddyPoint struct{ br, bz, a float64 }

// eddyElement is an element of the steel.
type eddyElement struct {
	element int
	of      *Conductor
	points  [gaussPoints]gaussPoint
	coil    [gaussPoints]eddyPoint
}

// SolveEddy finds magnetisation and eddy currents at each frequency. As in Solve the
// unknown is w = Aφ/r of the steel's own field, the coil's being known; in the steel
//
//	∫ (B/µr − B0)·Bv r dr dz + jωσµ0 ∫ A Av r dr dz = 0,  A = A0 + r w
//
// curl(ν curl A) + jωσA = J for all else. Inductance and resistance are the flux that
// magnetisation and eddy currents send through the coil, by reciprocity ∫ (M·B0 + J·A0)
// dV at 1 A, so their error is of the second order in that of the field.
func SolveEddy(ctx context.Context, p EddyProblem) ([]Harmonic, error) {
	p.complete()
	s := &system{mesh: eddyMesh(p)}
	n := s.number(func(row, col, rows, cols int) bool { return row > 0 && row < rows-1 && col < cols-1 })
	s.pattern(n)
	steel, err := s.eddyElements(ctx, p)
	if err != nil {
		return nil, err
	}
	factor := ldl.Analyse[complex128](s.form)
	out := make([]Harmonic, 0, len(p.Frequencies))
	values, load := make([]complex128, len(s.values)), make([]complex128, n)
	for _, f := range p.Frequencies {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("eddy currents in the steel: %w", err)
		}
		for k, v := range s.air {
			values[k] = complex(v, 0)
		}
		clear(load)
		for k := range steel {
			s.addEddy(values, load, &steel[k], 2*math.Pi*f)
		}
		if f == 0 {
			err = s.solveReal(values, load)
		} else if err = factor.Factor(values); err == nil {
			factor.Solve(load)
		}
		if err != nil {
			return nil, fmt.Errorf("eddy currents in the steel at %g Hz: %w", f, err)
		}
		out = append(out, s.harmonic(steel, load, f))
	}
	return out, nil
}

// solveReal is a complex factor's work for a matrix of real numbers, at a quarter of the cost.
func (s *system) solveReal(values, load []complex128) error {
	for k, v := range values {
		s.values[k] = real(v)
	}
	if err := s.factor.Factor(s.values); err != nil {
		return err
	}
	b := make([]float64, len(load))
	for k, v := range load {
		b[k] = real(v)
	}
	s.factor.Solve(b)
	for k, v := range b {
		load[k] = complex(v, 0)
	}
	return nil
}

func (p *EddyProblem) complete() {
	reach := 0.0
	for _, g := range p.Steel {
		reach = max(reach, g.R1, (g.Z1-g.Z0)/2)
	}
	p.Far = cmp.Or(p.Far, max(60*p.Scale, 12*reach))
}

// eddyElements integrates the air elements and prepares the steel's.
func (s *system) eddyElements(ctx context.Context, p EddyProblem) ([]eddyElement, error) {
	var steel []eddyElement
	for e := range s.elements() {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("eddy currents in the steel: %w", err)
		}
		r0, r1, z0, z1 := s.box(e)
		el := eddyElement{element: e, points: points(r0, r1, z0, z1)}
		for i := range p.Steel {
			if g := &p.Steel[i]; (Region{R0: g.R0, R1: g.R1, Z0: g.Z0, Z1: g.Z1}).holds((r0+r1)/2, (z0+z1)/2) {
				el.of = g
			}
		}
		if el.of == nil {
			var k [45]float64
			for q := range el.points {
				addStiffness(&k, &el.points[q], 1, 1, 0)
			}
			s.add(s.air, e, &k)
			continue
		}
		for q := range el.points {
			at := &el.points[q]
			br, bz := p.Coil.Field(at.r, at.z-p.Coil.Center.Z)
			el.coil[q] = eddyPoint{br, bz, p.Coil.Potential(at.r, at.z-p.Coil.Center.Z)}
			if math.IsNaN(br+bz) || math.IsInf(br+bz, 0) {
				return nil, fmt.Errorf("eddy currents: the coil's field is not finite inside the steel at r = %g m, z = %g m; does copper overlap it?", at.r, at.z)
			}
		}
		steel = append(steel, el)
	}
	return steel, nil
}

// addEddy adds an element of steel to matrix and load.
func (s *system) addEddy(values, load []complex128, el *eddyElement, omega float64) {
	nodes := s.nodesOf(el.element)
	nu, mass := 1/el.of.MuR, field.Mu0*omega*el.of.Conductivity
	var stiff, damp [45]float64
	for q := range el.points {
		p, c := &el.points[q], &el.coil[q]
		addStiffness(&stiff, p, nu, nu, 0)
		i := 0
		for x := range 9 {
			for y := range x + 1 {
				damp[i] += p.weight * mass * p.r * p.r * p.shape[x] * p.shape[y]
				i++
			}
			if u := nodes[x]; u >= 0 {
				load[u] += complex(p.weight*(1-nu)*(c.br*p.br[x]+c.bz*p.bz[x]), -p.weight*mass*c.a*p.r*p.shape[x])
			}
		}
	}
	for n, at := range s.entry[el.element*45 : el.element*45+45] {
		if at >= 0 {
			values[at] += complex(stiff[n], damp[n])
		}
	}
}

// harmonic reads the solution off.
func (s *system) harmonic(steel []eddyElement, w []complex128, frequency float64) Harmonic {
	h := Harmonic{Frequency: frequency}
	omega := 2 * math.Pi * frequency
	var flux complex128
	for k := range steel {
		el := &steel[k]
		nodes := s.nodesOf(el.element)
		chi := (1 - 1/el.of.MuR) / field.Mu0
		for q := range el.points {
			p, c := &el.points[q], &el.coil[q]
			br, bz, a := complex(c.br, 0), complex(c.bz, 0), complex(c.a, 0)
			for i, u := range nodes {
				if u >= 0 {
					br += w[u] * complex(p.br[i], 0)
					bz += w[u] * complex(p.bz[i], 0)
					a += w[u] * complex(p.r*p.shape[i], 0)
				}
			}
			mr, mz := complex(chi, 0)*br, complex(chi, 0)*bz
			j := complex(0, -omega*el.of.Conductivity) * a
			flux += complex(2*math.Pi*p.weight, 0) * (mr*complex(c.br, 0) + mz*complex(c.bz, 0) + j*complex(c.a, 0))
			area := p.weight / p.r
			for part, of := range [2]func(complex128) float64{func(z complex128) float64 { return real(z) }, func(z complex128) float64 { return imag(z) }} {
				if part == 1 && omega == 0 {
					continue
				}
				h.rings[part] = append(h.rings[part], ring{p.r, p.z, area * of(mr), area * of(mz)})
				if omega*el.of.Conductivity > 0 {
					h.loops[part].Loops = append(h.loops[part].Loops, field.CoaxialLoop{Radius: p.r, Z: p.z, Current: area * of(j)})
				}
			}
		}
	}
	h.Inductance, h.Resistance = real(flux), -omega*imag(flux)
	return h
}
