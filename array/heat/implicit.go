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
	x     [4][][]float64 // the same of the coil's stages
	start [][]float64    // the stages at the start
	rest  []float64      // K per pixel: what the stages add, but for this k
	y, b  []float64
	at    sample
}

const rodasTolerance = 1e-11

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
	for i := range s.x {
		for range n.coil.stages {
			s.x[i] = append(s.x[i], make([]float64, n.pixels))
		}
	}
	s.rest = make([]float64, n.pixels)
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
	for i, d := range n.at.slope {
		s.solve.diagonal[i] = n.capacity[i]/(γ*h) + d
	}
	o := n.p.Heated * n.pixels
	// The stages' equations (1/(γh) + 1/τ) x = b + P'/τ T, T = T_node + Σ Mean x, are
	// solved for x and put into the node's.
	through, direct := make([]float64, len(n.coil.stages)), 0.0
	for k, st := range n.coil.stages {
		through[k] = 1 / (1/(γ*h) + 1/st.Time)
		direct += st.Mean * through[k] / st.Time
	}
	s.start = n.coil.save(s.start)
	gain := func(p int) float64 { return n.at.gain[p] / (1 - n.at.gain[p]*direct) }
	for p := range n.at.gain {
		s.solve.diagonal[o+p] -= gain(p)
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
		for k, x := range n.coil.state {
			copy(x, s.start[k])
			for j := range i {
				if f := rodasA[i][j]; f != 0 {
					for p, v := range s.x[j][k] {
						x[p] += f * v
					}
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
		clear(s.rest)
		for k, st := range n.coil.stages {
			b, x, rate := s.x[i][k], n.coil.state[k], 1/st.Time
			for p, w := range at.watts[:len(b)] {
				b[p] = rate * (w - x[p])
			}
			for j := range i {
				f := rodasC[i][j] / h
				for p, v := range s.x[j][k][:len(b)] {
					b[p] += f * v
				}
			}
			f := st.Mean * through[k]
			for p, v := range b {
				s.rest[p] += f * v
			}
		}
		for p, r := range s.rest {
			s.b[o+p] += gain(p) * r
		}
		k := s.k[i]
		clear(k)
		if err := s.solve.solve(ctx, k, s.b, rodasTolerance); err != nil {
			n.coil.restore(s.start)
			return math.Inf(1), err
		}
		in[i] = total(at.watts)
		for p, r := range s.rest {
			s.rest[p] = n.at.gain[p] * (k[o+p] + r) / (1 - n.at.gain[p]*direct)
			in[i] += s.rest[p]
		}
		for q, st := range n.coil.stages {
			f, x, rate := through[q], s.x[i][q], 1/st.Time
			for p, more := range s.rest[:len(x)] {
				x[p] = f * (x[p] + rate*more)
			}
		}
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
	for k, x := range n.coil.state {
		most := 0.0
		for p, v := range s.x[3][k] {
			x[p] += v
			most = math.Max(most, math.Abs(v))
		}
		estimate = math.Max(estimate, most*math.Abs(n.coil.stages[k].Mean))
	}
	n.balance.book(2*in[0]+in[2]+in[3], 2*out[0]+out[2]+out[3])
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
