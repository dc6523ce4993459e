package heat

import "math"

// sample holds the terms of the network that depend on temperature, evaluated
// at one state.
type sample struct {
	loss  []float64 // W per node, to the air and the walls
	slope []float64 // W/K per node, slope of loss
	watts []float64 // W per pixel, made in the coil
	gain  []float64 // W/K per pixel, slope of watts
	coil  []float64 // K per pixel, scratch for the load
}

func newSample(n *Network) sample {
	return sample{
		loss:  make([]float64, n.nodes),
		slope: make([]float64, n.nodes),
		watts: make([]float64, n.pixels),
		gain:  make([]float64, n.pixels),
		coil:  make([]float64, n.pixels),
	}
}

// evaluate fills s for the rises given.
func (n *Network) evaluate(s *sample, rise []float64, load Load) {
	n.evaluateLoss(s, rise)
	h := n.p.Heated * n.pixels
	coil := s.coil
	for i, r := range rise[h : h+n.pixels] {
		coil[i] = r + n.p.Ambient
	}
	for k, st := range n.coil.stages {
		for p, x := range n.coil.state[k][:len(coil)] {
			coil[p] += st.Mean * x
		}
	}
	load.Power(s.watts, s.gain, coil)
	n.coil.follow(s.watts)
}

// evaluateSteady is evaluate with every coil where its own power for ever leaves it
// over its node, T = T_node + Z P(T), and the slopes as a node then sees them,
// P'/(1 − Z P'). above holds the coils' rises over their nodes from the last time, and
// gets the new ones.
func (n *Network) evaluateSteady(s *sample, rise []float64, load Load, above []float64) {
	z := n.coil.mean
	if len(n.coil.stages) == 0 {
		n.evaluate(s, rise, load)
		return
	}
	n.evaluateLoss(s, rise)
	node := rise[n.p.Heated*n.pixels:][:n.pixels]
	for range 60 {
		for p, r := range node {
			s.coil[p] = r + n.p.Ambient + above[p]
		}
		load.Power(s.watts, s.gain, s.coil)
		worst := 0.0
		for p, w := range s.watts {
			off := z*w - above[p]
			if d := 1 - z*s.gain[p]; d > 0 {
				off /= d
			}
			// A coil that feeds itself faster than its stages pass heat on has no
			// place to stop; the step is bounded so that the search sees it leave.
			off = math.Max(math.Min(off, 1e3), -1e3)
			above[p] += off
			worst = math.Max(worst, math.Abs(off)/(1+math.Abs(above[p])))
		}
		if worst < 1e-13 {
			break
		}
	}
	for p, g := range s.gain {
		if d := 1 - z*g; d > 0 {
			s.gain[p] = g / d
		} else {
			s.gain[p] = math.Inf(1)
		}
	}
}

func (n *Network) evaluateLoss(s *sample, rise []float64) {
	clear(s.loss)
	clear(s.slope)
	for i := range n.exposed {
		e := &n.exposed[i]
		lo, hi := e.layer*n.pixels, (e.layer+1)*n.pixels
		e.table.add(s.loss[lo:hi], s.slope[lo:hi], rise[lo:hi], e.area)
	}
	for _, r := range n.rim {
		q, d := n.rimTable.at(rise[r.node])
		s.loss[r.node] += q * r.area
		s.slope[r.node] += d * r.area
	}
}

// add adds the loss of one exposure and its slope, the table look-up written out
// in the loop because it is most of what a step costs.
func (t *fluxTable) add(loss, slope, rise []float64, a float64) {
	warm := t.warm
	loss = loss[:len(rise)]
	slope = slope[:len(rise)]
	for k, r := range rise {
		if r < 0 {
			q, d := t.at(r)
			loss[k] += q * a
			slope[k] += d * a
			continue
		}
		bits := math.Float64bits(r + 1)
		i := int(bits>>fluxShift) - fluxBase
		if uint(i) >= uint(len(warm)) {
			q, d := t.at(r)
			loss[k] += q * a
			slope[k] += d * a
			continue
		}
		d := r + 1 - math.Float64frombits(bits&^(1<<fluxShift-1))
		p := &warm[i]
		c2, c3 := p.c2, d*p.c3
		loss[k] += a * (p.c0 + d*(p.c1+d*(c2+c3)))
		slope[k] += a * (p.c1 + d*(c2+c2+3*c3))
	}
}
