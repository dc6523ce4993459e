package generate

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"

	"lodegrid/scenes"
)

// Orders in which walk visits the pixels.
const (
	orderRows       = "rows"       // as one reads
	orderSerpentine = "serpentine" // every second row from right to left
	orderRandom     = "random"     // every pixel once, shuffled by the seed
)

func walkDefaults(p *Params) {
	p.FrameTime, p.Order = 0.1, orderRows
}

// walk lights one pixel per frame, every one once per pass, in the given order.
// A duration of 0 is one pass; a longer one begins it again.
func walk(ctx context.Context, p Params) (scenes.Scene, error) {
	n := p.Rows * p.Cols
	var path []int
	switch p.Order {
	case orderRows:
		path = make([]int, n)
		for k := range path {
			path[k] = k
		}
	case orderSerpentine:
		path = serpentinePath(p.Rows, p.Cols)
	case orderRandom:
		path = rand.New(rand.NewPCG(p.Seed, 0)).Perm(n)
	default:
		return scenes.Scene{}, fmt.Errorf("order %q: want %s, %s or %s", p.Order, orderRows, orderSerpentine, orderRandom)
	}
	duration := cmp.Or(p.Duration, float64(n)*p.FrameTime)
	return p.timed(ctx, duration, p.FrameTime, func(i int, levels []float64) { levels[path[i%n]] = 1 })
}

// serpentinePath is every pixel row by row from the top, every second row from right
// to left.
func serpentinePath(rows, cols int) []int {
	path := make([]int, rows*cols)
	for k := range path {
		path[k] = k
		if row, col := k/cols, k%cols; row%2 == 1 {
			path[k] = row*cols + cols - 1 - col
		}
	}
	return path
}
