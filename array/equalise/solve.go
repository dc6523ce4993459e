package equalise

import (
	"context"
	"fmt"
	"math"

	"lodegrid/field/root"

	"gonum.org/v1/gonum/floats"
)

// Result is how near the picture was met.
type Result struct {
	Levels []float64
	// RMS and Worst are the misses against the target, T or Pa; Pixel is where the worst
	// is.
	RMS, Worst float64
	Pixel      int
	// Squares is Σ level²: times the heat of one pixel at level 1 with smooth current it
	// is the copper's heat.
	Squares       float64
	AtLow, AtHigh int // levels at their limits

	// Gap bounds, for Axial, how much lower f could be at all, as a share of ½Σ(t −
	// F(bias))²; NaN otherwise.
	Gap float64
	// Gradient is the largest step, as a share of full level, that one projected gradient
	// step of the length right for a pixel alone would still make.
	Gradient   float64
	Converged  bool
	Iterations int // Newton steps
	Products   int // convolutions
}

func (s *Solver) naive(levels, target []float64) {
	for k, t := range target {
		want := t
		if s.p.Quantity == Pressure {
			want = s.strengthFor(t)
		}
		side, bias := 0.0, 0.0
		if s.p.Bias[2] != nil {
			bias = s.p.Bias[2][k]
		}
		if s.p.Quantity != Axial {
			for c := range 2 {
				if s.p.Bias[c] != nil {
					side += s.p.Bias[c][k] * s.p.Bias[c][k]
				}
			}
			want = math.Sqrt(math.Max(want*want-side, 0))
			if bias < 0 {
				want = -want // the nearer way
			}
		}
		levels[k] = 0
		if gain := s.gain(k); gain != 0 {
			levels[k] = (want - bias) / (s.own * gain)
		}
		levels[k] = min(max(levels[k], s.low[k]), s.high[k])
	}
}

// strengthFor is the |B| at which the fluid's pressure is pi.
func (s *Solver) strengthFor(pi float64) float64 {
	if !(pi > 0) {
		return 0
	}
	low, high := 0.0, 1e-3
	for s.p.Fluid.Pi(high) < pi && high < 100 {
		high *= 2
	}
	low, _ = root.Boundary(func(b float64) bool { return s.p.Fluid.Pi(b) < pi }, low, high, 0)
	return low
}

// Judge tells how near given levels come to a target, without changing them.
func (s *Solver) Judge(levels, target []float64) (Result, error) {
	if err := check("target", target, s.n); err != nil {
		return Result{}, err
	}
	if err := check("level", levels, s.n); err != nil {
		return Result{}, err
	}
	s.products = 0
	if _, err := s.misses(levels, target); err != nil {
		return Result{}, err
	}
	return s.result(levels, target)
}

// misses fills s.field and s.r for levels and returns f.
func (s *Solver) misses(levels, target []float64) (float64, error) {
	if err := s.apply(&s.field, levels); err != nil {
		return 0, err
	}
	for c, b := range s.p.Bias {
		if b != nil {
			floats.Add(s.field[c], b)
		}
	}
	f := 0.0
	for k, t := range target {
		s.r[k] = s.response(k) - t
		f += s.r[k] * s.r[k]
	}
	if w := s.weight(); w > 0 {
		f += w * floats.Dot(levels, levels)
	}
	return f / 2, nil
}

func (s *Solver) size(k int) float64 {
	return math.Sqrt(s.field[0][k]*s.field[0][k] + s.field[1][k]*s.field[1][k] + s.field[2][k]*s.field[2][k])
}

func (s *Solver) response(k int) float64 {
	switch s.p.Quantity {
	case Axial:
		return s.field[2][k]
	case Strength:
		return s.size(k)
	}
	return s.p.Fluid.Pi(s.size(k))
}

// linearise fills s.unit and the second derivatives of ½r² by the field: F'² + r F” along
// the field and r F'/|B| across it, each no less than 0 so that the model has a least
// value.
func (s *Solver) linearise() {
	for k := range s.n {
		b := s.size(k)
		s.unit[2][k], s.along[k], s.round[k] = 1, 1, 0
		if s.p.Quantity == Axial {
			continue
		}
		for c := range 3 {
			s.unit[c][k] = 0
			if b > 0 {
				s.unit[c][k] = s.field[c][k] / b
			}
		}
		if b == 0 {
			s.unit[2][k] = 1 // any direction does; along the axis is where a coil pulls
			b = 1e-9 * math.Abs(s.own)
		}
		slope, bend := 1.0, 0.0
		if s.p.Quantity == Pressure {
			const h = 1e-4
			slope = s.p.Fluid.DPi(b)
			bend = (s.p.Fluid.DPi(b*(1+h)) - s.p.Fluid.DPi(b*(1-h))) / (2 * h * b)
		}
		s.along[k] = max(slope*slope+s.r[k]*bend, 0)
		s.round[k] = max(s.r[k]*slope/b, 0)
	}
}

// scale is the response to full level: what full level changes at the pixel itself, at the field of full
// level.
func (s *Solver) scale() float64 {
	if s.p.Quantity == Pressure {
		b := math.Abs(s.own)
		for k := range s.n {
			b = max(b, s.size(k))
		}
		return s.p.Fluid.DPi(b) * math.Abs(s.own)
	}
	return math.Abs(s.own)
}

// weight is λ s².
func (s *Solver) weight() float64 {
	own := math.Abs(s.own)
	if s.p.Quantity == Pressure {
		own *= s.p.Fluid.DPi(own)
	}
	return s.p.PowerWeight * own * own
}

// Solve finds levels for a target, one value per pixel in the quantity's unit, starting
// from start (the levels of the frame before, say); nil starts from Naive. The result's
// Levels are its own. It gives up when the context is done.
func (s *Solver) Solve(ctx context.Context, target, start []float64) (Result, error) {
	if err := check("target", target, s.n); err != nil {
		return Result{}, err
	}
	x := make([]float64, s.n)
	if start == nil {
		s.naive(x, target)
	} else {
		if err := check("start", start, s.n); err != nil {
			return Result{}, err
		}
		for k, v := range start {
			x[k] = min(max(v, s.low[k]), s.high[k])
		}
		if err := s.restart(x, target); err != nil {
			return Result{}, err
		}
	}
	s.products = 0
	f, err := s.misses(x, target)
	if err != nil {
		return Result{}, err
	}
	damp := 0.0
	if s.p.Quantity != Axial {
		damp = 1e-6
	}
	steps := 0
	for ; steps < s.p.MaxIterations; steps++ {
		if err := ctx.Err(); err != nil {
			return Result{}, fmt.Errorf("equalise: Newton step %d: %w", steps+1, err)
		}
		if err := s.gradient(x); err != nil {
			return Result{}, err
		}
		if s.done(x, target) {
			break
		}
		s.release(x)
		if err := s.newton(ctx, damp, s.projected(x)); err != nil {
			return Result{}, err
		}
		next, moved, err := s.search(ctx, x, target, f)
		if err != nil {
			return Result{}, err
		}
		if !moved {
			// No step along the Newton direction makes it better: rounding, or for a
			// problem that is not convex too bold a model.
			if damp == 0 || damp > 1e3 {
				break
			}
			damp *= 100
			continue
		}
		if damp > 0 {
			damp = max(damp/10, 1e-6)
		}
		f = next
	}
	if _, err := s.misses(x, target); err != nil {
		return Result{}, err
	}
	out, err := s.result(x, target)
	out.Iterations = steps
	return out, err
}

// restart gives levels that are far off their target, of |B| and Π, their naive start:
// where there is next to no field its square has no slope to follow.
func (s *Solver) restart(x, target []float64) error {
	if s.p.Quantity == Axial {
		return nil
	}
	if _, err := s.misses(x, target); err != nil {
		return err
	}
	s.naive(s.trial, target)
	for k, t := range target {
		if math.Abs(s.r[k]) > 0.25*math.Abs(t) {
			x[k] = s.trial[k]
		}
	}
	return nil
}

// gradient fills s.g from s.r, and what a Newton step needs.
func (s *Solver) gradient(x []float64) error {
	s.linearise()
	for k, r := range s.r {
		if s.p.Quantity == Pressure {
			r *= s.p.Fluid.DPi(s.size(k))
		}
		for _, q := range s.parts {
			s.weights[q.component][k] = r * s.unit[q.component][k]
		}
	}
	if err := s.transpose(s.g, &s.weights); err != nil {
		return err
	}
	floats.AddScaled(s.g, s.weight(), x)
	return nil
}

// done tells whether the present gradient is proof enough.
func (s *Solver) done(x, target []float64) bool {
	if s.p.Quantity == Axial {
		return s.gap(x) <= s.p.Tolerance*s.reference(target)
	}
	return s.projected(x) <= s.p.Tolerance
}

// gap is Σ max(g(x−l), g(x−u)).
func (s *Solver) gap(x []float64) float64 {
	sum := 0.0
	for k, g := range s.g {
		sum += max(g*(x[k]-s.low[k]), g*(x[k]-s.high[k]))
	}
	return sum
}

// reference is ½Σ(t − bias)², what no drive at all leaves, and no less than a millionth
// of full level everywhere would make.
func (s *Solver) reference(target []float64) float64 {
	sum := 0.0
	for k, t := range target {
		if s.p.Bias[2] != nil {
			t -= s.p.Bias[2][k]
		}
		sum += t * t
	}
	return max(sum, 1e-12*s.own*s.own*float64(s.n)) / 2
}

// projected is the largest change that a gradient step of a pixel's own length makes.
func (s *Solver) projected(x []float64) float64 {
	scale := s.scale()
	scale *= scale
	if scale == 0 {
		return 0
	}
	most := 0.0
	for k, g := range s.g {
		to := min(max(x[k]-g/scale, s.low[k]), s.high[k])
		most = max(most, math.Abs(to-x[k]))
	}
	return most
}

// release marks the levels that may move: not those at a limit that the gradient pushes
// further out, nor those about to reach one.
func (s *Solver) release(x []float64) {
	near := min(1e-3, s.projected(x))
	for k, g := range s.g {
		room := near * (s.high[k] - s.low[k])
		s.free[k] = s.high[k] > s.low[k] && !(g > 0 && x[k] <= s.low[k]+room || g < 0 && x[k] >= s.high[k]-room)
	}
}

// newton solves the second-order model on the free levels for the step s.d, by conjugate
// gradients on the levels divided by the model's diagonal, the more exactly the nearer
// the end is; levels that are not free go with the gradient to their limit.
func (s *Solver) newton(ctx context.Context, damp, near float64) error {
	scale := s.scale()
	shift := s.weight() + damp*scale*scale
	s.diagonal(shift)
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
	stop, most := rho*min(max(math.Pow(near, 4), 1e-24), 1e-4), 300
	if s.p.Quantity != Axial {
		// The model changes with the levels: there is no use in solving it to rounding.
		stop, most = rho*min(max(near*near, 1e-8), 1e-2), 60
	}
	for range most {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("equalise: conjugate gradients: %w", err)
		}
		if rho <= stop || rho == 0 {
			break
		}
		if err := s.apply(&s.weights, s.cp); err != nil {
			return err
		}
		for k := range s.n {
			var along float64
			for _, q := range s.parts {
				along += s.unit[q.component][k] * s.weights[q.component][k]
			}
			along *= s.along[k] - s.round[k]
			for _, q := range s.parts {
				w := &s.weights[q.component][k]
				*w = along*s.unit[q.component][k] + s.round[k]**w
			}
		}
		if err := s.transpose(s.cq, &s.weights); err != nil {
			return err
		}
		curve := 0.0
		for k := range s.cq {
			if !s.free[k] {
				s.cq[k] = 0
				continue
			}
			s.cq[k] += shift * s.cp[k]
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

// diagonal fills s.diag with the diagonal of the second-order model, what a level does
// beyond its eight neighbours left out; it is a scaling, not part of the answer.
func (s *Solver) diagonal(shift float64) {
	rows, cols := s.p.Rows, s.p.Cols
	for i := range rows {
		for j := range cols {
			sum := 0.0
			for a := max(i-1, 0); a <= min(i+1, rows-1); a++ {
				for b := max(j-1, 0); b <= min(j+1, cols-1); b++ {
					p := a*cols + b
					for _, q := range s.parts {
						k := s.around[q.component][a-i+1][b-j+1]
						u := s.unit[q.component][p]
						sum += k * k * (s.along[p]*u*u + s.round[p]*(1-u*u))
					}
				}
			}
			g := s.gain(i*cols + j)
			s.diag[i*cols+j] = g*g*sum + shift
			if s.diag[i*cols+j] <= 0 {
				s.diag[i*cols+j] = 1
			}
		}
	}
}

// search moves x along s.d, bent at the limits, by the first of 1, ½, ¼, … of the step
// that lowers f enough, and returns f there; x stays where none does.
func (s *Solver) search(ctx context.Context, x, target []float64, f float64) (next float64, moved bool, err error) {
	for step := 1.0; step > 1e-9; step /= 2 {
		if err := ctx.Err(); err != nil {
			return f, false, fmt.Errorf("equalise: trying a step: %w", err)
		}
		promise := 0.0
		for k, v := range x {
			s.trial[k] = min(max(v+step*s.d[k], s.low[k]), s.high[k])
			promise += s.g[k] * (v - s.trial[k])
		}
		enough, err := s.lowers(x, target, f, promise)
		if err != nil {
			return f, false, err
		}
		if enough {
			copy(x, s.trial)
			next, err = s.misses(x, target)
			return next, true, err
		}
	}
	_, err = s.misses(x, target)
	return f, false, err
}

// lowers tells whether f falls from x to s.trial by a fair part of what the gradient
// promises. For Axial the change is gᵀd + ½|Ad|² + ½λs²|d|², which near the end is far
// below the rounding of f itself.
func (s *Solver) lowers(x, target []float64, f, promise float64) (bool, error) {
	const fair = 1e-4
	if !(promise > 0) {
		return false, nil
	}
	if s.p.Quantity != Axial {
		next, err := s.misses(s.trial, target)
		return next < f && f-next >= fair*promise, err
	}
	for k, v := range x {
		s.cp[k] = s.trial[k] - v
	}
	if err := s.apply(&s.weights, s.cp); err != nil {
		return false, err
	}
	change := -promise + (floats.Dot(s.weights[2], s.weights[2])+s.weight()*floats.Dot(s.cp, s.cp))/2
	return change <= -fair*promise, nil
}

// result judges x with s.field and s.r filled for it.
func (s *Solver) result(x, target []float64) (Result, error) {
	if err := s.gradient(x); err != nil {
		return Result{}, err
	}
	out := Result{Levels: append([]float64(nil), x...), Gap: math.NaN(), Gradient: s.projected(x), Squares: floats.Dot(x, x), Converged: s.done(x, target)}
	for k, r := range s.r {
		out.RMS += r * r / float64(s.n)
		if math.Abs(r) > out.Worst {
			out.Worst, out.Pixel = math.Abs(r), k
		}
		if x[k] <= s.low[k] {
			out.AtLow++
		}
		if x[k] >= s.high[k] {
			out.AtHigh++
		}
	}
	out.RMS = math.Sqrt(out.RMS)
	if s.p.Quantity == Axial {
		out.Gap = s.gap(x) / s.reference(target)
	}
	out.Products = s.products
	return out, nil
}
