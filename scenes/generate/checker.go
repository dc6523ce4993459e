package generate

import (
	"context"
	"fmt"

	"lodegrid/scenes"
)

func checkerDefaults(p *Params) {
	p.Period, p.Duration, p.Cell = 2, 4, 1
}

// checker lights the squares of a board of Cell × Cell pixels, the top left one
// first, then for the second half of each period those between.
func checker(ctx context.Context, p Params) (scenes.Scene, error) {
	if p.Cell < 1 {
		return scenes.Scene{}, fmt.Errorf("cell %d pixels: want at least 1", p.Cell)
	}
	if err := positive("period", p.Period, "s"); err != nil {
		return scenes.Scene{}, err
	}
	return p.timed(ctx, p.Duration, p.Period/2, func(i int, levels []float64) {
		for k := range levels {
			square := k/p.Cols/p.Cell + k%p.Cols/p.Cell
			levels[k] = step((square+i)%2 == 0)
		}
	})
}
