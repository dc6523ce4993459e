package iron

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Solution is the steel's magnetisation. It is a field.Source: the field that the
// steel adds, without the applied field, valid outside the steel.
type Solution struct {
	Rings
	// Nodes and Steps tell the size of the system and the Newton steps taken.
	Nodes, Steps int
	// Peak is the largest flux density met in the steel, T, at (PeakR, PeakZ).
	Peak, PeakR, PeakZ float64
	// Mean is the steel's mean |B| by volume, T.
	Mean    float64
	problem Problem
	shares  []share
}

// share is the volume and flux density of one integration point.
type share struct{ volume, b float64 }

func (s *system) solution(w []float64, steps int) *Solution {
	out := &Solution{Nodes: s.factor.Size(), Steps: steps, problem: s.problem}
	var volume float64
	for k := range s.steel {
		el := &s.steel[k]
		nodes := s.nodesOf(el.element)
		for q := range el.points {
			p := &el.points[q]
			br, bz, b := el.total(q, &nodes, w)
			h, slope := el.curve.H(b)
			nu := slope
			if b > 0 {
				nu = h / b
			}
			area := p.weight / p.r
			g := ring{p.r, p.z, area * br * (1/field.Mu0 - nu), area * bz * (1/field.Mu0 - nu)}
			out.Rings = append(out.Rings, g)
			v := 2 * math.Pi * p.weight
			volume += v
			out.Mean += v * b
			out.shares = append(out.shares, share{v, b})
			if b > out.Peak {
				out.Peak, out.PeakR, out.PeakZ = b, p.r, p.z
			}
		}
	}
	out.Mean /= volume
	return out
}

// Problem returns what was solved, defaults filled in.
func (s *Solution) Problem() Problem { return s.problem }

// Above returns the share of the steel's volume whose flux density is b tesla or
// more.
func (s *Solution) Above(b float64) float64 {
	var all, over float64
	for _, v := range s.shares {
		all += v.volume
		if v.b >= b {
			over += v.volume
		}
	}
	return over / all
}

// Linkage returns the flux in weber turns that the steel's magnetisation sends through
// a circuit whose field at 1 A is s: ∫ M·B₁ dV, by reciprocity with the flux that the
// circuit sends through each dipole. Over the circuit's current it is what the steel
// adds to the inductance.
func (s *Solution) Linkage(circuit field.Source) float64 {
	var sum float64
	for _, g := range s.Rings {
		b := circuit.B(r3.Vec{X: g.r, Z: g.z})
		sum += 2 * math.Pi * g.r * (g.mr*b.X + g.mz*b.Z)
	}
	return sum
}
