package generate

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/scenes"
)

const (
	axisVertical   = "vertical"
	axisHorizontal = "horizontal"
)

func gaugeDefaults(p *Params) {
	p.Period, p.Duration, p.FrameTime = 10, 10, 0.1
	p.Low, p.High, p.Axis = 0, 1, axisVertical
}

// gauge is a bar across the grid that fills evenly from Low to High in the first
// half of the period and empties in the second. The pixel the bar ends in is as
// bright as its filled share.
func gauge(ctx context.Context, p Params) (scenes.Scene, error) {
	if err := cmp.Or(
		positive("period", p.Period, "s"),
		within("low", p.Low, 0, 1),
		within("high", p.High, p.Low, 1),
	); err != nil {
		return scenes.Scene{}, err
	}
	if p.Axis != axisVertical && p.Axis != axisHorizontal {
		return scenes.Scene{}, fmt.Errorf("axis %q: want %s or %s", p.Axis, axisVertical, axisHorizontal)
	}
	return p.timed(ctx, p.Duration, p.FrameTime, func(i int, levels []float64) {
		phase := math.Mod(float64(i)*p.FrameTime/p.Period, 1)
		value := p.Low + (p.High-p.Low)*(1-math.Abs(2*phase-1))
		for k := range levels {
			row, col := k/p.Cols, k%p.Cols
			from, length := float64(p.Rows-1-row), float64(p.Rows)
			if p.Axis == axisHorizontal {
				from, length = float64(col), float64(p.Cols)
			}
			levels[k] = math.Min(1, math.Max(0, value*length-from))
		}
	})
}
