package iron

import (
	"cmp"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Region is a ring of steel with a rectangular section, R0 ≤ r ≤ R1, Z0 ≤ z ≤ Z1
// (m); R0 = 0 makes it a disc or a core.
type Region struct {
	R0, R1, Z0, Z1 float64
	Curve          Curve
}

// Problem is steel in a known field, all of it round about the z axis.
type Problem struct {
	Steel []Region
	// Applied is the field without the steel: coils and magnets on the axis. It
	// must be finite everywhere inside the steel.
	Applied field.Source
	// Scale is the size of what makes the field, usually the coil's outer radius, m.
	Scale float64
	// Far is the distance of the boundary, m; 0 takes 60 scales or 12 radii of the
	// steel, whichever is more.
	Far float64
	// Nodes is the most nodes to use; 0 = 10,000.
	Nodes int
	// Tolerance is the residual at which Newton stops, against the applied load;
	// 0 = 1e-8.
	Tolerance float64
}

// complete fills in defaults.
func (p Problem) complete() Problem {
	p.Nodes = cmp.Or(p.Nodes, 10_000)
	p.Tolerance = cmp.Or(p.Tolerance, 1e-8)
	reach := 0.0
	for i, g := range p.Steel {
		for j, o := range p.Steel[:i] {
			if min(g.R1, o.R1) > max(g.R0, o.R0) && min(g.Z1, o.Z1) > max(g.Z0, o.Z0) {
				panic(fmt.Sprintf("steel problem: regions %d and %d overlap", j, i))
			}
		}
		reach = max(reach, g.R1, (g.Z1-g.Z0)/2)
	}
	p.Far = cmp.Or(p.Far, max(60*p.Scale, 12*reach))
	return p
}

// appliedAt is the applied field at (r, z).
func (p Problem) appliedAt(r, z float64) (br, bz float64) {
	b := p.Applied.B(r3.Vec{X: r, Z: z})
	return b.X, b.Z
}
