package generate

import (
	"cmp"
	"context"
	"fmt"

	"lodegrid/scenes"
)

const orderRing = "ring" // along the edge of the grid

func handOverDefaults(p *Params) {
	p.FrameTime, p.Order, p.Overlap = 0.5, orderRing, 0.5
}

// handOver carries one drop from pixel to neighbouring pixel: each step takes
// FrameTime, and for the first Overlap of it the pixel that gives the drop stays on
// beside the one that takes it. The path is round the edge of the grid, or through
// every pixel and back, so that it closes. A duration of 0 is once along the path; a
// longer one begins it again.
func handOver(ctx context.Context, p Params) (scenes.Scene, error) {
	if err := cmp.Or(positive("frame time", p.FrameTime, "s"), within("overlap", p.Overlap, 0, 1)); err != nil {
		return scenes.Scene{}, err
	}
	var path []int
	switch p.Order {
	case orderRing:
		path = ringPath(p.Rows, p.Cols)
	case orderSerpentine:
		path = thereAndBack(serpentinePath(p.Rows, p.Cols))
	default:
		return scenes.Scene{}, fmt.Errorf("order %q: want %s or %s, in which every step is to a neighbour", p.Order, orderRing, orderSerpentine)
	}
	if p.Duration < 0 {
		return scenes.Scene{}, positive("duration", p.Duration, "s")
	}
	duration := cmp.Or(p.Duration, float64(len(path))*p.FrameTime)
	s, err := p.timed(ctx, duration, p.FrameTime, func(i int, levels []float64) { levels[path[i%len(path)]] = 1 })
	if err != nil || p.Overlap == 0 || len(path) == 1 {
		return s, err
	}
	steps := s.Frames
	if err := p.limits.CheckFrames(2*len(steps), p.Rows*p.Cols); err != nil {
		return scenes.Scene{}, err
	}
	s.Frames = nil
	for i, f := range steps {
		if err := ctx.Err(); err != nil {
			return scenes.Scene{}, err
		}
		both := scenes.Frame{Levels: append([]float64(nil), f.Levels...), Duration: min(p.Overlap*p.FrameTime, f.Duration)}
		if i > 0 { // the first step has the drop already
			both.Levels[path[(i-1)%len(path)]] = 1
		}
		s.Frames = append(s.Frames, both)
		if rest := f.Duration - both.Duration; rest > scenes.SameInstant {
			s.Frames = append(s.Frames, scenes.Frame{Levels: f.Levels, Duration: rest})
		}
	}
	return s, nil
}

// ringPath is the pixels along the edge, clockwise from the upper left corner; of a
// single row or column, there and back.
func ringPath(rows, cols int) []int {
	if rows == 1 || cols == 1 {
		return thereAndBack(serpentinePath(rows, cols))
	}
	var path []int
	for c := range cols {
		path = append(path, c)
	}
	for r := 1; r < rows; r++ {
		path = append(path, r*cols+cols-1)
	}
	for c := cols - 2; c >= 0; c-- {
		path = append(path, (rows-1)*cols+c)
	}
	for r := rows - 2; r > 0; r-- {
		path = append(path, r*cols)
	}
	return path
}

// thereAndBack appends the way back to a path, but for its two ends.
func thereAndBack(path []int) []int {
	for k := len(path) - 2; k > 0; k-- {
		path = append(path, path[k])
	}
	return path
}
