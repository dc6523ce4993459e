package iron

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lodegrid/field"
	"lodegrid/field/iron/ldl"
)

// maxNewton bounds the Newton steps; a solvable curve needs under ten.
const maxNewton = 60

// system is a meshed problem: nodes, elements and the sparse matrix.
type system struct {
	problem Problem
	mesh    mesh
	unknown []int32 // node → unknown in elimination order, −1 on the boundary
	factor  *ldl.Factor[float64]
	form    ldl.Pattern
	values  []float64 // of the matrix's entries
	air     []float64 // the same if all were air: computed once
	entry   []int32   // element × 45 → entry of values, −1 for boundary nodes
	steel   []steelElement
	// diagonal is the matrix's diagonal if all were air, the measure of a residual.
	diagonal []float64
}

// steelElement is an element inside the steel with the applied field at its
// integration points.
type steelElement struct {
	element int
	curve   Curve
	points  [gaussPoints]gaussPoint
	applied [gaussPoints][2]float64
}

// Solve finds the steel's magnetisation in the applied field. It gives up when the
// context is done.
func Solve(ctx context.Context, p Problem) (*Solution, error) {
	_, out, err := solved(ctx, p)
	return out, err
}

// solved is the system of a problem, completed, and its solution.
func solved(ctx context.Context, p Problem) (*system, *Solution, error) {
	p = p.complete()
	s, err := newSystem(ctx, p)
	if err != nil {
		return nil, nil, err
	}
	w, steps, err := s.newton(ctx)
	if err != nil {
		return nil, nil, err
	}
	return s, s.solution(w, steps), nil
}

func newSystem(ctx context.Context, p Problem) (*system, error) {
	m, err := newMesh(p)
	if err != nil {
		return nil, err
	}
	s := &system{problem: p, mesh: m}
	n := s.number(func(row, col, rows, cols int) bool { return row > 0 && row < rows-1 && col < cols-1 })
	s.pattern(n)
	if err := s.fill(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// number orders the nodes that are unknowns and returns how many there are.
func (s *system) number(keep func(row, col, rows, cols int) bool) int {
	cols, rows := 2*len(s.mesh.r)-1, 2*len(s.mesh.z)-1
	order := ldl.Dissect(rows, cols, func(row, col int) bool { return keep(row, col, rows, cols) })
	s.unknown = make([]int32, rows*cols)
	for i := range s.unknown {
		s.unknown[i] = -1
	}
	for k, node := range order {
		s.unknown[node] = int32(k)
	}
	return len(order)
}

func (s *system) elements() int { return (len(s.mesh.r) - 1) * (len(s.mesh.z) - 1) }

// nodesOf lists the unknowns of an element's nine nodes.
func (s *system) nodesOf(e int) (n [9]int32) {
	for i, node := range s.allNodes(e) {
		n[i] = s.unknown[node]
	}
	return n
}

// allNodes lists an element's nine nodes in the grid of nodes.
func (s *system) allNodes(e int) (n [9]int) {
	across := len(s.mesh.r) - 1
	cols := 2*len(s.mesh.r) - 1
	row, col := 2*(e/across), 2*(e%across)
	for b := range 3 {
		for a := range 3 {
			n[3*b+a] = (row+b)*cols + col + a
		}
	}
	return n
}

// box returns the borders of an element.
func (s *system) box(e int) (r0, r1, z0, z1 float64) {
	across := len(s.mesh.r) - 1
	i, j := e%across, e/across
	return s.mesh.r[i], s.mesh.r[i+1], s.mesh.z[j], s.mesh.z[j+1]
}

// pattern builds the upper triangle's pattern and each element's places in it.
func (s *system) pattern(n int) {
	columns := make([][]int32, n)
	for e := range s.elements() {
		nodes := s.nodesOf(e)
		for _, a := range nodes {
			for _, b := range nodes {
				if a >= 0 && b >= a {
					columns[b] = append(columns[b], a)
				}
			}
		}
	}
	p := ldl.Pattern{N: n, Start: make([]int32, n+1)}
	for j, c := range columns {
		slices.Sort(c)
		last := int32(-1)
		for _, r := range c {
			if r != last {
				p.Rows = append(p.Rows, r)
				last = r
			}
		}
		p.Start[j+1] = int32(len(p.Rows))
	}
	s.entry = make([]int32, s.elements()*45)
	for e := range s.elements() {
		nodes := s.nodesOf(e)
		k := e * 45
		for i := range 9 {
			for j := range i + 1 {
				a, b := min(nodes[i], nodes[j]), max(nodes[i], nodes[j])
				s.entry[k] = -1
				if a >= 0 {
					col := p.Rows[p.Start[b]:p.Start[b+1]]
					at := sort.Search(len(col), func(x int) bool { return col[x] >= a })
					s.entry[k] = p.Start[b] + int32(at)
				}
				k++
			}
		}
	}
	s.values = make([]float64, len(p.Rows))
	s.air = make([]float64, len(p.Rows))
	s.form = p
	s.factor = ldl.Analyse[float64](p)
}

// fill integrates the air elements and prepares the steel ones.
func (s *system) fill(ctx context.Context) error {
	s.diagonal = make([]float64, s.factor.Size())
	for e := range s.elements() {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("meshing the steel: %w", err)
		}
		r0, r1, z0, z1 := s.box(e)
		pts := points(r0, r1, z0, z1)
		for i, u := range s.nodesOf(e) {
			if u >= 0 {
				for q := range pts {
					s.diagonal[u] += pts[q].weight * (pts[q].br[i]*pts[q].br[i] + pts[q].bz[i]*pts[q].bz[i])
				}
			}
		}
		curve := s.curveAt((r0+r1)/2, (z0+z1)/2)
		if curve == nil {
			var k [45]float64
			for q := range pts {
				addStiffness(&k, &pts[q], 1, 1, 0)
			}
			s.add(s.air, e, &k)
			continue
		}
		el := steelElement{element: e, curve: curve, points: pts}
		for q := range pts {
			br, bz := s.problem.appliedAt(pts[q].r, pts[q].z)
			if math.IsNaN(br+bz) || math.IsInf(br+bz, 0) {
				return fmt.Errorf("steel problem: the applied field is not finite inside the steel at r = %g m, z = %g m; does copper or a magnet overlap it?", pts[q].r, pts[q].z)
			}
			el.applied[q] = [2]float64{br, bz}
		}
		s.steel = append(s.steel, el)
	}
	return nil
}

// curveAt is the steel at a point, nil in air.
func (s *system) curveAt(r, z float64) Curve {
	for _, g := range s.problem.Steel {
		if r > g.R0 && r < g.R1 && z > g.Z0 && z < g.Z1 {
			return g.Curve
		}
	}
	return nil
}

// addStiffness adds weight·(a b̂b̂ + …): the symmetric tensor with entries rr, zz, rz.
func addStiffness(k *[45]float64, p *gaussPoint, rr, zz, rz float64) {
	n := 0
	for i := range 9 {
		hr := p.weight * (rr*p.br[i] + rz*p.bz[i])
		hz := p.weight * (rz*p.br[i] + zz*p.bz[i])
		for j := range i + 1 {
			k[n] += hr*p.br[j] + hz*p.bz[j]
			n++
		}
	}
}

func (s *system) add(values []float64, e int, k *[45]float64) {
	for n, at := range s.entry[e*45 : e*45+45] {
		if at >= 0 {
			values[at] += k[n]
		}
	}
}

// newton finds w. The residual starts from the steel alone: in air it is linear
// in w and its matrix is known.
func (s *system) newton(ctx context.Context) (w []float64, steps int, err error) {
	n := s.factor.Size()
	w = make([]float64, n)
	residual := make([]float64, n)
	trial := make([]float64, n)
	load := s.residual(residual, w)
	norm := load
	if load == 0 {
		return w, 0, nil
	}
	for steps = 1; steps <= maxNewton; steps++ {
		if err := ctx.Err(); err != nil {
			return nil, steps, fmt.Errorf("solving the steel, Newton step %d: %w", steps, err)
		}
		s.tangent(w)
		if err := s.factor.Factor(s.values); err != nil {
			return nil, steps, fmt.Errorf("solving the steel, Newton step %d: %w", steps, err)
		}
		step := append([]float64(nil), residual...)
		s.factor.Solve(step)
		scale, next := 1.0, 0.0
		for {
			for i := range trial {
				trial[i] = w[i] - scale*step[i]
			}
			next = s.residual(residual, trial)
			if next < norm || scale < 1.0/1024 {
				break
			}
			scale /= 2
		}
		w, trial = trial, w
		norm = next
		if norm <= s.problem.Tolerance*load {
			return w, steps, nil
		}
	}
	return nil, steps, fmt.Errorf("solving the steel: residual %.1e of the load after %d Newton steps; the B–H curve may have a kink", norm/load, maxNewton)
}

// residual fills out with the equation's left side at w and returns its norm, each
// row weighed by its air stiffness so that the r³ weights do not drown the axis.
func (s *system) residual(out, w []float64) float64 {
	for i := range out {
		out[i] = 0
	}
	s.factor.Multiply(out, s.air, w)
	for k := range s.steel {
		el := &s.steel[k]
		nodes := s.nodesOf(el.element)
		for q := range el.points {
			p := &el.points[q]
			b0 := el.applied[q]
			br, bz, b := el.total(q, &nodes, w)
			h, slope := el.curve.H(b)
			nu := field.Mu0 * slope
			if b > 0 {
				nu = field.Mu0 * h / b
			}
			hr, hz := p.weight*(nu*br-b0[0]), p.weight*(nu*bz-b0[1])
			for i, u := range nodes {
				if u >= 0 {
					out[u] += hr*p.br[i] + hz*p.bz[i]
				}
			}
		}
	}
	var sum float64
	for i, v := range out {
		sum += v * v / s.diagonal[i]
	}
	return math.Sqrt(sum)
}

// total is the flux density at integration point q, applied and the steel's own, and
// its magnitude, for the element's unknowns at nodes.
func (el *steelElement) total(q int, nodes *[9]int32, w []float64) (br, bz, b float64) {
	p := &el.points[q]
	br, bz = el.applied[q][0], el.applied[q][1]
	for i, u := range nodes {
		if u >= 0 {
			br += w[u] * p.br[i]
			bz += w[u] * p.bz[i]
		}
	}
	return br, bz, math.Hypot(br, bz)
}

// tangent fills s.values with the derivative of the residual at w:
// dH/dB = ν I + (dH/d|B| − ν) b b^T/|b|².
func (s *system) tangent(w []float64) {
	copy(s.values, s.air)
	for k := range s.steel {
		el := &s.steel[k]
		nodes := s.nodesOf(el.element)
		var stiff [45]float64
		for q := range el.points {
			p := &el.points[q]
			br, bz, b := el.total(q, &nodes, w)
			h, slope := el.curve.H(b)
			slope *= field.Mu0
			nu, more := slope, 0.0
			if b > 0 {
				nu = field.Mu0 * h / b
				more = (slope - nu) / (b * b)
			}
			addStiffness(&stiff, p, nu+more*br*br, nu+more*bz*bz, more*br*bz)
		}
		s.add(s.values, el.element, &stiff)
	}
}
