package player

import (
	"context"
	"fmt"
	"math"

	"lodegrid/scenes"
)

// The loops that settle runs at most, and how far any temperature may differ between
// the start and the end of the last, K.
const (
	settleLoops     = 3
	settleTolerance = 0.05
)

// settle runs a looping scene, currents and heat only, from the steady state of its
// average heat until its start repeats, at most a number of loops.
//
// That state is where a loop passes through, not where it starts: a scene that is
// bright in its first half starts below its mean. Patterns of temperature that live
// long against a loop would take many loops to find their place, but they keep their
// time average, so a loop that averages off by some kelvin started off by as much; the
// others forget their start within a loop. Of a pattern that dies away by e^(-x) in a loop
// that much times x/(1 - e^(-x)) of what the average is off by is left at the end.
func (p *Player) settle(ctx context.Context, s scenes.Scene, mean [][]float64, loops int) error {
	start := make([][]float64, len(mean))
	average := make([][]float64, len(mean))
	for l := range mean {
		start[l] = append([]float64(nil), mean[l]...)
		average[l] = make([]float64, len(mean[l]))
	}
	total, frames := s.Duration(), joined(s.Frames)
	x := total * p.net.Forgets()
	left := x / math.Expm1(x)
	for loop := range loops {
		for l := range average {
			clear(average[l])
		}
		for _, f := range frames {
			if err := ctx.Err(); err != nil {
				return err
			}
			p.addTemperatures(average, f.Duration/2/total)
			p.measure()
			if err := p.power(ctx, &Entry{Duration: f.Duration}, f.Levels); err != nil {
				return fmt.Errorf("settling scene %q: %w", s.Name, err)
			}
			p.addTemperatures(average, f.Duration/2/total)
		}
		moved := 0.0
		for l := range start {
			for i, t := range p.net.State(l) {
				if loop == 0 {
					t += left * (mean[l][i] - average[l][i])
				}
				moved = max(moved, p.net.Kelvin(l)*math.Abs(t-start[l][i]))
				start[l][i] = t
			}
		}
		p.net.StartFrom(start)
		if moved <= settleTolerance {
			break
		}
	}
	return nil
}

// addTemperatures adds a share of the present temperatures to sums per layer.
func (p *Player) addTemperatures(sums [][]float64, share float64) {
	for l := range sums {
		for i, t := range p.net.State(l) {
			sums[l][i] += share * t
		}
	}
}
