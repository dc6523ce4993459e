package compose

import (
	"context"
	"errors"
	"fmt"
	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// Clips lays clips over each other in their order and returns the scene they
// make, from 0 to the end of the last one; what no clip covers is off. A frame
// ends when the picture changes, at whatever instant a clip says, so that every
// clip keeps its own timing.
func Clips(ctx context.Context, name string, rows, cols int, clips []Clip, limits DriveLimits) (scenes.Scene, error) {
	tracks := make([]track, len(clips))
	err := errors.Join(limits.Validate(), extent.Check(rows, cols))
	for i := 0; i < len(clips) && err == nil; i++ {
		if tracks[i], err = newTrack(clips[i], rows, cols, scenes.DefaultLimits()); err != nil {
			err = fmt.Errorf("clip %d: %w", i+1, err)
		}
	}
	var s scenes.Scene
	if err == nil {
		s, err = compose(ctx, rows, cols, tracks, limits, scenes.DefaultLimits())
	}
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("composing scene %q: %w", name, err)
	}
	s.Name = name
	return s, nil
}
