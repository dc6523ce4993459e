package winding

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Series is readings in kelvin per watt in the coil, held on since time 0.
type Series struct {
	Mean    []float64 // of the copper, weighted as its resistance is
	Hottest []float64 // turn, at each time
	// Again tells how the turns' own resistances add to the hottest: a turn that is w
	// above the mean takes κ w more than its share of the heat P, κ the part that its
	// resistance grows by per kelvin, and so does every other; with all of that the
	// hottest is κ w Again P hotter, to first order in κ.
	Again []float64
	Front []float64 // hottest spot of the front surface, and of the back
	Back  []float64
}

// Response is a coil's answer at the times asked for, and for ever (one reading).
type Response struct {
	Series
	Ever Series
	// Board and Behind are the mean temperatures of the cell's board and of the last
	// layer, for ever, K/W.
	Board, Behind float64
}

// rates is how many rates the response is built from.
const rates = 14

// Respond returns the response at times in seconds, in rising order.
func (c *Coil) Respond(ctx context.Context, times []float64) (Response, error) {
	return c.respond(ctx, times, 1)
}

func (c *Coil) respond(ctx context.Context, times []float64, fine int) (Response, error) {
	m := c.mesh(fine)
	n := len(m.capacity)
	basis := make([][]float64, 0, rates+1)
	lo, hi := 0.3/times[len(times)-1], 3/times[0]
	for k := range rates + 1 {
		if err := ctx.Err(); err != nil {
			return Response{}, fmt.Errorf("resolving the coil's heat: %w", err)
		}
		rate := 0.0
		if k > 0 {
			rate = lo * math.Pow(hi/lo, float64(k-1)/float64(rates-1))
		}
		solve := m.factor(rate)
		v := solve(m.heat)
		basis = m.orthogonal(basis, slices.Clone(v))
		// And for the heat that the turns' own resistances move about.
		mean := floats.Dot(m.heat, v)
		for i, h := range m.heat {
			v[i] = h * (v[i] - mean)
		}
		basis = m.orthogonal(basis, solve(v))
	}
	k := len(basis)
	small := mat.NewSymDense(k, nil)
	source := make([]float64, k)
	product := make([]float64, n)
	for i, v := range basis {
		m.apply(product, v)
		for j := range i + 1 {
			small.SetSym(i, j, floats.Dot(product, basis[j]))
		}
		source[i] = floats.Dot(m.heat, v)
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(small, true) {
		panic("the coil's heat: its matrix has no eigenvalues")
	}
	rate := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	// Every mode m as a pattern over the cells, with its size for the heat: a cell is at
	// Σ size·mode·(1 − e^−rate·t).
	modes, size := make([][]float64, k), make([]float64, k)
	for j := range k {
		modes[j] = make([]float64, n)
		for i, v := range basis {
			floats.AddScaled(modes[j], vectors.At(i, j), v)
			size[j] += vectors.At(i, j) * source[i]
		}
	}
	uneven := m.uneven(modes)
	read := func(t float64) reading {
		z, extra := make([]float64, k), make([]float64, k)
		for j, r := range rate {
			z[j] = size[j] * answer(r, t)
			for i, q := range rate {
				// The mode's answer to a source that grows as mode i does.
				extra[j] += uneven.At(j, i) * size[i] * growing(r, q, t)
			}
		}
		return c.read(m, modes, z, extra)
	}
	out := Response{}
	for _, t := range times {
		out.add(read(t))
	}
	out.Ever.add(read(math.Inf(1)))
	cells := make([]float64, n)
	for j, r := range rate {
		floats.AddScaled(cells, size[j]/r, modes[j])
	}
	out.Board, out.Behind = m.mean(cells, c.Cell, 0, c.Board), m.mean(cells, c.Cell, len(c.Layers)-1, len(c.Layers))
	return out, nil
}

// mean is the mean of cells within a radius, from one layer to before another, weighted by
// the heat they store.
func (m *mesh) mean(cells []float64, radius float64, from, to int) float64 {
	sum, all := 0.0, 0.0
	for i := range m.zone {
		if m.radii[i] >= radius*(1-1e-9) {
			break
		}
		for j, s := range m.layer {
			if k := i*len(m.layer) + j; s >= from && s < to {
				sum += m.capacity[k] * cells[k]
				all += m.capacity[k]
			}
		}
	}
	return sum / max(all, vacant)
}

// answer is how far a mode of a rate has come after t under a steady source, s.
func answer(rate, t float64) float64 {
	if math.IsInf(t, 1) {
		return 1 / rate
	}
	return -math.Expm1(-rate*t) / rate
}

// growing is the same under a source that is what a mode of another rate has come to.
func growing(rate, other, t float64) float64 {
	if math.IsInf(t, 1) {
		return 1 / (rate * other)
	}
	if math.Abs(rate-other) < 1e-6*rate {
		return (answer(rate, t) - t*math.Exp(-rate*t)) / other
	}
	return (answer(rate, t) - (math.Exp(-other*t)-math.Exp(-rate*t))/(rate-other)) / other
}

// uneven is the heat that goes into mode j, per watt in the coil and per kelvin of κ⁻¹,
// because the turns that mode i warms above the mean take more than their share:
// Φᵀ (diag(b) − b bᵀ) Φ with b the heat of the cells.
func (m *mesh) uneven(modes [][]float64) *mat.Dense {
	k := len(modes)
	s := mat.NewDense(k, k, nil)
	weighted := make([]float64, len(m.heat))
	for i, u := range modes {
		floats.MulTo(weighted, m.heat, u)
		for j, v := range modes {
			s.Set(j, i, floats.Dot(weighted, v)-floats.Dot(m.heat, u)*floats.Dot(m.heat, v))
		}
	}
	return s
}

// reading is one moment of a Response.
type reading struct{ mean, hottest, again, front, back float64 }

func (c *Coil) read(m *mesh, modes [][]float64, z, extra []float64) (r reading) {
	cells, more := make([]float64, len(m.heat)), make([]float64, len(m.heat))
	for j, v := range modes {
		floats.AddScaled(cells, z[j], v)
		floats.AddScaled(more, extra[j], v)
	}
	for q, h := range m.heat {
		if h > 0 {
			r.mean += h * cells[q]
			if cells[q] > r.hottest {
				r.hottest, r.again = cells[q], more[q]
			}
		}
	}
	if w := r.hottest - r.mean; w > 1e-9*r.hottest {
		r.again /= w
	} else {
		r.again = 0
	}
	nz := len(m.layer)
	for i := range m.zone {
		if m.radii[i] >= c.Cell*(1-1e-9) {
			break
		}
		r.front = max(r.front, cells[i*nz])
		for j := nz - 1; j >= 0; j-- {
			if m.loss[i*nz+j] > 0 {
				r.back = max(r.back, cells[i*nz+j])
				break
			}
		}
	}
	return r
}

func (o *Series) add(r reading) {
	o.Mean, o.Hottest, o.Again = append(o.Mean, r.mean), append(o.Hottest, r.hottest), append(o.Again, r.again)
	o.Front, o.Back = append(o.Front, r.front), append(o.Back, r.back)
}

// orthogonal adds v to a basis that is orthogonal in the sense of heat stored, or leaves
// it when it adds nothing. Taking the others out twice is enough (Kahan, from memory).
func (m *mesh) orthogonal(basis [][]float64, v []float64) [][]float64 {
	whole := math.Sqrt(weighed(m.capacity, v, v))
	for range 2 {
		for _, b := range basis {
			floats.AddScaled(v, -weighed(m.capacity, b, v), b)
		}
	}
	left := math.Sqrt(weighed(m.capacity, v, v))
	if !(left > 1e-9*whole) {
		return basis
	}
	floats.Scale(1/left, v)
	return append(basis, v)
}

// factor returns what solves (G + rate C) x = b, by elimination within the band that
// one column of cells spans. gonum's band Cholesky gives the same and took twenty times
// as long at these widths.
func (m *mesh) factor(rate float64) func(b []float64) []float64 {
	n, wide := len(m.capacity), len(m.layer)+1
	a := make([]float64, n*wide) // row k: its diagonal and what is to the right of it
	for k := range n {
		row := a[k*wide:]
		row[0] += m.loss[k] + rate*m.capacity[k]
		if g := m.down[k]; g > 0 {
			row[0] += g
			row[1] -= g
			row[wide] += g
		}
		if g := m.out[k]; g > 0 {
			row[0] += g
			row[wide-1] -= g
			row[(wide-1)*wide] += g
		}
		if m.capacity[k] <= vacant {
			row[0]++
		}
	}
	for k := range n {
		row := a[k*wide:][:wide]
		for i := 1; i < wide && k+i < n; i++ {
			if row[i] != 0 {
				floats.AddScaled(a[(k+i)*wide:][:wide-i], -row[i]/row[0], row[i:])
			}
		}
	}
	return func(b []float64) []float64 {
		x := slices.Clone(b)
		for k := range n {
			row := a[k*wide:][:min(wide, n-k)]
			floats.AddScaled(x[k+1:][:len(row)-1], -x[k]/row[0], row[1:])
		}
		for k := n - 1; k >= 0; k-- {
			row := a[k*wide:][:min(wide, n-k)]
			x[k] = (x[k] - floats.Dot(row[1:], x[k+1:][:len(row)-1])) / row[0]
		}
		return x
	}
}

// apply puts G v into y.
func (m *mesh) apply(y, v []float64) {
	nz := len(m.layer)
	for k := range y {
		y[k] = m.loss[k] * v[k]
	}
	for k, g := range m.down {
		if g > 0 {
			f := g * (v[k] - v[k+1])
			y[k] += f
			y[k+1] -= f
		}
	}
	for k, g := range m.out {
		if g > 0 {
			f := g * (v[k] - v[k+nz])
			y[k] += f
			y[k+nz] -= f
		}
	}
}

func weighed(w, a, b []float64) (sum float64) {
	for i, x := range a {
		sum += w[i] * x * b[i]
	}
	return sum
}
