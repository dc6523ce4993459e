package heat

import (
	"fmt"
	"math"

	"lodegrid/field/material"

	"gonum.org/v1/gonum/mat"
)

// Stage is a part of a coil's own answer to its heat: it follows the coil's power P in
// watts with a time constant,
//
//	dx/dt = (P − x)/τ
//
// and adds to the temperature of the node that the coil heats. With the stages' x the
// copper's mean, by which its resistance goes, is T_node + Σ Mean·x; so for a spot on
// either surface, over the node behind that face; and the hottest turn is
//
//	T_hottest = T_mean + w (1 + κ Σ Again·x),  w = Σ (Hottest − Mean) x
//
// with κ = α/(1 + α (T_mean − 20 °C)): turns that are hotter than the mean have more
// resistance and take more than their share of the heat. Stages hold no heat of their own: all of it is in the nodes.
type Stage struct {
	Time          float64 // τ, s
	Mean, Hottest float64 // K/W
	Again         float64 // K/W
	Front, Back   float64 // K/W
}

// StepResponse is how the layers of a pixel answer to one watt held on in its heated
// layer alone, in K/W at times in seconds and for ever, on a board of side × side equal
// pixels with that one in the middle (side odd) whose faces give off front and back
// W/(m²·K): the network's own part of what stages are added to.
func (p Params) StepResponse(side int, front, back float64, times []float64) (rises [][]float64, ever []float64) {
	layers := len(p.Layers)
	rises, ever = make([][]float64, layers), make([]float64, layers)
	for l := range rises {
		rises[l] = make([]float64, len(times))
	}
	sym := mat.NewSymDense(layers, nil)
	root := make([]float64, layers)
	for l, y := range p.Layers {
		root[l] = math.Sqrt(y.Capacity)
	}
	var eigen mat.EigenSym
	var v mat.Dense
	rate := make([]float64, layers)
	// Of the cosine modes only those of even order have anything in the middle.
	for i := 0; i < side; i += 2 {
		for j := 0; j < side; j += 2 {
			weight := 4 / float64(side*side)
			if i == 0 {
				weight /= 2
			}
			if j == 0 {
				weight /= 2
			}
			a, b := math.Sin(math.Pi*float64(i)/float64(2*side)), math.Sin(math.Pi*float64(j)/float64(2*side))
			for l, y := range p.Layers {
				d := 4*(a*a+b*b)*y.Lateral + front*y.Front + back*y.Back
				if l+1 < layers {
					d += y.Down
					sym.SetSym(l, l+1, -y.Down/root[l]/root[l+1])
				}
				if l > 0 {
					d += p.Layers[l-1].Down
				}
				sym.SetSym(l, l, d/y.Capacity)
			}
			if !eigen.Factorize(sym, true) {
				panic(fmt.Sprintf("heat: the conductances %v have no eigenvalues", p.Layers))
			}
			eigen.Values(rate)
			eigen.VectorsTo(&v)
			for k, r := range rate {
				f := weight * v.At(p.Heated, k) / root[p.Heated] / r
				for l := range layers {
					g := f * v.At(l, k) / root[l]
					ever[l] += g
					for q, t := range times {
						rises[l][q] -= g * math.Expm1(-r*t)
					}
				}
			}
		}
	}
	return rises, ever
}

// StageTimes are the time constants that coils are told by, s: two a decade, from what a thin copper layer takes to pass heat on to what a pixel takes to
// pass it to its neighbours.
func StageTimes() []float64 {
	list := []float64{1e-3}
	for len(list) < 11 {
		list = append(list, math.Sqrt(10)*list[len(list)-1])
	}
	return list
}

// FitStages returns the amplitudes in K/W of stages of the time constants given whose
// sum of a (1 − e^(−t/τ)) is nearest to the values at times, each weighed by 1/scale of
// its time, with the value for ever held.
func FitStages(constants, times, values, scale []float64, ever float64) []float64 {
	n, k := len(times), len(constants)
	a := mat.NewDense(n+1+k, k, nil)
	b := mat.NewVecDense(n+1+k, nil)
	for i, t := range times {
		for j, c := range constants {
			a.Set(i, j, -math.Expm1(-t/c)/scale[i])
		}
		b.SetVec(i, values[i]/scale[i])
	}
	last := scale[n-1]
	for j := range constants {
		a.Set(n, j, 1e3/last)
		a.Set(n+1+j, j, 1e-4/last) // so that two alike do not fight
	}
	b.SetVec(n, 1e3*ever/last)
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			panic(err)
		}
	}
	return x.RawVector().Data
}

// coilModel is the network's stages, ready to step.
type coilModel struct {
	stages []Stage
	alpha  float64
	// mean, hottest, again, initial: Σ Mean, Σ Hottest, Σ Again, Σ Mean/τ.
	mean, hottest, again, initial float64
	state                         [][]float64 // W, of each stage per pixel
	reach                         float64     // W, of any pixel: the greatest power since the start

	h           float64 // that decay and ramp are for
	decay, ramp []float64
	offset      []float64 // K per pixel, scratch
}

func newCoilModel(n *Network) coilModel {
	c := coilModel{stages: n.p.Stages, alpha: n.p.Alpha}
	for _, s := range c.stages {
		c.mean += s.Mean
		c.hottest += s.Hottest
		c.again += s.Again
		c.initial += s.Mean / s.Time
		c.state = append(c.state, make([]float64, n.pixels))
	}
	c.decay, c.ramp = make([]float64, len(c.stages)), make([]float64, len(c.stages))
	c.offset = make([]float64, n.pixels)
	return c
}

// follow notes power that the stages follow, or states of theirs; what is not a number stays.
func (c *coilModel) follow(watts []float64) {
	for _, w := range watts {
		if w = math.Abs(w); w > c.reach || math.IsNaN(w) {
			c.reach = w
		}
	}
}

// prepare sets decay and ramp for steps of h: under a power that goes from P to P + D
// along a straight line, x gains (1 − decay)(P − x) + ramp·D.
func (c *coilModel) prepare(h float64) {
	if c.h == h {
		return
	}
	c.h = h
	for k, s := range c.stages {
		z := h / s.Time
		gone := -math.Expm1(-z)
		c.decay[k] = 1 - gone
		c.ramp[k] = 1 - gone/z
		if z < 1e-4 {
			c.ramp[k] = z / 2 * (1 - z/3)
		}
	}
}

// above puts the mean copper's rise over its node into out, K.
func (c *coilModel) above(out []float64) {
	clear(out)
	for k, s := range c.stages {
		for p, x := range c.state[k] {
			out[p] += s.Mean * x
		}
	}
}

func (c *coilModel) save(to [][]float64) [][]float64 {
	if to == nil {
		for _, x := range c.state {
			to = append(to, append([]float64(nil), x...))
		}
		return to
	}
	for k, x := range c.state {
		copy(to[k], x)
	}
	return to
}

func (c *coilModel) restore(from [][]float64) {
	for k, x := range from {
		copy(c.state[k], x)
	}
}

// reading is the temperatures of one pixel's coil in kelvin, its node at node.
func (c *coilModel) reading(p int, node float64) (mean, hottest float64) {
	var w, again float64
	mean = node
	for k, s := range c.stages {
		x := c.state[k][p]
		mean += s.Mean * x
		again += s.Again * x
		w += (s.Hottest - s.Mean) * x
	}
	return mean, mean + c.spread(mean, w, again)
}

// spread is how much hotter the hottest turn is than the mean, see Stage.
func (c *coilModel) spread(mean, w, again float64) float64 {
	kappa := c.alpha / max(material.Linear(c.alpha, mean), leastResistance)
	return max(w, 0) * (1 + kappa*max(again, 0))
}

// leastResistance is the least of its resistance at 20 °C that a coil is taken to have.
const leastResistance = 0.1

// steadyReading is reading with the stages where watts held continuously leave them.
func (c *coilModel) steadyReading(node, watts float64) (mean, hottest float64) {
	mean = node + c.mean*watts
	return mean, mean + c.spread(mean, (c.hottest-c.mean)*watts, c.again*watts)
}
