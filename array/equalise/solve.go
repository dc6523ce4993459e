package equalise

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// Result is how near the picture was met.
type Result struct {
	Levels        []float64
	RMS, Worst    float64 // the misses against the target, T
	AtLow, AtHigh int     // levels at their limits

	// Gap bounds how much lower f could be at all, as a share of ½Σ(t − bias)².
	Gap       float64
	Converged bool
}

func (s *Solver) bias(k int) float64 {
	if s.p.Bias == nil {
		return 0
	}
	return s.p.Bias[k]
}

func (s *Solver) naive(levels, target []float64) {
	for k, t := range target {
		levels[k] = min(max((t-s.bias(k))/s.own, s.p.Low), s.p.High)
	}
}

// Judge tells how near given levels come to a target, without changing them.
func (s *Solver) Judge(levels, target []float64) Result {
	s.misses(levels, target)
	return s.result(levels, target)
}

// misses fills s.r for levels.
func (s *Solver) misses(levels, target []float64) {
	s.apply(s.r, levels)
	for k, t := range target {
		s.r[k] += s.bias(k) - t
	}
}

// Solve finds levels for a target, one value per pixel in tesla, starting
// from start (the levels of the frame before, say); nil starts from Naive. The result's
// Levels are its own. It gives up when the context is done.
func (s *Solver) Solve(ctx context.Context, target, start []float64) (Result, error) {
	x := make([]float64, s.n)
	if start == nil {
		s.naive(x, target)
	} else {
		for k, v := range start {
			x[k] = min(max(v, s.p.Low), s.p.High)
		}
	}
	s.misses(x, target)
	for step := range maxIterations {
		if err := ctx.Err(); err != nil {
			return Result{}, fmt.Errorf("equalise: Newton step %d: %w", step+1, err)
		}
		s.apply(s.g, s.r)
		if s.done(x, target) {
			break
		}
		s.release(x)
		if err := s.newton(ctx, s.projected(x)); err != nil {
			return Result{}, err
		}
		if moved, err := s.search(ctx, x); err != nil {
			return Result{}, err
		} else if !moved { // rounding: no step along the Newton direction makes it better
			break
		}
		s.misses(x, target)
	}
	return s.result(x, target), nil
}

// done tells whether the present gradient is proof enough.
func (s *Solver) done(x, target []float64) bool {
	return s.gap(x) <= s.p.Tolerance*s.reference(target)
}

// gap is Σ max(g(x−l), g(x−u)).
func (s *Solver) gap(x []float64) float64 {
	sum := 0.0
	for k, g := range s.g {
		sum += max(g*(x[k]-s.p.Low), g*(x[k]-s.p.High))
	}
	return sum
}

// reference is ½Σ(t − bias)², what no drive at all leaves, and no less than a millionth
// of full level everywhere would make.
func (s *Solver) reference(target []float64) float64 {
	sum := 0.0
	for k, t := range target {
		t -= s.bias(k)
		sum += t * t
	}
	return max(sum, 1e-12*s.own*s.own*float64(s.n)) / 2
}

// projected is the largest change that a gradient step of a pixel's own length makes.
func (s *Solver) projected(x []float64) float64 {
	most := 0.0
	for k, g := range s.g {
		to := min(max(x[k]-g/(s.own*s.own), s.p.Low), s.p.High)
		most = max(most, math.Abs(to-x[k]))
	}
	return most
}

// release marks the levels that may move: not those at a limit that the gradient pushes
// further out, nor those about to reach one.
func (s *Solver) release(x []float64) {
	near := min(1e-3, s.projected(x))
	for k, g := range s.g {
		room := near * (s.p.High - s.p.Low)
		s.free[k] = s.p.High > s.p.Low && !(g > 0 && x[k] <= s.p.Low+room || g < 0 && x[k] >= s.p.High-room)
	}
}

// newton solves the second-order model on the free levels for the step s.d, by conjugate
// gradients on the levels divided by the model's diagonal, the more exactly the nearer
// the end is; levels that are not free go with the gradient to their limit.
func (s *Solver) newton(ctx context.Context, near float64) error {
	clear(s.d)
	for k := range s.cr {
		s.cr[k], s.cz[k] = 0, 0
		if s.free[k] {
			s.cr[k] = -s.g[k]
			s.cz[k] = s.cr[k] / s.diag[k]
		}
	}
	copy(s.cp, s.cz)
	rho := floats.Dot(s.cr, s.cz)
	// Roughly while the levels at limits still change, to rounding at the end.
	stop := rho * min(max(math.Pow(near, 4), 1e-24), 1e-4)
	for range 300 {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("equalise: conjugate gradients: %w", err)
		}
		if rho <= stop || rho == 0 {
			break
		}
		s.apply(s.work, s.cp)
		s.apply(s.cq, s.work)
		curve := 0.0
		for k := range s.cq {
			if !s.free[k] {
				s.cq[k] = 0
				continue
			}
			curve += s.cq[k] * s.cp[k]
		}
		if !(curve > 0) {
			break
		}
		alpha := rho / curve
		floats.AddScaled(s.d, alpha, s.cp)
		floats.AddScaled(s.cr, -alpha, s.cq)
		floats.DivTo(s.cz, s.cr, s.diag)
		next := floats.Dot(s.cr, s.cz)
		for k, v := range s.cz {
			s.cp[k] = v + next/rho*s.cp[k]
		}
		rho = next
	}
	for k, g := range s.g {
		if !s.free[k] {
			s.d[k] = -g / s.diag[k]
		}
	}
	return nil
}

// search moves x along s.d, bent at the limits, by the first of 1, ½, ¼, … of the step
// that lowers f enough; x stays where none does.
func (s *Solver) search(ctx context.Context, x []float64) (moved bool, err error) {
	for step := 1.0; step > 1e-9; step /= 2 {
		if err := ctx.Err(); err != nil {
			return false, fmt.Errorf("equalise: trying a step: %w", err)
		}
		promise := 0.0
		for k, v := range x {
			s.trial[k] = min(max(v+step*s.d[k], s.p.Low), s.p.High)
			promise += s.g[k] * (v - s.trial[k])
		}
		enough := s.lowers(x, promise)
		if enough {
			copy(x, s.trial)
			return true, nil
		}
	}
	return false, nil
}

// lowers tells whether f falls from x to s.trial by a fair part of what the gradient
// promises: the change is gᵀd + ½|Ad|², which near the end is far below the rounding of f
// itself.
func (s *Solver) lowers(x []float64, promise float64) bool {
	const fair = 1e-4
	if !(promise > 0) {
		return false
	}
	for k, v := range x {
		s.cp[k] = s.trial[k] - v
	}
	s.apply(s.work, s.cp)
	return floats.Dot(s.work, s.work)/2-promise <= -fair*promise
}

// result judges x with s.r filled for it.
func (s *Solver) result(x, target []float64) Result {
	s.apply(s.g, s.r)
	out := Result{Levels: append([]float64(nil), x...), Gap: s.gap(x) / s.reference(target), Converged: s.done(x, target)}
	for k, r := range s.r {
		out.RMS += r * r / float64(s.n)
		out.Worst = max(out.Worst, math.Abs(r))
		if x[k] <= s.p.Low {
			out.AtLow++
		}
		if x[k] >= s.p.High {
			out.AtHigh++
		}
	}
	out.RMS = math.Sqrt(out.RMS)
	return out
}
