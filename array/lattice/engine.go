package lattice

import (
	"context"
	"fmt"
	"math"
)

// MemoryLimit is what New may use, in bytes.
const MemoryLimit = 4 << 30

// Engine sums one kernel over a lattice of pixels. It keeps scratch memory of its
// own and must not be used by two goroutines at once.
type Engine struct {
	shape        Shape
	down, across *transform // of the padded lattice's columns and rows
	jobs         []job
	table        *table
	few          int // so many pixels are summed one by one

	on     []int                      // scratch: the pixels whose level is not 0
	levels []complex128               // scratch: the levels' spectrum
	planes []float64                  // scratch: a band's planes
	work   []complex128               // scratch: rows transformed, columns not yet, column by column
	buf    [2 * together][]complex128 // scratch: rows or columns before and after their transforms
}

// together is how many rows or columns are moved at once: four complex numbers are
// a cache line of 64 bytes.
const together = 4

// A job fills two planes of samples by one inverse transform: the real part of its
// result, times turn, is the one, the imaginary part the other. A plane is one
// component at the same place (a, b) of every pitch-sized cell. The two are point
// mirror images of each other in the cell, but for the one in the middle of a cell,
// which goes with that of another component or alone.
type job struct {
	re, im  place
	turn    complex128
	real    []float64    // kernel spectrum, both ways in digit-reversed order, or
	complex []complex128 // the complex one
	flip    bool         // read the spectrum's rows at the negative frequency
	band    bool         // the last job of a band
}

// A band is what a component has on rows a and Samples-1-a of the cells, but for the
// cells' very middle. Its planes are filled one by one, each without gaps, and then
// written to the raster together: straight into the raster would touch a cache line
// for each value.

type place struct{ c, a, b int } // c is -1 for none

// New evaluates the kernel at every offset between a pixel and a sample and
// prepares the sums. Evaluating is what takes its time: (2·Rows-1+2·Margin) ·
// (2·Cols-1+2·Margin) · Samples² calls, or a quarter or an eighth of
// them for a Symmetry. The kernel is called from this
// goroutine only. It gives up when the context is done.
//
// It returns an error for a kernel value that is not
// finite, for a symmetry that does not hold, and, before anything is allocated,
// for an engine that would need more memory than MemoryLimit.
func New(ctx context.Context, s Shape, k Kernel, y Symmetry) (*Engine, error) {
	if need := Estimate(s, y); need > MemoryLimit {
		return nil, fmt.Errorf("lattice: %d×%d pixels with %d×%d samples each, margin %d and %d components need %.1f GiB of memory, the limit is %d; fewer samples per pitch or a smaller grid need less",
			s.Rows, s.Cols, s.Samples, s.Samples, s.Margin, s.Components, need/(1<<30), MemoryLimit>>30)
	}
	if err := y.probe(s, k); err != nil {
		return nil, err
	}
	t, err := tabulate(ctx, s, k, y)
	if err != nil {
		return nil, err
	}
	h, w := lengths(s)
	e := (&Engine{shape: s, down: newTransform(h), across: newTransform(w), jobs: makeJobs(s, y), table: t}).Twin()
	e.few = e.fewOf()
	for i := range e.jobs {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("lattice: transforming the kernel: %w", err)
		}
		if j := &e.jobs[i]; j.flip {
			j.real = e.jobs[i-1].real
		} else {
			e.prepare(j, t)
		}
	}
	return e, nil
}

// Twin returns an engine for the same sums with scratch memory of its own, so that
// the two can be used at once. The kernel's table and spectra, which nothing writes
// to, are shared.
func (e *Engine) Twin() *Engine {
	t := &Engine{shape: e.shape, down: e.down, across: e.across, jobs: e.jobs, table: e.table, few: e.few}
	t.on = make([]int, 0, t.shape.Pixels())
	t.levels = make([]complex128, e.down.n*e.across.n)
	if n := e.shape.Samples; n > 1 {
		t.planes = make([]float64, 2*n*e.shape.blockRows()*e.shape.blockCols())
	}
	t.work = make([]complex128, e.shape.blockCols()*e.columnPitch())
	for i := range t.buf {
		t.buf[i] = make([]complex128, max(e.down.n, e.across.n))
	}
	return t
}

// lengths are those of the transforms down and across. Circular sums of these
// lengths do not wrap: a sample and a pixel are at most reach apart, and the table
// must not come round to meet them.
func lengths(s Shape) (down, across int) {
	return length(2*s.rowReach() + 1), length(2*s.colReach() + 1)
}

// columnPitch is the number of complex numbers from column to column of work, no
// multiple of a power of two as the length often is, which would fill the same
// places of the cache.
func (e *Engine) columnPitch() int { return e.down.n + together }

// Estimate tells how many bytes New would need at once for a shape and symmetry,
// without allocating any of it or asking the kernel.
func Estimate(s Shape, y Symmetry) (bytes float64) {
	_, height, width := tableSides(s, y)
	h, w := lengths(s)
	var (
		c, n, odd = float64(s.Components), float64(s.Samples), float64(s.Samples % 2)
		half      = float64(s.Samples / 2)
		alone     = 2 * float64((s.Components*(s.Samples%2)+1)/2)
		words     = alone + c*(n*n-odd)
	)
	if y.mirrored() {
		words = alone + c*(half*half+odd*2*half)
	}
	words *= float64(h) * float64(w)
	if s.Samples > 1 {
		words += 2 * n * float64(s.blockRows()) * float64(s.blockCols())
	}
	words += c * float64(height) * float64(width)
	words += 2 * (float64(h)*float64(w) + float64(s.blockCols())*float64(h+together) + 2*together*float64(max(h, w)))
	return 8 * words
}

// makeJobs pairs the planes. Of two jobs that share a spectrum the second has flip
// set and stands next to the first.
func makeJobs(s Shape, y Symmetry) (jobs []job) {
	n := s.Samples
	var alone []place // in the middle of the cell
	for c := range s.Components {
		for a := 0; 2*a <= n-1; a++ {
			for b := range n {
				a2, b2 := n-1-a, n-1-b
				j := job{re: place{c, a, b}, im: place{c, a2, b2}, turn: 1}
				switch {
				case a == a2 && b == b2:
					alone = append(alone, j.re)
				case a == a2 && b > b2:
					// The other half of an earlier pair.
				case !y.mirrored():
					jobs = append(jobs, j)
				case b > b2:
					// The mirror image of an earlier pair.
				default:
					j.turn = complex(1, float64(y.X[c]*y.Y[c]))
					jobs = append(jobs, j)
					if a < a2 && b < b2 {
						jobs = append(jobs, job{re: place{c, a2, b}, im: place{c, a, b2}, flip: true, turn: j.turn * complex(float64(y.Y[c]), 0)})
					}
				}
			}
			if n > 1 {
				jobs[len(jobs)-1].band = true
			}
		}
	}
	for i := 0; i < len(alone); i += 2 {
		j := job{re: alone[i], im: place{c: -1}, turn: 1}
		if i+1 < len(alone) {
			j.im = alone[i+1]
		}
		jobs = append(jobs, j)
	}
	return jobs
}

// prepare transforms the kernel of a job. The factor 1/n of the inverse transform
// goes into it.
func (e *Engine) prepare(j *job, t *table) {
	s, h, w := e.shape, e.down.n, e.across.n
	clear(e.levels)
	value := func(p place, r, l int) float64 {
		if p.c < 0 {
			return 0
		}
		return t.at(p.c, 2*s.Samples*l+2*p.b+1-s.Samples, 2*s.Samples*r+2*p.a+1-s.Samples)
	}
	for r := -s.rowReach(); r <= s.rowReach(); r++ {
		line := e.levels[e.down.slot[(r+h)%h]*w:][:w]
		for l := -s.colReach(); l <= s.colReach(); l++ {
			// Conjugate, as the spectrum will be.
			line[e.across.slot[(l+w)%w]] = complex(value(j.re, r, l), -value(j.im, r, l))
		}
	}
	e.forward(e.levels)
	f := 1 / float64(h*w)
	if j.turn == 1 {
		j.complex = make([]complex128, h*w)
		for i, z := range e.levels {
			j.complex[i] = z * complex(f, 0)
		}
		return
	}
	// The spectrum is turn, which is 1 ± i, times a real one.
	j.real = make([]float64, h*w)
	for i, z := range e.levels {
		j.real[i] = (real(z) + imag(j.turn)*imag(z)) * 0.5 * f
	}
}

// forward makes the conjugate of the transform, from digit-reversed order to
// digit-reversed order.
func (e *Engine) forward(x []complex128) {
	h, w := e.down.n, e.across.n
	out := e.buf[together]
	for r := range h {
		row := x[r*w:][:w]
		e.across.run(out[:w], row, w)
		for q, v := range e.across.index {
			row[q] = out[v]
		}
	}
	for q := 0; q < w; q += together {
		for p := range h {
			for i, z := range x[p*w+q:][:together] {
				e.buf[i][p] = z
			}
		}
		for i := range together {
			e.down.run(e.buf[together+i][:h], e.buf[i][:h], h)
		}
		for p, u := range e.down.index {
			for i := range together {
				z := e.buf[together+i][u]
				x[p*w+q+i] = complex(real(z), -imag(z))
			}
		}
	}
}

// Superpose writes the sum for the given levels, one per pixel (index
// row*Cols+col, row 0 at the top), into dst: for every component a row-major raster
// of RasterRows × RasterCols samples, row 0 at the top. It does not allocate.
//
// Levels may have any finite value; what exceeds the range of float64 on the way
// comes out infinite or NaN. Superpose panics when their number is not Rows·Cols or one
// of them is NaN or infinite, or dst has another shape.
func (e *Engine) Superpose(dst [][]float64, levels []float64) {
	s, w := e.shape, e.across.n
	if len(levels) != s.Pixels() || len(dst) != s.Components {
		panic(fmt.Sprintf("lattice: %d levels and room for %d components, want %d and %d", len(levels), len(dst), s.Pixels(), s.Components))
	}
	for p, v := range levels {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			panic(fmt.Sprintf("lattice: level of row %d, column %d is %g, must be finite", p/s.Cols+1, p%s.Cols+1, v))
		}
	}
	for c, d := range dst {
		if n := s.RasterRows() * s.RasterCols(); len(d) != n {
			panic(fmt.Sprintf("lattice: room for %d samples of component %d, want %d", len(d), c, n))
		}
	}
	e.on = e.on[:0]
	for p, v := range levels {
		if v != 0 {
			e.on = append(e.on, p)
		}
	}
	if len(e.on) <= e.few {
		e.add(dst, levels)
		return
	}
	clear(e.levels)
	for p, v := range levels {
		e.levels[e.down.slot[p/s.Cols+s.Margin]*w+e.across.slot[p%s.Cols+s.Margin]] = complex(v, 0)
	}
	e.forward(e.levels)
	for i := range e.jobs {
		e.do(&e.jobs[i], dst)
	}
}

// do multiplies the levels' spectrum with a job's and transforms back, first the
// rows, then those columns that are on the raster.
func (e *Engine) do(j *job, dst [][]float64) {
	var (
		s, h, w    = e.shape, e.down.n, e.across.n
		rows, cols = s.blockRows(), s.blockCols()
		pitch      = e.columnPitch()
	)
	for p := 0; p < h; p += together {
		for i := range together {
			k := p + i
			if j.flip {
				k = e.down.slot[(h-e.down.index[k])%h]
			}
			line, l := e.buf[i][:w], e.levels[(p+i)*w:][:w]
			if j.real != nil {
				for q, f := range j.real[k*w:][:w] {
					line[q] = complex(real(l[q])*f, imag(l[q])*f)
				}
			} else {
				for q, f := range j.complex[k*w:][:w] {
					line[q] = l[q] * f
				}
			}
			e.across.run(e.buf[together+i][:w], line, cols)
		}
		r0, r1, r2, r3 := e.buf[together][:cols], e.buf[together+1][:cols], e.buf[together+2][:cols], e.buf[together+3][:cols]
		for c := range r0 {
			to := (*[together]complex128)(e.work[c*pitch+p:])
			to[0], to[1], to[2], to[3] = r0[c], r1[c], r2[c], r3[c]
		}
	}
	re, step, width := e.plane(j, j.re, dst)
	im, _, _ := e.plane(j, j.im, dst)
	for c := 0; c < cols; c += together {
		n := min(together, cols-c)
		for i := range n {
			e.down.run(e.buf[together+i][:h], e.work[(c+i)*pitch:][:h], rows)
		}
		for r := range rows {
			for i := range n {
				z, at := e.buf[together+i][r]*j.turn, r*width+(c+i)*step
				re[at] = real(z)
				if im != nil {
					im[at] = imag(z)
				}
			}
		}
	}
	if j.band {
		e.interleave(dst[j.re.c], min(j.re.a, j.im.a))
	}
}

// plane is where a job's result goes, the distance from one value to the next and that
// from one row to the next: into the band, or, from the middle of the cells, straight
// to the raster. It is nil for no place.
func (e *Engine) plane(j *job, p place, dst [][]float64) (to []float64, step, width int) {
	s := e.shape
	rows, cols := s.blockRows(), s.blockCols()
	if j.re.c == j.im.c {
		at := p.b
		if 2*p.a > s.Samples-1 {
			at += s.Samples
		}
		return e.planes[at*rows*cols:][:rows*cols], 1, cols
	}
	if p.c >= 0 {
		to = dst[p.c][p.a*s.RasterCols()+p.b:]
	}
	return to, s.Samples, s.Samples * s.RasterCols()
}

// interleave writes a band to a component's raster.
func (e *Engine) interleave(dst []float64, a int) {
	s := e.shape
	n, rows, cols, width := s.Samples, s.blockRows(), s.blockCols(), s.RasterCols()
	for side, a := range []int{a, n - 1 - a} {
		if side > 0 && 2*a == n-1 {
			break // this row is its own mirror
		}
		middle := 2*a == n-1 // of the cell is not in the band
		for r := range rows {
			line, from := dst[(r*n+a)*width:][:width], e.planes[(side*n*rows+r)*cols:]
			for k := range cols {
				cell := line[k*n:][:n]
				for b := range cell {
					if !middle || 2*b != n-1 {
						cell[b] = from[b*rows*cols+k]
					}
				}
			}
		}
	}
}
