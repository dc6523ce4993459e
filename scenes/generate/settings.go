package generate

import (
	"cmp"
	"context"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// Of makes the scene of a kind with a design's settings, mapped as m says.
func Of(ctx context.Context, kind string, s design.Scene, rows, cols int, m scenes.Mapping) (scenes.Scene, error) {
	p, err := Defaults(kind, rows, cols)
	if err != nil {
		return scenes.Scene{}, err
	}
	p.Duration, p.FrameTime, p.Text = cmp.Or(s.Duration, p.Duration), cmp.Or(s.FrameTime, p.FrameTime), cmp.Or(s.Text, p.Text)
	p.Band, p.Seed = min(s.Band, float64(rows)), s.Seed
	made, err := Scene(ctx, kind, p)
	if err != nil {
		return made, err
	}
	return m.Scene(ctx, made)
}
