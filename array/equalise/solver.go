package equalise

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/lattice"
	"lodegrid/field/ferrofluid"
)

// Quantity is what the target picture shows.
type Quantity string

// The quantities.
const (
	Axial    Quantity = "bz" // T, signed
	Strength Quantity = "b"  // T, |B|
	Pressure Quantity = "pi" // Pa, magnetic pressure
)

// Problem describes the grid.
type Problem struct {
	Rows, Cols int
	Quantity   Quantity
	// Kernel gives Bx, By, Bz in tesla at unit level, offsets in pitches; Symmetry is
	// what is known of it.
	Kernel   lattice.Kernel
	Symmetry lattice.Symmetry
	// Bias is Bx, By, Bz of the magnets at each pixel, T, row-major; nil for none.
	Bias [3][]float64
	// Gains multiply the levels; nil for all 1.
	Gains []float64
	// Low and High bound the levels: one value for all, or one per pixel.
	Low, High []float64
	// Fluid turns |B| into pressure; needed for Pressure alone.
	Fluid ferrofluid.Pressure
	// PowerWeight is λ: 0 for the nearest picture whatever it costs; 0.01 gives up about
	// 1 % of a pixel's own response for the power it saves.
	PowerWeight float64
	// Tolerance is where the solver stops: for Axial the gap as a share of ½Σ(t − bias)²,
	// 0 takes 1e-10; otherwise Result.Gradient, 0 takes 1e-6.
	Tolerance float64
	// MaxIterations bounds the Newton steps; 0 takes 200.
	MaxIterations int
}

// Solver solves for one target after the other. It keeps scratch memory and must not be
// used by two goroutines at once.
type Solver struct {
	p         Problem
	n         int
	low, high []float64
	parts     []part // the components that matter
	own       float64

	field        [3][]float64     // of the levels judged last, bias included
	weights      [3][]float64     // scratch: what is transposed
	unit         [3][]float64     // direction of the field at each pixel
	along, round []float64        // second derivatives of ½r² along the field and across it
	r, g, d      []float64        // misses, gradient, step
	cr, cp, cq   []float64        // conjugate gradients
	cz, diag     []float64        // and their scaling
	around       [3][3][3]float64 // kernel at a pixel and its eight neighbours
	driven       []float64        // levels times gains
	trial        []float64
	free         []bool
	products     int
}

// part is one component's convolution and its transpose.
type part struct {
	component         int
	forward, backward *lattice.Engine
	sign              float64     // of backward
	out               [][]float64 // scratch: one component
}

// New checks a problem and prepares its convolutions.
func New(ctx context.Context, p Problem) (*Solver, error) {
	if p.Tolerance == 0 {
		p.Tolerance = 1e-10
		if p.Quantity != Axial {
			p.Tolerance = 1e-6
		}
	}
	if p.MaxIterations == 0 {
		p.MaxIterations = 200
	}
	n := p.Rows * p.Cols
	if p.Rows < 1 || p.Cols < 1 || p.Kernel == nil {
		return nil, fmt.Errorf("equalise: %d × %d pixels with kernel %v; need at least one pixel and a kernel", p.Cols, p.Rows, p.Kernel != nil)
	}
	if p.Quantity != Axial && p.Quantity != Strength && p.Quantity != Pressure {
		return nil, fmt.Errorf("equalise: quantity %q; %q, %q and %q are known", p.Quantity, Axial, Strength, Pressure)
	}
	if p.Quantity == Pressure && p.Fluid == nil {
		return nil, fmt.Errorf("equalise: pressure needs a fluid")
	}
	if !(p.PowerWeight >= 0) || math.IsInf(p.PowerWeight, 0) || !(p.Tolerance > 0) {
		return nil, fmt.Errorf("equalise: power weight %g, tolerance %g; need a weight from 0 and a tolerance above 0", p.PowerWeight, p.Tolerance)
	}
	s := &Solver{p: p, n: n}
	var err error
	if s.low, err = spread("low", p.Low, n); err != nil {
		return nil, err
	}
	if s.high, err = spread("high", p.High, n); err != nil {
		return nil, err
	}
	for k := range n {
		if !(s.low[k] <= s.high[k]) {
			return nil, fmt.Errorf("equalise: limits of pixel %d are %g…%g", k, s.low[k], s.high[k])
		}
	}
	for name, v := range map[string][]float64{"gain": p.Gains, "bias x": p.Bias[0], "bias y": p.Bias[1], "bias z": p.Bias[2]} {
		if v == nil {
			continue
		}
		if err := check(name, v, n); err != nil {
			return nil, err
		}
	}
	own := make([]float64, 3)
	p.Kernel(own, 0, 0)
	if s.own = own[2]; s.own == 0 || math.IsNaN(s.own) || math.IsInf(s.own, 0) {
		return nil, fmt.Errorf("equalise: a pixel's own axial field is %g T at level 1", s.own)
	}
	for a := range 3 {
		for b := range 3 {
			p.Kernel(own, float64(b-1), float64(1-a))
			for c, v := range own {
				s.around[c][a][b] = v
			}
		}
	}
	components := []int{0, 1, 2}
	if p.Quantity == Axial {
		components = []int{2}
	}
	for _, c := range components {
		q, err := p.part(ctx, c)
		if err != nil {
			return nil, err
		}
		s.parts = append(s.parts, q)
	}
	for c := range s.field {
		s.field[c], s.weights[c], s.unit[c] = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	for _, v := range []*[]float64{&s.along, &s.round, &s.r, &s.g, &s.d, &s.cr, &s.cp, &s.cq, &s.cz, &s.diag, &s.driven, &s.trial} {
		*v = make([]float64, n)
	}
	s.free = make([]bool, n)
	return s, nil
}

// part prepares one component.
func (p Problem) part(ctx context.Context, c int) (part, error) {
	shape := lattice.Shape{Rows: p.Rows, Cols: p.Cols, Samples: 1, Components: 1}
	pick := func(sign float64) lattice.Kernel {
		all := make([]float64, 3)
		return func(dst []float64, dx, dy float64) {
			p.Kernel(all, sign*dx, sign*dy)
			dst[0] = all[c]
		}
	}
	var y lattice.Symmetry
	q := part{component: c}
	if p.Symmetry.X != nil && p.Symmetry.Y != nil {
		y = lattice.Symmetry{X: p.Symmetry.X[c : c+1], Y: p.Symmetry.Y[c : c+1]}
		q.sign = float64(p.Symmetry.X[c] * p.Symmetry.Y[c])
	}
	var err error
	if q.forward, err = lattice.New(ctx, shape, pick(1), y); err != nil {
		return q, fmt.Errorf("equalise: %w", err)
	}
	q.out, q.backward = [][]float64{make([]float64, shape.Pixels())}, q.forward
	if q.sign == 0 {
		q.sign = 1
		if q.backward, err = lattice.New(ctx, shape, pick(-1), lattice.Symmetry{}); err != nil {
			return q, fmt.Errorf("equalise: %w", err)
		}
	}
	return q, nil
}

// spread repeats a single value for all pixels.
func spread(name string, v []float64, n int) ([]float64, error) {
	out := make([]float64, n)
	if len(v) == 1 && n != 1 {
		for k := range out {
			out[k] = v[0]
		}
	} else if len(v) != n {
		return nil, fmt.Errorf("equalise: %d values for %s, want 1 or %d", len(v), name, n)
	} else {
		copy(out, v)
	}
	return out, check(name, out, n)
}

// check refuses a wrong length and numbers that are not finite.
func check(name string, v []float64, n int) error {
	if len(v) != n {
		return fmt.Errorf("equalise: %d values for %s, want %d", len(v), name, n)
	}
	for k, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("equalise: %s of pixel %d is %g, must be finite", name, k, x)
		}
	}
	return nil
}

func (s *Solver) gain(k int) float64 {
	if s.p.Gains == nil {
		return 1
	}
	return s.p.Gains[k]
}

// apply writes the field of levels into dst, without bias.
func (s *Solver) apply(dst *[3][]float64, levels []float64) error {
	in := levels
	if s.p.Gains != nil {
		for k, x := range levels {
			s.driven[k] = x * s.p.Gains[k]
		}
		in = s.driven
	}
	for _, q := range s.parts {
		if err := q.forward.Superpose(dst[q.component:q.component+1], in); err != nil {
			return fmt.Errorf("equalise: %w", err)
		}
		s.products++
	}
	return nil
}

// transpose adds up, for every level, what it does to weighted components: dst = Σ_c
// A_cᵀ w_c.
func (s *Solver) transpose(dst []float64, w *[3][]float64) error {
	clear(dst)
	for _, q := range s.parts {
		if err := q.backward.Superpose(q.out, w[q.component]); err != nil {
			return fmt.Errorf("equalise: %w", err)
		}
		for k, x := range q.out[0] {
			dst[k] += q.sign * x
		}
		s.products++
	}
	if s.p.Gains != nil {
		for k := range dst {
			dst[k] *= s.p.Gains[k]
		}
	}
	return nil
}
