package heat

import (
	"context"
	"errors"
	"math"
	"slices"
)

// linear solves (D + K) x = b for the whole board: K the conduction, D a diagonal
// that holds capacities, slopes of loss and of power. It uses conjugate gradients
// (M. R. Hestenes, E. Stiefel, J. Res. NBS 49 (1952) 409), preconditioned by the
// same system with every layer's average values, which cosine modes solve
// exactly, which needs a handful of iterations.
type linear struct {
	n          *Network
	plane      *plane
	diagonal   []float64 // W/K per node
	pivot      []float64 // inverse pivots of the averaged system per mode
	lower      []float64 // multipliers
	weight     []float64 // of each mode in the inverse transform
	along      []float64 // Laplacian eigenvalues per mode
	downwards  []float64
	r, z, p, q []float64
}

// errIndefinite tells that D + K is not positive definite: heating outruns cooling.
var errIndefinite = errors.New("heat: heating feeds itself faster than the board cools")

// errStalled tells that the iterations did not reach the tolerance.
var errStalled = errors.New("heat: the linear solver did not converge")

const maxIterations = 500

func newLinear(n *Network) *linear {
	s := &linear{n: n, plane: newPlane(n.rows, n.cols)}
	for _, v := range []*[]float64{&s.diagonal, &s.pivot, &s.lower, &s.r, &s.z, &s.p, &s.q} {
		*v = make([]float64, n.nodes)
	}
	for _, v := range []*[]float64{&s.weight, &s.along, &s.downwards} {
		*v = make([]float64, n.pixels)
	}
	s.plane.each(func(m int, along, down, weight float64) {
		s.along[m], s.downwards[m], s.weight[m] = along, down, weight
	})
	return s
}

// prepare factors the averaged system for the present diagonal.
func (s *linear) prepare() {
	n := s.n
	var d, ge, gs, gd [MaxLayers]float64
	for l := range n.layers {
		lo := l * n.pixels
		size := 0.0
		for p := range n.pixels {
			d[l] += s.diagonal[lo+p]
			size += math.Abs(s.diagonal[lo+p])
			ge[l] += n.east[lo+p]
			gs[l] += n.south[lo+p]
			gd[l] += n.down[lo+p]
		}
		k := 1 / float64(n.pixels)
		// The average must be positive for the preconditioner to be; where the
		// copper's feedback makes it otherwise, a small one does.
		d[l] = math.Max(d[l]*k, 1e-6*(size+gd[l]+ge[l]+gs[l])*k+1e-12)
		ge[l] *= float64(n.cols) / float64(max(n.cols-1, 1)) * k
		gs[l] *= float64(n.rows) / float64(max(n.rows-1, 1)) * k
		gd[l] *= k
	}
	m := n.pixels
	for j := range m {
		before := 0.0
		for l := range n.layers {
			v := d[l] + ge[l]*s.along[j] + gs[l]*s.downwards[j] + gd[l]
			if l > 0 {
				v += gd[l-1]
				f := gd[l-1] * before
				s.lower[l*m+j] = f
				v -= gd[l-1] * f
			}
			before = 1 / v
			s.pivot[l*m+j] = before
		}
	}
}

// precondition solves the averaged system for r into z.
func (s *linear) precondition(z, r []float64) {
	n := s.n
	m := n.pixels
	for l := range n.layers {
		s.plane.forward(z[l*m:][:m], r[l*m:][:m])
		if l > 0 {
			addProduct(z[l*m:][:m], s.lower[l*m:][:m], z[(l-1)*m:][:m])
		}
	}
	for l := n.layers - 1; l >= 0; l-- {
		x := z[l*m:][:m]
		pivot := s.pivot[l*m:][:m]
		for j := range x {
			x[j] *= pivot[j]
		}
		if l+1 < n.layers {
			// The link over the pivot is the multiplier of the next layer.
			addProduct(x, s.lower[(l+1)*m:][:m], z[(l+1)*m:][:m])
		}
	}
	for l := range n.layers {
		x := z[l*m:][:m]
		for j, w := range s.weight {
			x[j] *= w
		}
		copy(s.q[:m], x)
		s.plane.inverse(x, s.q[:m])
	}
}

// apply puts (D + K) x into y.
func (s *linear) apply(y, x []float64) {
	for i, d := range s.diagonal {
		y[i] = d * x[i]
	}
	s.n.addConduction(y, x)
}

// addConduction adds K x to y: what each node conducts to its neighbours, in
// watts for rises in kelvin.
func (n *Network) addConduction(y, x []float64) {
	m := n.pixels
	for l := range n.layers {
		lo := l * m
		for r := range n.rows {
			o := lo + r*n.cols
			u, v, g := x[o:o+n.cols], y[o:o+n.cols], n.east[o:o+n.cols]
			for c := 1; c < len(u); c++ {
				f := g[c-1] * (u[c-1] - u[c])
				v[c-1] += f
				v[c] -= f
			}
			if r+1 == n.rows {
				break
			}
			un, vn, gs := x[o+n.cols:o+2*n.cols], y[o+n.cols:o+2*n.cols], n.south[o:o+n.cols]
			for c, a := range u {
				f := gs[c] * (a - un[c])
				v[c] += f
				vn[c] -= f
			}
		}
		if l+1 == n.layers {
			break
		}
		u, un, g := x[lo:lo+m], x[lo+m:lo+2*m], n.down[lo:lo+m]
		v, vn := y[lo:lo+m], y[lo+m:lo+2*m]
		for p, a := range u {
			f := g[p] * (a - un[p])
			v[p] += f
			vn[p] -= f
		}
	}
}

// solve puts the solution for b into x, to a residual of tolerance times b in
// the Euclidean norm. x is the starting guess.
func (s *linear) solve(ctx context.Context, x, b []float64, tolerance float64) error {
	if slices.Contains(s.diagonal, math.Inf(-1)) { // a coil that feeds itself faster than its stages pass heat on
		return errIndefinite
	}
	goal := tolerance * norm(b)
	s.apply(s.r, x)
	for i := range s.r {
		s.r[i] = b[i] - s.r[i]
	}
	if norm(s.r) <= goal {
		return nil
	}
	s.precondition(s.z, s.r)
	copy(s.p, s.z)
	rz := dot(s.r, s.z)
	for range maxIterations {
		if err := ctx.Err(); err != nil {
			return err
		}
		s.apply(s.q, s.p)
		curvature := dot(s.p, s.q)
		if !(curvature > 0) {
			if curvature == 0 || math.IsNaN(curvature) {
				return errStalled
			}
			return errIndefinite
		}
		f := rz / curvature
		for i, p := range s.p {
			x[i] += f * p
			s.r[i] -= f * s.q[i]
		}
		if norm(s.r) <= goal {
			return nil
		}
		s.precondition(s.z, s.r)
		next := dot(s.r, s.z)
		f = next / rz
		rz = next
		for i, z := range s.z {
			s.p[i] = z + f*s.p[i]
		}
	}
	return errStalled
}

func dot(a, b []float64) (sum float64) {
	b = b[:len(a)]
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

// addProduct adds a·b to out, element by element.
func addProduct(out, a, b []float64) {
	a = a[:len(out)]
	b = b[:len(out)]
	for i := range out {
		out[i] += a[i] * b[i]
	}
}

func total(v []float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}
