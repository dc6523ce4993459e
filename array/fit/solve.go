package fit

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Problem is what is to be fitted: unknowns x that are known before as independent of each
// other, each about 0 by one standard deviation of 1, and readings in units of their errors.
type Problem struct {
	Unknowns int
	// Misfit is (predicted − read)/error of every reading at x.
	Misfit func(ctx context.Context, x []float64) ([]float64, error)
	// Step is by how much x is moved each way to find slopes: far more than what the
	// prediction is rough by.
	Step float64
	// Close is how near to the answer is near enough, in standard errors.
	Close float64
	// Slips has it asked which readings are slips, from Huber's answer on: his loss lets a few
	// that are far off pull at the rest, and does not tell how unsure that leaves the answer.
	Slips bool
}

// Solution is the answer.
type Solution struct {
	X          []float64
	Misfit     []float64  // at X
	Slopes     *mat.Dense // of Misfit by x at X, a row per reading
	Covariance *mat.SymDense
	Doubted    []bool // readings that are too far off; with Slips they count for nothing
	Cost       float64
	Steps      int

	bound float64 // of the loss
}

// huber is from how many standard errors on a reading counts by its distance rather than by
// its square: P. J. Huber, Ann. Math. Statist. 35 (1964) 73, with the 1.345 that keeps 95 % of
// the efficiency on normal errors (from memory).
const huber = 1.345

// loss is Huber's with a bound, of a misfit, with its slope.
func loss(r, bound float64) (value, slope float64) {
	if a := math.Abs(r); a > bound {
		return bound*a - bound*bound/2, math.Copysign(bound, r)
	}
	return r * r / 2, r
}

func (s *Solution) cost(x, misfit []float64) (sum float64) {
	for i, r := range misfit {
		if !s.Doubted[i] {
			v, _ := loss(r, s.bound)
			sum += v
		}
	}
	return sum + floats.Dot(x, x)/2
}

// most bounds the steps of a fit.
const most = 200

// Solve minimises
//
//	Σ ρ(misfit) + Σ x²/2,  ρ Huber's loss
//
// by Levenberg's and Marquardt's method (D. W. Marquardt, J. SIAM 11 (1963) 431, from memory)
// on Newton's matrix without the readings' second derivatives. The covariance is the inverse
// of that matrix, in which a reading beyond Huber's bound tells nothing. With Slips it then
// minimises the squares of the readings that are none by the best of all guesses, and the
// covariance is that of all guesses together.
func Solve(ctx context.Context, p Problem) (*Solution, error) {
	s := &Solution{X: make([]float64, p.Unknowns), bound: huber}
	var err error
	if s.Misfit, err = p.Misfit(ctx, s.X); err != nil {
		return nil, err
	}
	s.Doubted = make([]bool, len(s.Misfit))
	if err := s.solve(ctx, p); err != nil {
		return nil, err
	}
	if !p.Slips {
		for i, r := range s.Misfit {
			s.Doubted[i] = math.Abs(r) > doubted
		}
		return s, nil
	}
	all, err := s.guesses()
	if err != nil {
		return nil, err
	}
	s.bound = math.Inf(1)
	const rounds = 6 // the best guess may be another around its own answer
	for range rounds {
		s.Doubted = all[0].out
		if err := s.solve(ctx, p); err != nil {
			return nil, err
		}
		if all, err = s.guesses(); err != nil {
			return nil, err
		}
		if err := s.follow(ctx, p, all); err != nil {
			return nil, err
		}
		if slices.Equal(all[0].out, s.Doubted) {
			break
		}
	}
	if s.Covariance, err = s.mixed(all); err != nil {
		return nil, fmt.Errorf("fitting: %w", err)
	}
	return s, nil
}

func (s *Solution) solve(ctx context.Context, p Problem) (err error) {
	s.Cost = s.cost(s.X, s.Misfit)
	damping, moved := 1e-3, math.Inf(1)
	for step := range most {
		s.Steps++
		stale := moved <= 0.05 && moved > p.Close // slopes have hardly changed; the end is on true ones
		if !stale {
			if s.Slopes, err = slopes(ctx, p, s.X, len(s.Misfit)); err != nil {
				return err
			}
		}
		if err := s.invert(); err != nil {
			return err
		}
		h, g := s.normal(s.bound, moved > 0.5 || step%20 > 15, s.Doubted) // now and then: a reading at Huber's bound may be in and out for ever
		moved = 0
		for ; damping < 1e8; damping *= 10 {
			x, err := stepped(s.X, h, g, damping)
			if err != nil {
				return err
			}
			misfit, err := p.Misfit(ctx, x)
			if err != nil {
				return err
			}
			c := s.cost(x, misfit)
			if rounding := 2e-15 * (1 + s.Cost); !(c <= s.Cost+rounding) {
				continue
			}
			for k := range x {
				moved = max(moved, math.Abs(x[k]-s.X[k])/math.Sqrt(s.Covariance.At(k, k)))
			}
			s.X, s.Misfit, s.Cost = x, misfit, c
			break
		}
		damping = min(max(damping/10, 1e-12), 1)
		if stale || moved > p.Close {
			continue
		}
		return s.invert()
	}
	return fmt.Errorf("fitting: no end after %d steps, the last moved an unknown by %.2g of its error; readings that contradict each other, or a prediction that jumps", most, moved)
}

// stepped is x after a damped step.
func stepped(x []float64, h *mat.SymDense, g *mat.VecDense, damping float64) ([]float64, error) {
	n := len(x)
	a := mat.NewSymDense(n, nil)
	a.CopySym(h)
	for k := range n {
		a.SetSym(k, k, a.At(k, k)*(1+damping))
	}
	var c mat.Cholesky
	var step mat.VecDense
	if !c.Factorize(a) {
		return nil, fmt.Errorf("fitting: the readings' slopes are not finite at %.3g", x)
	}
	if err := c.SolveVecTo(&step, g); err != nil {
		return nil, fmt.Errorf("fitting: %w", err)
	}
	out := make([]float64, n)
	floats.SubTo(out, x, step.RawVector().Data)
	return out, nil
}

// invert sets the covariance.
func (s *Solution) invert() error {
	h, _ := s.normal(s.bound, false, s.Doubted)
	var c mat.Cholesky
	if !c.Factorize(h) {
		return fmt.Errorf("fitting: the readings' slopes are not finite at %.3g", s.X)
	}
	s.Covariance = mat.NewSymDense(len(s.X), nil)
	if err := c.InverseTo(s.Covariance); err != nil {
		return fmt.Errorf("fitting: %w", err)
	}
	return nil
}

// doubted is from how many errors on a reading is rather a slip: one in 370 good ones is.
const doubted = 3.0

// normal is Newton's matrix and the slope of the cost with a bound of the loss, some readings
// left out. Far from the answer a reading beyond
// Huber's bound counts by the parabola that touches its loss, which never leads astray.
func (s *Solution) normal(bound float64, far bool, out []bool) (*mat.SymDense, *mat.VecDense) {
	n := len(s.X)
	h, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for k, x := range s.X {
		h.SetSym(k, k, 1)
		g.SetVec(k, x)
	}
	for i, r := range s.Misfit {
		if out[i] {
			continue
		}
		row := s.Slopes.RawRowView(i)
		_, slope := loss(r, bound)
		weight := 1.0
		if a := math.Abs(r); a > bound {
			weight = 0
			if far {
				weight = bound / a
			}
		}
		for k, v := range row {
			g.SetVec(k, g.AtVec(k)+v*slope)
			for m := range k + 1 {
				h.SetSym(k, m, h.At(k, m)+weight*v*row[m])
			}
		}
	}
	return h, g
}

// slopes are those of all readings by all unknowns, by central differences.
func slopes(ctx context.Context, p Problem, x []float64, readings int) (*mat.Dense, error) {
	out := mat.NewDense(readings, max(p.Unknowns, 1), nil)
	for k := range x {
		at := append([]float64(nil), x...)
		at[k] = x[k] + p.Step
		up, err := p.Misfit(ctx, at)
		if err != nil {
			return nil, err
		}
		at[k] = x[k] - p.Step
		down, err := p.Misfit(ctx, at)
		if err != nil {
			return nil, err
		}
		for i := range up {
			out.Set(i, k, (up[i]-down[i])/(2*p.Step))
		}
	}
	return out, nil
}
