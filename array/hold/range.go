package hold

import (
	"context"
	"math"

	"lodegrid/array/grid"
)

// Range is between what the least hold of a picture's lit pixels lies where the fluid's
// relaxation is a guess, with cold coils.
type Range struct {
	Told           float64 // at the design's relaxation; +Inf where nothing is lit or needed
	Slow, Quick    float64 // at the slow end of the range and at the quick one
	Longest, Least float64 // s, the ends
}

// Matters tells whether the guess moves the hold by more than a hundredth.
func (r Range) Matters() bool {
	return math.Abs(r.Quick-r.Slow) > 0.01*r.Told && !math.IsInf(r.Told, 0)
}

// RangeOf works out the range for levels.
func RangeOf(ctx context.Context, g *grid.Grid, levels []float64) (Range, error) {
	var r Range
	r.Least, r.Longest = g.Design.Fluid.RelaxationRange()
	for _, c := range []struct {
		to         *float64
		relaxation float64
	}{{&r.Told, g.Design.Fluid.Relaxation}, {&r.Slow, r.Longest}, {&r.Quick, r.Least}} {
		if c.to != &r.Told && c.relaxation == g.Design.Fluid.Relaxation {
			*c.to = r.Told
			continue
		}
		h := *g
		h.Design.Fluid.Relaxation = c.relaxation
		t := newTogether(&h)
		for k, v := range levels {
			if v != 0 {
				t.currents.Set(k, h.At(v))
				t.states[k] = h.StateOf(v)
			}
		}
		v, err := t.judge(ctx)
		if err != nil {
			return r, err
		}
		*c.to = v.hold
	}
	return r, nil
}

// Alone is the levels of the middle pixel lit alone.
func Alone(g *grid.Grid) []float64 {
	levels := make([]float64, g.Design.Pixels())
	levels[g.Design.Pixel(g.Design.Grid.Rows/2, g.Design.Grid.Cols/2)] = g.FullLevel()
	return levels
}
