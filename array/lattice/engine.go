package lattice

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
)

// Engine sums one kernel over a lattice of pixels. It keeps scratch memory of its
// own and must not be used by two goroutines at once.
type Engine struct {
	shape    Shape
	down     *transform // length of the padded lattice down the rows
	across   *transform // and across the columns
	pitch    int        // of the rows between the two, even
	jobs     []job
	real     [][]float64    // real kernel spectra, rows and columns in digit-reversed order
	complex  [][]complex128 // complex ones
	table    *table         // the kernel itself for the changed-pixel path, or nil
	radius   int            // window in pitches, -1 for the full range
	bound    []float64      // what the window may leave out, per component
	crossing int            // most changed pixels the changed-pixel path is taken for

	spectrum [spectra][]complex128 // forms of the levels' spectrum that jobs use
	half     []complex128          // scratch: half of the levels' spectrum, natural order
	changes  []change              // scratch: the pixels a frame changes

	lanes []*lane      // one for each worker
	next  atomic.Int64 // the job to be done next
	busy  sync.WaitGroup
}

// New evaluates the kernel at every offset between a pixel and a sample and
// prepares the sums. Evaluating is what takes its time: (2·Rows-1+2·Margin) ·
// (2·Cols-1+2·Margin) · Samples² calls, or a half, a quarter or an eighth of
// them when a Symmetry is among the options. The kernel is called from this
// goroutine only. It gives up when the context is done.
//
// It returns an error for a shape out of range, for a kernel value that is not
// finite, for a symmetry that does not hold, and, before anything is allocated,
// for an engine that would need more memory than MemoryLimit.
func New(ctx context.Context, s Shape, k Kernel, opts ...Option) (*Engine, error) {
	need, set, err := estimate(s, opts)
	if err != nil {
		return nil, err
	}
	if k == nil {
		return nil, fmt.Errorf("lattice: the kernel is nil")
	}
	if need.Peak > set.limit {
		hint := "fewer samples per pitch or a smaller grid need less"
		if !set.framesOnly {
			hint = "fewer samples per pitch, a smaller grid or the option FramesOnly need less"
		}
		return nil, fmt.Errorf("lattice: %d×%d pixels with %d×%d samples each, margin %d and %d components need %s of memory, the limit is %s; %s",
			s.Rows, s.Cols, s.Samples, s.Samples, s.Margin, s.Components, formatBytes(need.Peak), formatBytes(set.limit), hint)
	}
	if err := set.symmetry.probe(s, k); err != nil {
		return nil, err
	}
	t := newTable(s, set.symmetry, s.rowReach(), s.colReach())
	if err := t.evaluate(ctx, k, set.symmetry); err != nil {
		return nil, err
	}
	e := &Engine{shape: s, radius: -1, bound: make([]float64, s.Components)}
	if set.truncated {
		e.radius, e.bound = t.window(set.truncate)
		t = t.cropped(min(e.radius, t.rowReach), min(e.radius, t.colReach))
	}
	// Circular sums of these lengths do not wrap: a sample and a pixel are at
	// most reach apart, and the table must not come round to meet them.
	e.down = newTransform(columnCosts().length(s.rowReach()+t.rowReach+1), columnCosts())
	e.across = newTransform(rowCosts().length(s.colReach()+t.colReach+1), rowCosts())
	e.pitch = pitch(s)
	var reals, complexes int
	e.jobs, reals, complexes = makeJobs(s, set.symmetry)
	e.real, e.complex = make([][]float64, reals), make([][]complex128, complexes)
	e.allocate(set.workers)
	if err := e.prepare(ctx, t); err != nil {
		return nil, err
	}
	if !set.framesOnly {
		e.table = t
		e.crossing = e.cross(t)
		e.changes = make([]change, 0, e.crossing)
	}
	return e, nil
}

// pitch is the number of complex numbers from row to row of work space.
func pitch(s Shape) int { return (s.blockCols() + 1) / 2 * 2 }

// Twin returns an engine for the same sums with scratch memory of its own, so that
// the two can be used at once. The kernel's spectra, which nothing writes to, are
// shared.
func (e *Engine) Twin() *Engine {
	t := &Engine{
		shape: e.shape, down: e.down, across: e.across, pitch: e.pitch, jobs: e.jobs, real: e.real, complex: e.complex,
		table: e.table, radius: e.radius, bound: e.bound, crossing: e.crossing, changes: make([]change, 0, e.crossing),
	}
	t.allocate(len(e.lanes))
	return t
}

// allocate makes the scratch memory.
func (e *Engine) allocate(workers int) {
	n := e.down.n * e.across.n
	for _, j := range e.jobs {
		if e.spectrum[j.spectrum] == nil {
			e.spectrum[j.spectrum] = make([]complex128, n)
		}
	}
	e.half = make([]complex128, e.down.n*halfPitch(e.across.n))
	for range workers {
		e.lanes = append(e.lanes, newLane(e))
	}
}

// prepare transforms the kernel of every job. The factor 1/n of the inverse
// transform goes into it.
func (e *Engine) prepare(ctx context.Context, t *table) error {
	var (
		h, w = e.down.n, e.across.n
		buf  = make([]complex128, h*w)
		f    = 1 / float64(h*w)
	)
	for _, j := range e.jobs {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("lattice: transforming the kernel: %w", err)
		}
		if j.flip {
			continue // shares the table of the job before
		}
		clear(buf)
		for r := -t.rowReach; r <= t.rowReach; r++ {
			line := buf[e.down.slot[(r+h)%h]*w:][:w]
			for l := -t.colReach; l <= t.colReach; l++ {
				re, im := t.value(j.re, r, l), 0.0
				if j.im >= 0 {
					im = t.value(j.im, r, l)
				}
				line[e.across.slot[(l+w)%w]] = complex(re, im)
			}
		}
		for r := range h {
			e.across.rowFull(buf[r*w : (r+1)*w])
		}
		e.down.columnFull(buf, w)
		// The transform has the sign +, the spectrum wants -.
		at := func(p, q int) complex128 {
			return buf[(h-e.down.index[p])%h*w+(w-e.across.index[q])%w]
		}
		if !j.isReal {
			m := make([]complex128, h*w)
			for p := range h {
				for q := range w {
					m[p*w+q] = timesReal(at(p, q), f)
				}
			}
			e.complex[j.table] = m
			continue
		}
		// The spectrum is (1±i) times a real one.
		m := make([]float64, h*w)
		for p := range h {
			for q := range w {
				z := at(p, q)
				if j.spectrum == plusPlus {
					m[p*w+q] = (real(z) + imag(z)) * 0.5 * f
				} else {
					m[p*w+q] = (real(z) - imag(z)) * 0.5 * f
				}
			}
		}
		e.real[j.table] = m
	}
	return nil
}

// Shape returns what the engine was made for.
func (e *Engine) Shape() Shape { return e.shape }

// NewPlanes returns planes for the engine's results, all zero, standing for all
// pixels at level zero.
func (e *Engine) NewPlanes() *Planes { return newPlanes(e.shape) }

// Window returns the radius in pitches beyond which a truncated engine leaves a
// pixel out, and for each component the largest error any levels between -1 and
// 1 can make by it, in the kernel's unit. For an engine over the full range the
// radius is -1 and the bounds are zero.
func (e *Engine) Window() (radius int, bound []float64) {
	return e.radius, append([]float64(nil), e.bound...)
}
