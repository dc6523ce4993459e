package iron

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Answer is what a piece of steel about the z axis, a pin or a disc, adds to a stray
// field that comes from beside it: linear, or linearised about a bias.
//
// A stray field that has no source in the steel is harmonic there. About the axis it
// splits into orders of the angle; of its answer only the order 0 has an axial field on
// the axis and only the order 1 a transverse one, so for a thin piece these two do. Wide
// steel needs more, for what stands beside it. Each is known throughout from f(z), by the
// series
//
//	Bz = Σ (−1)^k r^{2k} f^{(2k)}(z)/(4^k k!²)                           order 0, f = Bz on the axis
//	ψ ∝ cos mφ Σ (−1)^k r^{2k+m} m! f^{(2k)}(z)/(4^k k!(k+m)! a^{m−1})   order m
//
// with f = Bx on the axis in order 1; in order m, a being Radius, the radial field is
// m f cos mφ at r = a for an f that does not change with the height;
// and f is taken for a polynomial through its values at a few heights (Nodes). The
// answer to each power is found by finite elements for the scalar potential on the mesh
// of Solve: the total potential in the steel, where the reduced one would lose its
// digits to cancellation, the reduced one outside (J. Simkin and C. W. Trowbridge, Int.
// J. Numer. Methods Eng. 14 (1979) 423; from memory), joined on the steel's surface.
type Answer struct {
	nodes     []float64 // heights, m
	low, span float64   // ζ = (z − low)/span
	fit       *mat.Dense
	orders    [][]parts // by order, power
	radius    float64   // m
	sheet     *Region
}

// AnswerProblem is the steel that answers.
type AnswerProblem struct {
	// Steel answers; a disc, a core, or both.
	Steel []Region
	// Sheet, if given, is a disc that stands for a wide linear sheet behind the steel,
	// touching it. The stray field holds its answer to all else already; its answer to
	// this steel is taken exactly (Slab).
	Sheet *Region
	// Bias is the state that the steel is linearised about, solved by Solve or
	// SolveWide for the same regions, Sheet first; nil stands for no field.
	Bias *Solution
	// Scale is the size that the mesh is made for, m; with a Bias that of its problem.
	Scale float64
	// Powers is how many powers of the height each order has; 0 = 3.
	Powers int
	// Nodes is the most nodes of the mesh, if the shape allows; 0 = 5,000.
	Nodes int
	// Orders is how many orders of the angle are answered, 2 to 7; 0 = 2.
	Orders int
}

const mostAnswerNodes = 40_000

// NewAnswer solves for the answers.
func NewAnswer(ctx context.Context, a AnswerProblem) (*Answer, error) {
	a.Powers = cmp.Or(a.Powers, 3)
	a.Nodes = cmp.Or(a.Nodes, 5_000)
	a.Orders = cmp.Or(a.Orders, 2)
	p := Problem{Applied: field.Sum{}, Scale: a.Scale, Nodes: a.Nodes}
	if a.Sheet != nil {
		p.Steel = append(p.Steel, *a.Sheet)
	}
	p.Steel = append(p.Steel, a.Steel...)
	if a.Bias != nil {
		p = a.Bias.problem
		p.Applied = field.Sum{}
	}
	p = p.complete()
	m, err := newMesh(p)
	for ; err != nil && a.Bias == nil && p.Nodes < mostAnswerNodes; m, err = newMesh(p) {
		p.Nodes *= 2 // thin against wide steel
	}
	if err != nil {
		return nil, err
	}
	out := &Answer{sheet: a.Sheet}
	low, high, radius := math.Inf(1), math.Inf(-1), 0.0
	for _, g := range a.Steel {
		low, high, radius = min(low, g.Z0), max(high, g.Z1), max(radius, g.R1)
	}
	// Powers along the axis make the field beside it: the heights span the steel, or
	// half its radius where that is more.
	out.low, out.span = (low+high)/2, max((high-low)/2, radius/2)
	n := a.Powers
	vandermonde := mat.NewDense(n, n, nil)
	for i := range n {
		u := -math.Cos(math.Pi * (float64(i) + 0.5) / float64(n)) // Chebyshev's nodes
		out.nodes = append(out.nodes, out.low+out.span*u)
		for j := range n {
			vandermonde.Set(i, j, math.Pow(u, float64(j)))
		}
	}
	out.fit = mat.NewDense(n, n, nil)
	if err := out.fit.Inverse(vandermonde); err != nil {
		return nil, fmt.Errorf("answering a stray field with %d powers: %w", n, err)
	}
	out.radius, out.orders = radius, make([][]parts, a.Orders)
	for order := range a.Orders {
		s := &answering{problem: a, mesh: m, order: order, out: out}
		if err := s.solve(ctx); err != nil {
			return nil, fmt.Errorf("answering a stray field of order %d: %w", order, err)
		}
	}
	return out, nil
}

// Nodes are the heights (m) on the axis at which the stray field is asked for.
func (a *Answer) Nodes() []float64 { return a.nodes }

// Powers is the number of powers of each order.
func (a *Answer) Powers() int { return len(a.nodes) }

// Coefficients turns a component of the stray field at Nodes into its powers'.
func (a *Answer) Coefficients(dst, atNodes []float64) {
	for i := range dst {
		dst[i] = 0
		for k, v := range atNodes {
			dst[i] += a.fit.At(i, k) * v
		}
	}
}

// Orders is the number of orders of the angle, Radius the a (m) that they are told for.
func (a *Answer) Orders() int     { return len(a.orders) }
func (a *Answer) Radius() float64 { return a.radius }

// Of is the field that the steel adds to a stray field of an order whose f(z) is the power
// ((z − middle)/span)^k tesla.
func (a *Answer) Of(order, power int) field.Source { return a.orders[order][power].whole }

// Far is Of as seen from so far (m) from the steel, and from farther, with fewer parts.
func (a *Answer) Far(order, power int, away float64) field.Source {
	p := a.orders[order][power]
	return a.withSheet(p.far(away), p.far, away)
}

// parts is the answer to a power: all of it, and its magnetisation as seen from afar.
type parts struct {
	whole field.Source
	far   func(away float64) field.Source
}

// withSheet adds the sheet's answer to the steel's, seen from away and farther.
func (a *Answer) withSheet(steel field.Source, far func(away float64) field.Source, away float64) field.Source {
	g := a.sheet
	if g == nil {
		return steel
	}
	first := true
	slab := NewSlabFrom(func(depth float64) field.Source {
		if first {
			first = false
			return steel
		}
		return far(max(2*g.Z1-depth, away))
	}, g.Z1, g.Z1-g.Z0, InitialMuR(g.Curve))
	return field.Sum{steel, slab}
}

// potential is −µ0 ψ of a power at (r, z), the amplitude over the angle: the potential
// whose gradient is the stray field.
func (a *Answer) potential(order, power int, r, z float64) float64 {
	u := (z - a.low) / a.span
	// f and its even derivatives, a power: of ψ for order 0, of Bx for order 1.
	n, c := power, 1.0
	if order == 0 {
		n, c = power+1, a.span/float64(power+1)
	}
	sum, radial := 0.0, 1.0
	if order > 0 {
		radial = r * math.Pow(r/a.radius, float64(order-1))
	}
	for k := 0; n >= 0; k++ {
		sum += c * math.Pow(u, float64(n)) * radial
		c *= float64(n*(n-1)) / (a.span * a.span)
		n -= 2
		radial *= -r * r / (4 * float64(k+1) * float64(k+1+order))
	}
	return sum
}

// fan is a ring of dipoles of order m: components mr cos mφ, mp sin mφ, mz cos mφ along r,
// φ and z, each times the section dr dz, A·m.
type fan struct{ r, z, mr, mp, mz float64 }

// fans is a field.Source made of them.
type fans struct {
	order int
	list  []fan
}

// spokes is the number of places around that a fan is summed over, of an order of mostOrders
// at most; outside the steel what the sum is off falls as the power spokes − m of the radii's
// ratio, the field itself as the power m.
const spokes, mostOrders = 16, 6

// spoke are cos mφ and sin mφ around, by m − 1.
var spoke = func() (s [mostOrders][spokes][2]float64) {
	for m := range s {
		for i := range s[m] {
			s[m][i][1], s[m][i][0] = math.Sincos(float64(m+1) * 2 * math.Pi * (float64(i) + 0.5) / spokes)
		}
	}
	return s
}()

// B implements field.Source. On the plane y = 0, and in order 1 on x = 0, half the spokes do,
// the others mirror them.
func (f fans) B(p r3.Vec) r3.Vec {
	var b r3.Vec
	var keep r3.Vec
	skip := -1
	switch {
	case p.Y == 0:
		keep, skip = r3.Vec{X: 2, Z: 2}, 1
	case p.X == 0 && f.order == 1:
		keep, skip = r3.Vec{X: 2}, 0
	}
	for _, g := range f.list {
		w := 2 * math.Pi / spokes * g.r
		for i, u := range spoke[0] {
			if skip >= 0 && u[skip] < 0 {
				continue
			}
			c, s := u[0], u[1]
			mr, mp, mz := w*g.mr*spoke[f.order-1][i][0], w*g.mp*spoke[f.order-1][i][1], w*g.mz*spoke[f.order-1][i][0]
			m := r3.Vec{X: mr*c - mp*s, Y: mr*s + mp*c, Z: mz}
			b = r3.Add(b, field.Dipole{Moment: m, Center: r3.Vec{X: g.r * c, Y: g.r * s, Z: g.z}}.B(p))
		}
	}
	if skip >= 0 {
		return r3.Vec{X: keep.X * b.X, Z: keep.Z * b.Z}
	}
	return b
}

// from returns fans that stand for f at points at least so far (m) from all of it: the
// dipoles within a sixth of that distance along z and a third of it along r on one ring,
// with their place along z and, in order m, the (m − 1)-th moment in r of those across and
// the m-th of the axial ones.
func (f fans) from(away float64) fans {
	type layer struct{ size, z, r2, mr, mp, mz float64 }
	layers := map[[2]int]*layer{}
	var order [][2]int
	for _, g := range f.list {
		at := [2]int{int(math.Floor(g.z / (away / 6))), int(g.r / (away / 3))}
		y := layers[at]
		if y == nil {
			y = &layer{}
			layers[at] = y
			order = append(order, at)
		}
		w := math.Abs(g.r * (g.mr - g.mp))
		y.size += w
		y.z += w * g.z
		y.r2 += w * g.r * g.r
		lever := math.Pow(g.r, float64(f.order))
		y.mr += lever * g.mr
		y.mp += lever * g.mp
		y.mz += lever * g.r * g.mz
	}
	out := fans{order: f.order}
	for _, at := range order {
		if y := layers[at]; y.size > 0 {
			a := math.Sqrt(y.r2 / y.size)
			lever := math.Pow(a, float64(f.order))
			out.list = append(out.list, fan{a, y.z / y.size, y.mr / lever, y.mp / lever, y.mz / (lever * a)})
		}
	}
	return out
}
