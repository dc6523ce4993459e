package heat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// modalStepper is ETDRK2 (S. M. Cox, P. C. Matthews, J. Comput. Phys. 176 (2002)
// 430, eqs. 20–22) on the cosine modes of a uniform board. For each mode the
// conduction within and between the layers and the loss at a middling rise are a
// small symmetric matrix, whose exponential is exact for any step; what is left,
// N = power − (loss − linear loss), is taken at the start and once more at the
// predicted end:
//
//	a  = e^{hL} u + h φ1(hL) N(u)
//	u' = a + h φ2(hL) (N(a) − N(u))
//
// The energy is booked from the same interpolation of N, so it closes to rounding.
type modalStepper struct {
	n     *Network
	plane *plane
	open  []int // layers where N is not zero: exposed or heated

	linear  []float64 // W/K per layer and pixel: loss taken into the linear part
	rise    float64   // K, where that slope was taken
	rate    []float64 // 1/s, eigenvalue k of mode m at k*pixels + m
	vector  []float64 // into the eigenbasis: (l*layers + k)*pixels + m, V/√C
	back    []float64 // the same with the weight of the inverse transform
	tables  [6]*modalTable
	next    int
	flat    int    // the mode of the mean
	version uint64 // of the network's rises that y stands for

	y, a   []float64 // state and prediction in the eigenbasis, k*pixels + m
	first  []float64 // modes of N at the start, l*pixels + m
	second []float64 // the same at the prediction, less first
	field  []float64 // rises at the prediction
	work   []float64 // one layer
	at     sample
}

// modalTable holds e^{hL}, h φ1 and h φ2 for one step length.
type modalTable struct {
	h               float64
	decay, one, two []float64
	mean            [3][MaxLayers]float64 // h φ1, h² φ2, h² φ3 of the mean mode
}

func newModalStepper(n *Network) *modalStepper {
	s := &modalStepper{n: n, plane: newPlane(n.rows, n.cols), at: newSample(n)}
	k := n.nodes
	s.linear = make([]float64, n.layers)
	s.rate = make([]float64, k)
	s.vector = make([]float64, n.layers*k)
	s.back = make([]float64, n.layers*k)
	s.y = make([]float64, k)
	s.a = make([]float64, k)
	s.first = make([]float64, k)
	s.second = make([]float64, k)
	s.field = make([]float64, k)
	s.work = make([]float64, n.pixels)
	open := make([]bool, n.layers)
	open[n.p.Heated] = true
	for _, e := range n.exposed {
		open[e.layer] = true
	}
	for l, o := range open {
		if o {
			s.open = append(s.open, l)
		}
	}
	s.linearise(usualRise)
	return s
}

// usualRise is the rise in kelvin whose slope of loss is taken first.
const usualRise = 30

// follow takes the linear part anew where the loss has become much steeper than
// it: with long steps what is left out must stay the smaller part, or the scheme
// is no longer stable. A linear part that is too steep does no harm.
func (s *modalStepper) follow() {
	n := s.n
	hot := 0.0
	for _, l := range s.open {
		hottest := 0.0
		for _, d := range n.at.slope[l*n.pixels:][:n.pixels] {
			hottest = math.Max(hottest, d)
		}
		if hottest > 1.4*s.linear[l] {
			for _, r := range n.rise[l*n.pixels:][:n.pixels] {
				hot = math.Max(hot, r)
			}
		}
	}
	if hot > s.rise {
		s.linearise(1.2 * hot)
	}
}

// linearise chooses the loss of the linear part for a rise and diagonalises the
// modes.
func (s *modalStepper) linearise(rise float64) {
	n := s.n
	s.rise = rise
	clear(s.linear)
	for _, e := range n.exposed {
		_, d := e.table.at(rise)
		s.linear[e.layer] += e.area * d
	}
	l := n.layers
	var c [MaxLayers]float64
	for i := range l {
		c[i] = n.capacity[i*n.pixels]
	}
	sym := mat.NewSymDense(l, nil)
	var eigen mat.EigenSym
	var v mat.Dense
	values := make([]float64, l)
	s.plane.each(func(m int, along, down, weight float64) {
		if along == 0 && down == 0 {
			s.flat = m
		}
		for i := range l {
			d := s.linear[i] + n.p.Layers[i].Lateral*(along+down)
			if i+1 < l {
				g := n.p.Layers[i].Down
				d += g
				sym.SetSym(i, i+1, -g/math.Sqrt(c[i]*c[i+1]))
			}
			if i > 0 {
				d += n.p.Layers[i-1].Down
			}
			sym.SetSym(i, i, d/c[i])
		}
		if !eigen.Factorize(sym, true) {
			// A symmetric matrix of finite numbers always factorises; leave the
			// mode frozen if it ever does not.
			return
		}
		eigen.Values(values)
		eigen.VectorsTo(&v)
		for k := range l {
			s.rate[k*n.pixels+m] = math.Max(values[k], 0)
			for i := range l {
				x := v.At(i, k) / math.Sqrt(c[i])
				s.vector[(i*l+k)*n.pixels+m] = x
				s.back[(i*l+k)*n.pixels+m] = x * weight
			}
		}
	})
	for _, t := range s.tables {
		if t != nil {
			t.h = 0
		}
	}
	s.version = 0
}

// table returns the functions of the modes for a step length.
func (s *modalStepper) table(h float64) *modalTable {
	for _, t := range s.tables {
		if t != nil && t.h == h {
			return t
		}
	}
	n := s.n
	t := s.tables[s.next]
	if t == nil {
		t = &modalTable{decay: make([]float64, n.nodes), one: make([]float64, n.nodes), two: make([]float64, n.nodes)}
		s.tables[s.next] = t
	}
	s.next = (s.next + 1) % len(s.tables)
	t.h = h
	for i, r := range s.rate {
		p0, p1, p2, _ := phi(-h * r)
		t.decay[i], t.one[i], t.two[i] = p0, h*p1, h*p2
	}
	for k := range n.layers {
		_, p1, p2, p3 := phi(-h * s.rate[k*n.pixels+s.flat])
		t.mean[0][k], t.mean[1][k], t.mean[2][k] = h*p1, h*h*p2, h*h*p3
	}
	return t
}

// remainder puts the modes of N into modes, for the open layers, and returns the
// sum of the loss left out of the linear part, in watts.
func (s *modalStepper) remainder(modes []float64, at *sample, rise []float64) (rest float64) {
	n := s.n
	for _, l := range s.open {
		lo, hi := l*n.pixels, (l+1)*n.pixels
		g := s.linear[l]
		loss, out := at.loss[lo:hi], s.work[:n.pixels]
		for i, u := range rise[lo:hi] {
			r := loss[i] - g*u
			rest += r
			out[i] = -r
		}
		if l == n.p.Heated {
			for i, w := range at.watts {
				out[i] += w
			}
		}
		s.plane.forward(modes[lo:hi], out)
	}
	return rest
}

// project adds up what the open layers' modes put into eigenvector k.
func (s *modalStepper) project(out []float64, k int, modes []float64) {
	m := s.n.pixels
	clear(out)
	for _, l := range s.open {
		addProduct(out, s.vector[(l*s.n.layers+k)*m:][:m], modes[l*m:][:m])
	}
}

// picture turns eigenbasis coefficients into the rises of layer l.
func (s *modalStepper) picture(out []float64, l int, y []float64) {
	m := s.n.pixels
	w := s.work[:m]
	clear(w)
	for k := range s.n.layers {
		addProduct(w, s.back[(l*s.n.layers+k)*m:][:m], y[k*m:][:m])
	}
	s.plane.inverse(out, w)
}

// read takes the state over from the network's rises.
func (s *modalStepper) read() {
	n := s.n
	m := n.pixels
	clear(s.y)
	for l := range n.layers {
		s.plane.forward(s.work, n.rise[l*m:][:m])
		c := n.capacity[l*m]
		for j := range s.work {
			s.work[j] *= c
		}
		for k := range n.layers {
			addProduct(s.y[k*m:][:m], s.vector[(l*n.layers+k)*m:][:m], s.work)
		}
	}
	s.version = n.version
}

// step advances by h and returns an estimate of the error in kelvin.
func (s *modalStepper) step(h float64, load Load) (estimate float64) {
	n := s.n
	m := n.pixels
	n.evaluate(&n.at, n.rise, load)
	n.noteRunaway(&n.at)
	s.follow()
	t := s.table(h)
	if s.version != n.version {
		s.read()
	}
	supplied := total(n.at.watts)
	rest := s.remainder(s.first, &n.at, n.rise)
	for k := range n.layers {
		a := s.a[k*m:][:m]
		s.project(a, k, s.first)
		y, decay, one := s.y[k*m:][:m], t.decay[k*m:][:m], t.one[k*m:][:m]
		for j, v := range a {
			a[j] = decay[j]*y[j] + one[j]*v
		}
	}
	for _, l := range s.open {
		s.picture(s.field[l*m:][:m], l, s.a)
	}

	n.coil.advance(h, n.at.watts, n.at.watts)
	n.evaluate(&s.at, s.field, load)
	supplied = h / 2 * (supplied + total(s.at.watts))
	rest = h / 2 * (rest + s.remainder(s.second, &s.at, s.field))
	for _, l := range s.open {
		f, g := s.first[l*m:][:m], s.second[l*m:][:m]
		for j, v := range f {
			g[j] -= v
		}
	}
	n.balance.book(supplied, rest+s.linearLoss(t))
	for k := range n.layers {
		s.project(s.work, k, s.second)
		y, a, two := s.y[k*m:][:m], s.a[k*m:][:m], t.two[k*m:][:m]
		for j, v := range s.work[:m] {
			y[j] = a[j] + two[j]*v
		}
	}
	for l := range n.layers {
		s.picture(n.rise[l*m:][:m], l, s.y)
	}
	n.version++
	s.version = n.version
	coil := 0.0
	for k, x := range n.coil.state {
		ramp, most := n.coil.ramp[k], 0.0
		for p, w := range s.at.watts {
			d := ramp * (w - n.at.watts[p])
			x[p] += d
			most = math.Max(most, math.Abs(d))
		}
		coil += most * math.Abs(n.coil.stages[k].Mean)
	}

	// The correction is the error of a first-order step; the second-order one is
	// smaller by about what the remainder can turn the step.
	for _, l := range s.open {
		for j, v := range s.field[l*m:][:m] {
			estimate = math.Max(estimate, math.Abs(n.rise[l*m+j]-v))
		}
	}
	return math.Max(coil, estimate*math.Min(1, h*s.stiffness()))
}

// linearLoss returns the loss of the linear part over the step in joules, from
// the integral of the mean mode; s.y still holds the start.
func (s *modalStepper) linearLoss(t *modalTable) (lost float64) {
	n := s.n
	m := n.pixels
	for k := range n.layers {
		var n0, change float64
		for _, l := range s.open {
			v := s.vector[(l*n.layers+k)*m+s.flat]
			n0 += v * s.first[l*m+s.flat]
			change += v * s.second[l*m+s.flat]
		}
		integral := t.mean[0][k]*s.y[k*m+s.flat] + t.mean[1][k]*n0 + t.mean[2][k]*change
		for _, l := range s.open {
			lost += s.linear[l] * s.vector[(l*n.layers+k)*m+s.flat] * integral
		}
	}
	return lost
}

// stiffness returns the greatest slope of N over the capacity, 1/s.
func (s *modalStepper) stiffness() (most float64) {
	n := s.n
	for _, l := range s.open {
		c, g := n.capacity[l*n.pixels], s.linear[l]
		for j, d := range s.at.slope[l*n.pixels:][:n.pixels] {
			x := g - d
			if l == n.p.Heated {
				x += s.at.gain[j]
			}
			most = math.Max(most, math.Abs(x)/c)
		}
	}
	return most
}

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
