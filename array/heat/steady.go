package heat

import (
	"context"
	"fmt"
	"math"
)

// Result is a steady state.
type Result struct {
	Layers     [][]float64 // K, one slice of Rows*Cols per layer
	Coils      []float64   // K, the mean copper of every pixel
	Turns      []float64   // K, the hottest turn of every pixel
	Watts      []float64   // W, made in every pixel
	Power      float64     // W, made in all coils
	Loss       float64     // W, given to the air and the walls
	Front      float64     // W of that through the front, the back and the edges
	Back, Edge float64
	Residual   float64 // Σ|net power| over all nodes ÷ Power; what Newton left
	Iterations int     // Newton steps taken
	Hottest    float64 // K, of any turn
	Pixel      int     // where

	stages int
}

// State is the steady state as Network.StartFrom takes it.
func (r *Result) State() [][]float64 {
	state := append([][]float64(nil), r.Layers...)
	for range r.stages {
		state = append(state, r.Watts)
	}
	return state
}

// steadyTolerance is the residual that Steady goes for, relative to the power.
const steadyTolerance = 1e-11

// Steady returns the steady state under a load, its duty averaged into its power.
// It does not change the network's own temperatures.
//
// Newton's method on the whole board, kept on the way that the temperatures
// would really take by a pseudo time step that grows as the residual falls
// (C. T. Kelley, D. E. Keyes, SIAM J. Numer. Anal. 35 (1998) 508): of several
// steady states it finds the one that a board warming up from the air reaches.
//
// The error is a *RunawayError when there is none or it lies above the ceiling. It
// is another only on a large board too uneven for the linear solver, or when the
// context is done.
func (n *Network) Steady(ctx context.Context, load Load) (Result, error) {
	w := newNewton(n)
	if err := w.run(ctx, load, n.p.Ceiling); err != nil {
		return Result{}, err
	}
	return w.result(), nil
}

// newton holds the work of steady solutions, reused by searches.
type newton struct {
	n          *Network
	solve      *linear
	links      []float64 // W/K per node, all its conductances
	rise       []float64
	trial      []float64
	coil       []float64 // K per pixel, over the node: where the last evaluation found it
	f, dx      []float64
	at         sample
	iterations int
	power      float64
	residual   float64
}

func newNewton(n *Network) *newton {
	w := &newton{n: n, solve: newLinear(n), at: newSample(n), coil: make([]float64, n.pixels)}
	for _, v := range []*[]float64{&w.links, &w.rise, &w.trial, &w.f, &w.dx} {
		*v = make([]float64, n.nodes)
	}
	for i := range n.nodes {
		w.links[i] += n.east[i] + n.south[i] + n.down[i]
		if n.east[i] > 0 {
			w.links[i+1] += n.east[i]
		}
		if n.south[i] > 0 {
			w.links[i+n.cols] += n.south[i]
		}
		if n.down[i] > 0 {
			w.links[i+n.pixels] += n.down[i]
		}
	}
	return w
}

// measure evaluates the residual at the rises and returns its sum of magnitudes.
func (w *newton) measure(rise []float64, load Load) float64 {
	w.n.evaluateSteady(&w.at, rise, load, w.coil)
	w.n.netPower(w.f, &w.at, rise)
	sum := 0.0
	for _, v := range w.f {
		sum += math.Abs(v)
	}
	return sum
}

// run finds the steady state from the present guess in w.rise.
func (w *newton) run(ctx context.Context, load Load, ceiling float64) error {
	n := w.n
	// Rises this high only occur on the way to nowhere.
	far := 1e13
	if !math.IsInf(ceiling, 1) {
		far = math.Max(1e4, 30*(ceiling-n.p.Ambient))
	}
	settled := false
	var stalled error
	pseudo := 1e3 / math.Max(n.slowestGuess(), 1e-6)
	w.iterations = 0
	size := w.measure(w.rise, load)
	for w.iterations < 400 {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("heat: steady state: %w", err)
		}
		w.power = total(w.at.watts)
		// Residuals count against the power; with none, against what a rise of
		// 1 K loses. No sum of flows is better than their rounding.
		scale, flows := w.power, 0.0
		if !(scale > 0) {
			scale = total(w.at.slope)
		}
		for i, r := range w.rise {
			flows += (w.links[i] + math.Abs(w.at.slope[i])) * math.Abs(r)
		}
		w.residual = size / math.Max(scale, math.SmallestNonzeroFloat64)
		if w.residual <= steadyTolerance || size <= 1e-14*flows {
			settled = true
			break
		}
		for i, d := range w.at.slope {
			w.solve.diagonal[i] = n.capacity[i]/pseudo + d
		}
		o := n.p.Heated * n.pixels
		for p, g := range w.at.gain {
			w.solve.diagonal[o+p] -= g
		}
		w.solve.prepare()
		clear(w.dx)
		w.iterations++
		if err := w.solve.solve(ctx, w.dx, w.f, 1e-10); err != nil {
			if ctx.Err() != nil {
				return fmt.Errorf("heat: steady state: %w", err)
			}
			if err == errStalled {
				stalled = err
			}
			// Heating feeds itself at this state, or the solver stalls. Past the
			// ceiling the former is the answer; before it the pseudo time must
			// follow more closely.
			if most, _ := hottest(w.rise); err == errIndefinite && most > ceiling-n.p.Ambient {
				return w.runaway(0)
			}
			pseudo /= 16
			if pseudo < 1e-9 {
				break
			}
			continue
		}
		worst := 0.0
		for i, v := range w.dx {
			w.trial[i] = w.rise[i] + v
			worst = math.Max(worst, w.trial[i])
		}
		if worst > far || math.IsNaN(worst) {
			copy(w.rise, w.trial)
			return w.runaway(0)
		}
		next := w.measure(w.trial, load)
		copy(w.rise, w.trial)
		pseudo *= math.Min(math.Max(2*size/math.Max(next, 1e-300), 2), 1e3)
		pseudo = math.Min(pseudo, 1e15)
		size = next
	}
	if !settled && !(w.residual <= 1e-9) {
		if stalled != nil {
			return fmt.Errorf("heat: steady state: %w", stalled)
		}
		return w.runaway(0)
	}
	_, at := hottest(w.rise)
	t := w.rise[at] + n.p.Ambient
	for p, watts := range w.at.watts {
		_, turn := n.coil.steadyReading(w.rise[n.p.Heated*n.pixels+p]+n.p.Ambient, watts)
		t = math.Max(t, turn)
	}
	if t > ceiling {
		return w.runaway(t)
	}
	return nil
}

// slowestGuess is the loss of the board over its capacity, 1/s, roughly.
func (n *Network) slowestGuess() float64 {
	loss, c := 0.0, 0.0
	for _, e := range n.exposed {
		_, d := e.table.at(20)
		for range n.pixels {
			loss += d * e.area
		}
	}
	for _, r := range n.rim {
		_, d := n.rimTable.at(20)
		loss += d * r.area
	}
	for _, v := range n.capacity {
		c += v
	}
	return loss / c
}

func hottest(rise []float64) (most float64, at int) {
	most = math.Inf(-1)
	for i, v := range rise {
		if v > most {
			most, at = v, i
		}
	}
	return most, at
}

func (w *newton) runaway(temperature float64) error {
	n := w.n
	_, at := hottest(w.rise)
	l, p := at/n.pixels, at%n.pixels
	return &RunawayError{
		Layer: l, Row: p / n.cols, Col: p % n.cols, Temperature: temperature,
		Ceiling: n.p.Ceiling, Growing: n.growing(&w.at, p), Steady: true,
	}
}

func (w *newton) result() Result {
	n := w.n
	r := Result{Power: w.power, Loss: total(w.at.loss), Residual: w.residual, Iterations: w.iterations}
	for l := range n.layers {
		t := make([]float64, n.pixels)
		for p := range t {
			t[p] = w.rise[l*n.pixels+p] + n.p.Ambient
		}
		r.Layers = append(r.Layers, t)
	}
	for i := range n.exposed {
		e := &n.exposed[i]
		lost := 0.0
		for p := range n.pixels {
			q, _ := e.table.at(w.rise[e.layer*n.pixels+p])
			lost += q * e.area
		}
		if e.table == n.front {
			r.Front += lost
		} else {
			r.Back += lost
		}
	}
	for _, x := range n.rim {
		q, _ := n.rimTable.at(w.rise[x.node])
		r.Edge += q * x.area
	}
	r.stages = len(n.coil.stages)
	r.Watts = append([]float64(nil), w.at.watts...)
	r.Coils, r.Turns = make([]float64, n.pixels), make([]float64, n.pixels)
	for p, t := range r.Layers[n.p.Heated] {
		r.Coils[p], r.Turns[p] = n.coil.steadyReading(t, r.Watts[p])
	}
	r.Hottest, r.Pixel = hottest(r.Turns)
	return r
}
