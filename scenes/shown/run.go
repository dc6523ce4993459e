package shown

import (
	"context"
	"fmt"

	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Run is a scene played for fluids that are watched, from any instant to any other. Its last
// frame stands beyond the scene's end.
type Run struct {
	Entry player.Entry // of the frame that stands

	show              func(context.Context, scenes.Frame) (player.Entry, error)
	player            *player.Player
	frames            []scenes.Frame
	fluids            []*Recorder
	next              int     // frame
	began, ends, time float64 // s, of the frame that stands, and now
}

// NewRun is a run of a scene that has not begun. The player goes on from its present
// temperatures.
func NewRun(p *player.Player, s scenes.Scene, fluids ...*Recorder) *Run {
	return &Run{show: p.Show, player: p, frames: s.Frames, fluids: fluids}
}

// To goes on until so many seconds after the scene's beginning.
func (r *Run) To(ctx context.Context, until float64) error {
	for until-r.time > scenes.SameInstant {
		if err := ctx.Err(); err != nil {
			return err
		}
		if r.ends-r.time <= scenes.SameInstant && r.next < len(r.frames) {
			f := r.frames[r.next]
			r.next++
			var err error
			if r.Entry, err = r.show(ctx, f); err != nil {
				return fmt.Errorf("frame %d: %w", r.next, err)
			}
			r.began, r.ends = r.ends, r.ends+f.Duration
		}
		end := until
		if r.next < len(r.frames) {
			end = min(until, r.ends)
		}
		err := r.player.Move(r.time-r.began, end-r.began, func(dt float64, plane *grid.Plane) error {
			for _, f := range r.fluids {
				if err := ctx.Err(); err != nil {
					return err
				}
				if err := f.Move(dt, plane); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return fmt.Errorf("frame %d: %w", r.next, err)
		}
		r.time = end
	}
	return nil
}

// Time is how many seconds after the scene's beginning it is.
func (r *Run) Time() float64 { return r.time }

// Each goes through what is left of the scene and calls after at every frame's end, until it
// returns false.
func (r *Run) Each(ctx context.Context, after func() bool) error {
	for _, f := range r.frames[r.next:] {
		if err := r.To(ctx, r.ends+f.Duration); err != nil {
			return err
		}
		if !after() {
			break
		}
	}
	return nil
}
