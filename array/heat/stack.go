package heat

import "math"

// stack advances what happens within each pixel: conduction between its layers,
// loss to the air, heat from the coil. Power and loss are taken with their slopes
// at the start (a Rosenbrock step, second order), and the linear system of up to
// four nodes is stepped like the sweeps: trapezoidal, or the damping form where
// the step is long against its rates.
//
// With f the net power per node at the start, J the slopes and d = ∫(T−T0) dt
// as the scheme has it, C ΔT = h f + J d holds exactly, so power and loss are
// booked as h P + P' d and h q + q' d.
type stack struct {
	n *Network
	// Per pixel, of the step under way: the heated node's rise at its start, power and
	// condensed slope, and what the coil would gain over its node if the power stayed.
	before, watts, gain, still []float64
}

// maxGrowth is the most that the copper's feedback may amplify within one linear
// step; a stronger one is cut into shorter ones, each wrong by maxGrowth²/12 of
// its growth.
const maxGrowth = 0.03

func (s *stack) step(h float64, load Load) {
	n := s.n
	n.evaluate(&n.at, n.rise, load)
	parts := 1
	if g := n.feedback(&n.at) * h; g > maxGrowth {
		parts = int(math.Min(math.Ceil(g/maxGrowth), 1e6))
	}
	h /= float64(parts)
	for i := range parts {
		if i > 0 {
			if i%32 == 0 && n.check() != nil {
				return // past the ceiling: Step will say so
			}
			n.evaluate(&n.at, n.rise, load)
		}
		if len(n.coil.stages) > 0 {
			s.condense(h)
		}
		switch {
		case h*n.stackRate > 2:
			s.damped(h)
		case n.layers == 2:
			s.trapezoid2(h)
		default:
			s.trapezoid(h)
		}
		if len(n.coil.stages) > 0 {
			s.expand()
		}
	}
}

// condense takes the coil's stages out of a step's equations. Under a power that goes
// from P along a straight line to P + P' ΔT the stages gain, exactly,
//
//	Δx = (1 − e^{−h/τ}) (P − x) + r P' ΔT,   r = 1 − (1 − e^{−h/τ}) τ/h
//
// and with ΔT = ΔT_node + Σ Mean Δx the power's mean over the step is again a number
// plus a slope times half of ΔT_node: what the chain of nodes is stepped with.
func (s *stack) condense(h float64) {
	n := s.n
	c := &n.coil
	c.prepare(h)
	if s.before == nil {
		for _, v := range []*[]float64{&s.before, &s.watts, &s.gain, &s.still} {
			*v = make([]float64, n.pixels)
		}
	}
	copy(s.before, n.rise[n.p.Heated*n.pixels:][:n.pixels])
	copy(s.watts, n.at.watts)
	copy(s.gain, n.at.gain)
	ramp, all, still := 0.0, 0.0, s.still
	clear(still)
	for k, st := range c.stages {
		ramp += st.Mean * c.ramp[k]
		f := st.Mean * (1 - c.decay[k])
		all += f
		for p, x := range c.state[k][:len(still)] {
			still[p] -= f * x
		}
	}
	for p, w := range s.watts {
		still[p] += all * w
	}
	for p, g := range s.gain {
		s.gain[p] = g / (1 - g*ramp)
		n.at.watts[p] += s.gain[p] * s.still[p] / 2
		n.at.gain[p] = s.gain[p]
	}
}

// expand steps the stages once the nodes are.
func (s *stack) expand() {
	n := s.n
	c := &n.coil
	// still becomes the change of the power.
	for p, r := range n.rise[n.p.Heated*n.pixels:][:n.pixels] {
		s.still[p] = s.gain[p] * (r - s.before[p] + s.still[p])
	}
	for k, x := range c.state {
		gone, ramp := 1-c.decay[k], c.ramp[k]
		watts, still := s.watts[:len(x)], s.still[:len(x)]
		for p, v := range x {
			x[p] = v + gone*(watts[p]-v) + ramp*still[p]
		}
	}
}

// feedback returns the greatest rate in 1/s at which a coil heats itself, at first: its
// P' over what it has to warm.
func (n *Network) feedback(s *sample) float64 {
	h := n.p.Heated * n.pixels
	c := n.capacity[h : h+n.pixels]
	most := 0.0
	for p, g := range s.gain {
		if r := g * (1/c[p] + n.coil.initial); r > most {
			most = r
		}
	}
	return most
}

// gather loads the capacities, links, net powers and total slopes of a pixel.
func (s *stack) gather(p int, c, g, f, d *[MaxLayers]float64) {
	n := s.n
	for l := range n.layers {
		i := l*n.pixels + p
		c[l] = n.capacity[i]
		g[l] = n.down[i]
		f[l] -= n.at.loss[i]
		d[l] += n.at.slope[i]
		if l+1 < n.layers {
			q := g[l] * (n.rise[i] - n.rise[i+n.pixels])
			f[l] -= q
			f[l+1] += q
			d[l] += g[l]
			d[l+1] += g[l]
		}
	}
	f[n.p.Heated] += n.at.watts[p]
	d[n.p.Heated] -= n.at.gain[p]
}

// solveChain solves (C + a(D − links)) x = b for a pixel's chain of nodes.
func solveChain(layers int, a float64, c, g, d, b, x *[MaxLayers]float64) {
	var pivot [MaxLayers]float64
	pivot[0] = c[0] + a*d[0]
	x[0] = b[0]
	for l := 1; l < layers; l++ {
		m := a * g[l-1] / pivot[l-1]
		pivot[l] = c[l] + a*d[l] - m*a*g[l-1]
		x[l] = b[l] + m*x[l-1]
	}
	x[layers-1] /= pivot[layers-1]
	for l := layers - 2; l >= 0; l-- {
		x[l] = (x[l] + a*g[l]*x[l+1]) / pivot[l]
	}
}

// book books what one linear step of h supplied and lost, with d the integral
// of the rise over the step per node.
func (s *stack) book(h float64, supplied, lost, moreSupplied, moreLost float64) {
	s.n.balance.book(h*supplied+moreSupplied, h*lost+moreLost)
}

func (s *stack) trapezoid(h float64) {
	n := s.n
	var in, out, moreIn, moreOut float64
	for p := range n.pixels {
		var c, g, f, d, x [MaxLayers]float64
		s.gather(p, &c, &g, &f, &d)
		for l := range n.layers {
			f[l] *= h
		}
		solveChain(n.layers, h/2, &c, &g, &d, &f, &x)
		for l := range n.layers {
			i := l*n.pixels + p
			n.rise[i] += x[l]
			out += n.at.loss[i]
			moreOut += n.at.slope[i] * x[l]
		}
		in += n.at.watts[p]
		moreIn += n.at.gain[p] * x[n.p.Heated]
	}
	s.book(h, in, out, h/2*moreIn, h/2*moreOut)
}

func (s *stack) damped(h float64) {
	n := s.n
	const γ = sdirkGamma
	var in, out, moreIn, moreOut float64
	last := n.layers - 1
	for p := range n.pixels {
		var c, g, f, d, x, y, inverse, link [MaxLayers]float64
		s.gather(p, &c, &g, &f, &d)
		// Both solves are with C + γh(D − links), factored once: link is the
		// multiplier from one node to the next, either way.
		inverse[0] = 1 / (c[0] + γ*h*d[0])
		x[0] = f[0]
		for l := 1; l <= last; l++ {
			a := γ * h * g[l-1]
			link[l] = a * inverse[l-1]
			inverse[l] = 1 / (c[l] + γ*h*d[l] - link[l]*a)
			x[l] = f[l] + link[l]*x[l-1]
		}
		x[last] *= inverse[last]
		for l := last - 1; l >= 0; l-- {
			x[l] = x[l]*inverse[l] + link[l+1]*x[l+1]
		}
		y[0] = c[0] * x[0]
		for l := 1; l <= last; l++ {
			y[l] = c[l]*x[l] + link[l]*y[l-1]
		}
		y[last] *= inverse[last]
		for l := last - 1; l >= 0; l-- {
			y[l] = y[l]*inverse[l] + link[l+1]*y[l+1]
		}
		for l := range n.layers {
			i := l*n.pixels + p
			n.rise[i] += h * (γ*x[l] + (1-γ)*y[l])
			x[l] = h * h * γ * (x[l] + (1-γ)*y[l])
			out += n.at.loss[i]
			moreOut += n.at.slope[i] * x[l]
		}
		in += n.at.watts[p]
		moreIn += n.at.gain[p] * x[n.p.Heated]
	}
	s.book(h, in, out, moreIn, moreOut)
}

// trapezoid2 is trapezoid for two layers, written out.
func (s *stack) trapezoid2(h float64) {
	n := s.n
	m := n.pixels
	t0, t1 := n.rise[:m], n.rise[m:2*m]
	c0, c1 := n.capacity[:m], n.capacity[m:2*m]
	q0, q1 := n.at.loss[:m], n.at.loss[m:2*m]
	s0, s1 := n.at.slope[:m], n.at.slope[m:2*m]
	g := n.down[:m]
	watts, gain := n.at.watts[:m], n.at.gain[:m]
	heated := float64(n.p.Heated) // 0 or 1: power goes to layer 1 by this share
	a := h / 2
	var in, out, moreIn, moreOut float64
	for p := range t0 {
		w, k := watts[p], gain[p]
		flow := g[p] * (t0[p] - t1[p])
		w1, k1 := heated*w, heated*k
		b0 := h * ((w - w1) - q0[p] - flow)
		b1 := h * (w1 - q1[p] + flow)
		link := a * g[p]
		p0 := c0[p] + link + a*(s0[p]-(k-k1))
		p1 := c1[p] + link + a*(s1[p]-k1)
		inv := 1 / (p0*p1 - link*link)
		x0 := (b0*p1 + b1*link) * inv
		x1 := (b1*p0 + b0*link) * inv
		t0[p] += x0
		t1[p] += x1
		in += w
		out += q0[p] + q1[p]
		moreIn += (k-k1)*x0 + k1*x1
		moreOut += s0[p]*x0 + s1[p]*x1
	}
	s.book(h, in, out, a*moreIn, a*moreOut)
}
