package heat

import (
	"context"
	"math"
)

// implicitStepper is RODAS3, a linearly implicit method of third order with an
// error estimate, L-stable and exact at rest (A. Sandu et al., Atmos. Environ. 31
// (1997) 3459, coefficients from memory, their orders checked by a test). With
// A = C/(γh) + K + loss' − P' and F the net power, both at the start of the step,
//
//	A k_i = F(Y_i) + C/h Σ_j c_ij k_j ,   Y_i = T + Σ_j a_ij k_j ,   γ = 1/2
//
// It keeps any linear invariant, so the energy supplied and lost, carried along
// as two more unknowns, close to the tolerance of the linear solver.
type implicitStepper struct {
	n     *Network
	solve *linear
	k     [4][]float64
	y, b  []float64
	at    sample
}

const rodasTolerance = 1e-12

// The coefficients of RODAS3; a[3] is also the first three of the result's.
var (
	rodasA = [4][3]float64{{}, {}, {2, 0, 0}, {2, 0, 1}}
	rodasC = [4][3]float64{{}, {4, 0, 0}, {1, -1, 0}, {1, -1, -8.0 / 3}}
)

func newImplicitStepper(n *Network) *implicitStepper {
	s := &implicitStepper{n: n, solve: newLinear(n), at: newSample(n)}
	for i := range s.k {
		s.k[i] = make([]float64, n.nodes)
	}
	s.y = make([]float64, n.nodes)
	s.b = make([]float64, n.nodes)
	return s
}

// step advances by h and returns the estimated error in kelvin. On an error the
// state is unchanged.
func (s *implicitStepper) step(ctx context.Context, h float64, load Load) (estimate float64, err error) {
	n := s.n
	const γ = 0.5
	n.evaluate(&n.at, n.rise, load)
	n.noteRunaway(&n.at)
	for i, d := range n.at.slope {
		s.solve.diagonal[i] = n.capacity[i]/(γ*h) + d
	}
	o := n.p.Heated * n.pixels
	for p, g := range n.at.gain {
		s.solve.diagonal[o+p] -= g
	}
	s.solve.prepare()
	var in, out [4]float64 // the two energies' k
	for i := range s.k {
		at := &n.at
		copy(s.y, n.rise)
		for j := range i {
			if f := rodasA[i][j]; f != 0 {
				for q, v := range s.k[j] {
					s.y[q] += f * v
				}
			}
		}
		if i >= 2 {
			n.evaluate(&s.at, s.y, load)
			at = &s.at
		}
		n.netPower(s.b, at, s.y)
		for j := range i {
			if f := rodasC[i][j] / h; f != 0 {
				for q, v := range s.k[j] {
					s.b[q] += f * n.capacity[q] * v
				}
			}
		}
		k := s.k[i]
		clear(k)
		if err := s.solve.solve(ctx, k, s.b, rodasTolerance); err != nil {
			return math.Inf(1), err
		}
		in[i] = total(at.watts) + dot(n.at.gain, k[o:o+n.pixels])
		out[i] = total(at.loss) + dot(n.at.slope, k)
		for j := range i {
			in[i] += rodasC[i][j] / h * in[j]
			out[i] += rodasC[i][j] / h * out[j]
		}
		in[i] *= γ * h
		out[i] *= γ * h
	}
	for i, v := range s.k[3] {
		n.rise[i] = s.y[i] + v
		estimate = math.Max(estimate, math.Abs(v))
	}
	n.balance.book(2*in[0]+in[2]+in[3], 2*out[0]+out[2]+out[3])
	n.version++
	return estimate, nil
}

// netPower puts the power left to warm each node into f, in watts.
func (n *Network) netPower(f []float64, s *sample, rise []float64) {
	clear(f)
	n.addConduction(f, rise)
	for i, q := range s.loss {
		f[i] = -f[i] - q
	}
	o := n.p.Heated * n.pixels
	for p, w := range s.watts {
		f[o+p] += w
	}
}
