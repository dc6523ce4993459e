package heat

import (
	"fmt"
	"math"

	"lodegrid/array/extent"
)

// RunawayError reports a run or a steady state that left the range of the model.
type RunawayError struct {
	Layer, Row, Col int
	Temperature     float64 // K, where the ceiling was passed; 0 when no steady state was found
	Ceiling         float64 // K
	Growing         bool    // heating feeds itself there
	Steady          bool    // found by a steady solution, not by a step
}

func (e *RunawayError) Error() string {
	where := extent.Place(e.Row, e.Col)
	switch {
	case e.Steady && e.Temperature == 0:
		return "heat: thermal runaway: this load has no steady state; hottest at " + where
	case e.Steady:
		return fmt.Sprintf("heat: the steady temperature of %s would be %.4g K, above the ceiling of %.4g K",
			where, e.Temperature, e.Ceiling)
	case e.Growing:
		return fmt.Sprintf("heat: thermal runaway: %s has passed the ceiling of %.4g K and heats ever faster", where, e.Ceiling)
	}
	return fmt.Sprintf("heat: %s has passed the ceiling of %.4g K", where, e.Ceiling)
}

// growing reports whether pixel p alone, left to itself, heats faster the hotter it gets: whether
// loss' + conduction − P' of its chain of nodes fails to be positive definite, by the signs of its
// leading minors. Neighbours may still carry the heat away, and a short pulse may end first.
func (n *Network) growing(s *sample, p int) bool {
	minor, before, link := 1.0, 0.0, 0.0
	for l := range n.layers {
		i := l*n.pixels + p
		d := s.slope[i] + link + n.down[i]
		if l == n.p.Heated {
			// A coil's stages pass its own heat back to it: P'/(1 − P' Z), Z their answer.
			z := n.coil.mean
			if !(s.gain[p]*z < 1) {
				return true
			}
			d -= s.gain[p] / (1 - s.gain[p]*z)
		}
		minor, before = d*minor-link*link*before, minor
		if !(minor > 0) {
			return true
		}
		link = n.down[i]
	}
	return false
}

// mostTurn is a rise over the air that no turn passes, K, by the hottest node and the greatest
// power so far: a quick look before each turn is told. No stage is beyond all power that it
// has followed; within a step that is less than twice what it was at its beginning.
func (n *Network) mostTurn() float64 {
	c := &n.coil
	var mean, more, again float64
	most := 2 * c.reach
	for _, r := range n.rise[n.p.Heated*n.pixels:][:n.pixels] {
		if r > mean || math.IsNaN(r) {
			mean = r
		}
	}
	for _, s := range c.stages {
		mean += math.Abs(s.Mean) * most
		more += math.Abs(s.Hottest-s.Mean) * most
		again += math.Abs(s.Again) * most
	}
	return mean + more*(1+c.alpha/leastResistance*again)
}

// check returns a *RunawayError if a node has passed the ceiling or is not a
// number.
func (n *Network) check() error {
	limit := n.p.Ceiling - n.p.Ambient
	if len(n.coil.stages) > 0 && !(n.mostTurn() <= limit) {
		if t, p := n.HottestTurn(); !(t <= n.p.Ceiling) {
			return &RunawayError{
				Layer: n.p.Heated, Row: p / n.cols, Col: p % n.cols, Temperature: t, Ceiling: n.p.Ceiling,
				Growing: n.growing(&n.at, p) || math.IsNaN(t),
			}
		}
	}
	for i, r := range n.rise {
		if r <= limit {
			continue
		}
		for j := i + 1; j < len(n.rise); j++ {
			if v := n.rise[j]; v > r {
				i, r = j, v
			}
		}
		l, p := i/n.pixels, i%n.pixels
		return &RunawayError{
			Layer: l, Row: p / n.cols, Col: p % n.cols,
			Temperature: r + n.p.Ambient, Ceiling: n.p.Ceiling,
			Growing: n.growing(&n.at, p) || math.IsNaN(r),
		}
	}
	return nil
}
