package iron

import (
	"context"
	"fmt"
	"math"

	"lodegrid/field"
)

// answering is the scalar potential of one angular order on a mesh.
type answering struct {
	problem AnswerProblem
	mesh    mesh
	order   int
	out     *Answer
}

// slopes is the gradient of each shape function at an integration point: along r, around
// (the shape over r, times the order) and along z.
func (s *answering) slopes(p *gaussPoint, r0, r1, z0, z1 float64) (g [9][3]float64) {
	hr, hz := (r1-r0)/2, (z1-z0)/2
	nr, dr := quadratic((p.r - (r0+r1)/2) / hr)
	nz, dz := quadratic((p.z - (z0+z1)/2) / hz)
	for b := range 3 {
		for a := range 3 {
			g[3*b+a] = [3]float64{dr[a] * nz[b] / hr, float64(s.order) * nr[a] * nz[b] / p.r, nr[a] * dz[b] / hz}
		}
	}
	return g
}

// permeability is the relative permeability that a change of the field sees: along rr,
// zz, rz and around.
type permeability struct{ rr, zz, rz, around float64 }

// tangentOf is a curve's permeability at the flux density (br, bz): the inverse of
// dH/dB = ν I + (dH/d|B| − ν) b b^T/|b|², and 1/ν around, where the bias has no part.
func tangentOf(c Curve, br, bz float64) permeability {
	b := math.Hypot(br, bz)
	h, slope := c.H(b)
	along := 1 / (field.Mu0 * slope)
	if b == 0 {
		return permeability{along, along, 0, along}
	}
	aside := b / h / field.Mu0
	u, v := br/b, bz/b
	return permeability{aside + (along-aside)*u*u, aside + (along-aside)*v*v, (along - aside) * u * v, aside}
}

func (s *answering) solve(ctx context.Context) error {
	sys := &system{mesh: s.mesh}
	firstCol := 0
	if s.order > 0 {
		firstCol = 1 // ψ vanishes on the axis
	}
	n := sys.number(func(row, col, rows, cols int) bool {
		return row > 0 && row < rows-1 && col >= firstCol && col < cols-1
	})
	sys.pattern(n)
	a, powers := s.problem, s.out.Powers()
	place := func(r, z float64) (answers bool, of *Region) {
		for i := range a.Steel {
			if a.Steel[i].holds(r, z) {
				return true, &a.Steel[i]
			}
		}
		if a.Sheet != nil && a.Sheet.holds(r, z) {
			return false, a.Sheet
		}
		return false, nil
	}
	// Nodes of the steel that answers, its surface included, carry the total potential.
	cols := 2*len(s.mesh.r) - 1
	rz := func(node int) (r, z float64) {
		mid := func(line []float64, k int) float64 {
			if k%2 == 0 {
				return line[k/2]
			}
			return (line[k/2] + line[k/2+1]) / 2
		}
		return mid(s.mesh.r, node%cols), mid(s.mesh.z, node/cols)
	}
	given := make([][]float64, powers) // the stray potential at those nodes, by node
	inside := make([]bool, len(sys.unknown))
	for e := range sys.elements() {
		r0, r1, z0, z1 := sys.box(e)
		if answers, _ := place((r0+r1)/2, (z0+z1)/2); answers {
			for _, node := range sys.allNodes(e) {
				inside[node] = true
			}
		}
	}
	load := make([][]float64, powers)
	for j := range powers {
		given[j], load[j] = make([]float64, len(sys.unknown)), make([]float64, n)
		for node, in := range inside {
			if in {
				r, z := rz(node)
				given[j][node] = s.out.potential(s.order, j, r, z)
			}
		}
	}
	state := 0 // of the bias's integration points, in the order of its mesh
	var steel []magnetised
	for e := range sys.elements() {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("answering a stray field: %w", err)
		}
		r0, r1, z0, z1 := sys.box(e)
		pts := points(r0, r1, z0, z1)
		answers, region := place((r0+r1)/2, (z0+z1)/2)
		k := magnetised{element: e}
		var stiff, air [45]float64
		for q := range pts {
			mu := permeability{1, 1, 0, 1}
			if region != nil {
				mu = tangentOf(region.Curve, 0, 0)
				if a.Bias != nil {
					ring, b := a.Bias.Rings[state], a.Bias.shares[state].b
					state++
					if m := math.Hypot(ring.mr, ring.mz); m > 0 {
						mu = tangentOf(region.Curve, b*ring.mr/m, b*ring.mz/m)
					}
				}
			}
			k.mu[q] = mu
			g := s.slopes(&pts[q], r0, r1, z0, z1)
			i := 0
			for x := range 9 {
				for y := range x + 1 {
					t := g[x][1] * g[y][1]
					d := g[x][0]*g[y][0] + g[x][2]*g[y][2]
					stiff[i] += pts[q].weight * (mu.rr*g[x][0]*g[y][0] + mu.zz*g[x][2]*g[y][2] + mu.rz*(g[x][0]*g[y][2]+g[x][2]*g[y][0]) + mu.around*t)
					air[i] += pts[q].weight * (d + t)
					i++
				}
			}
		}
		sys.add(sys.values, e, &stiff)
		if answers {
			steel = append(steel, k)
		}
		// In the steel the surface's flux of the stray field, as a volume integral; outside
		// it the step from the total to the reduced potential on the surface.
		nodes, all := sys.nodesOf(e), sys.allNodes(e)
		by := &stiff
		if answers {
			by = &air
		}
		i := 0
		for x := range 9 {
			for y := range x + 1 {
				for j := range powers {
					if nodes[x] >= 0 {
						load[j][nodes[x]] += by[i] * given[j][all[y]]
					}
					if x != y && nodes[y] >= 0 {
						load[j][nodes[y]] += by[i] * given[j][all[x]]
					}
				}
				i++
			}
		}
	}
	if err := sys.factor.Factor(sys.values); err != nil {
		return err
	}
	for j := range powers {
		sys.factor.Solve(load[j])
		s.read(sys, steel, load[j])
	}
	return nil
}

// magnetised is an element of steel with its permeability.
type magnetised struct {
	element int
	mu      [gaussPoints]permeability
}

// read turns the potential, here that of B/µr, into the steel's magnetisation and that
// into a source.
func (s *answering) read(sys *system, steel []magnetised, u []float64) {
	var rings Rings
	round := fans{order: s.order}
	for _, el := range steel {
		r0, r1, z0, z1 := sys.box(el.element)
		pts := points(r0, r1, z0, z1)
		nodes := sys.nodesOf(el.element)
		for q := range pts {
			g := s.slopes(&pts[q], r0, r1, z0, z1)
			var hr, hp, hz float64
			for i, k := range nodes {
				if k >= 0 {
					hr += u[k] * g[i][0]
					hp -= u[k] * g[i][1] // the slope of cos mφ
					hz += u[k] * g[i][2]
				}
			}
			mu := el.mu[q]
			area := pts[q].weight / pts[q].r / field.Mu0
			mr, mz := area*((mu.rr-1)*hr+mu.rz*hz), area*(mu.rz*hr+(mu.zz-1)*hz)
			if s.order == 0 {
				rings = append(rings, ring{pts[q].r, pts[q].z, mr, mz})
			} else {
				round.list = append(round.list, fan{pts[q].r, pts[q].z, mr, area * (mu.around - 1) * hp, mz})
			}
		}
	}
	var whole field.Source = rings
	far := func(away float64) field.Source { return rings.From(away) }
	if s.order > 0 {
		whole = round
		far = func(away float64) field.Source { return round.from(away) }
	}
	s.out.orders[s.order] = append(s.out.orders[s.order], parts{s.out.withSheet(whole, far, 0), far})
}
