package generate

import (
	"context"

	"lodegrid/scenes"
)

func allOnDefaults(p *Params) { p.Duration = 10 }

// allOn is one frame with every pixel lit: the greatest load there is.
func allOn(ctx context.Context, p Params) (scenes.Scene, error) {
	return p.timed(ctx, p.Duration, p.Duration, func(_ int, levels []float64) {
		for k := range levels {
			levels[k] = 1
		}
	})
}
