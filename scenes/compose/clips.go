package compose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lodegrid/scenes"
)

// Blend names how a clip's levels meet those of the clips before it.
type Blend string

// The blends. A clip without a blend replaces.
const (
	Replace  Blend = "replace"  // the clip alone
	Add      Blend = "add"      // the sum, clipped to −1…1
	Maximum  Blend = "maximum"  // the one of greater magnitude, the clip's if they are equal
	Multiply Blend = "multiply" // the product: the clip as a mask
)

// blends in the order they are shown.
var blends = []Blend{Replace, Add, Maximum, Multiply}

// Clip is a scene laid on the time line.
type Clip struct {
	Scene  scenes.Scene
	Start  float64 // s
	Length float64 // s; 0: as long as the scene
	Loop   bool    // the scene is repeated to fill the length; otherwise its last frame stands
	Blend  Blend
}

// end returns when the clip is over, in s.
func (c Clip) end() float64 {
	if c.Length == 0 {
		return c.Start + c.Scene.Duration()
	}
	return c.Start + c.Length
}

// DriveLimits bound the levels of a composed scene.
type DriveLimits struct {
	Lowest, Highest float64 // −1…1; levels beyond are clipped
	Mean            float64 // 0…1: a frame whose mean of |level| is greater is scaled down to it
}

// NoDriveLimits lets everything pass.
func NoDriveLimits() DriveLimits { return DriveLimits{Lowest: -1, Highest: 1, Mean: 1} }

// Validate reports the first limit out of its range.
func (l DriveLimits) Validate() error {
	if !(l.Lowest >= -1 && l.Lowest <= 0) {
		return fmt.Errorf("lowest level %g: want −1…0", l.Lowest)
	}
	if !(l.Highest >= 0 && l.Highest <= 1) {
		return fmt.Errorf("highest level %g: want 0…1", l.Highest)
	}
	if !(l.Mean > 0 && l.Mean <= 1) {
		return fmt.Errorf("mean level %g: want more than 0, at most 1", l.Mean)
	}
	return nil
}

// apply bounds the levels of one frame.
func (l DriveLimits) apply(levels []float64) {
	var sum float64
	for p, v := range levels {
		v = math.Min(math.Max(v, l.Lowest), l.Highest)
		levels[p] = v
		sum += math.Abs(v)
	}
	if mean := sum / float64(len(levels)); mean > l.Mean {
		for p := range levels {
			levels[p] *= l.Mean / mean
		}
	}
}

// compose lays tracks over each other, within limits that hold.
func compose(ctx context.Context, rows, cols int, tracks []track, limits DriveLimits, lim scenes.Limits) (scenes.Scene, error) {
	if len(tracks) == 0 {
		return scenes.Scene{}, errors.New("no clips")
	}
	var end float64
	most := 0 // frames, but for those of loops
	for _, t := range tracks {
		end = math.Max(end, t.end)
		most += len(t.frames)
	}
	if end > lim.Duration {
		return scenes.Scene{}, fmt.Errorf("%g s, the limit is %g s", end, lim.Duration)
	}
	s := scenes.Scene{Rows: rows, Cols: cols, Frames: make([]scenes.Frame, 0, min(most, lim.Frames))}
	levels := make([]float64, rows*cols)
	for now, changes := 0.0, 1; now < end-scenes.SameInstant; changes++ {
		if err := ctx.Err(); err != nil {
			return scenes.Scene{}, fmt.Errorf("at %g s: %w", now, err)
		}
		if changes > lim.Frames {
			return scenes.Scene{}, fmt.Errorf("at %g s: more than %d frames of the clips end until then", now, lim.Frames)
		}
		next := end
		clear(levels)
		for i := range tracks {
			frame, until := tracks[i].at(now)
			next = math.Min(next, until)
			if frame != nil {
				tracks[i].blend.onto(levels, frame.Levels)
			}
		}
		limits.apply(levels)
		if n := len(s.Frames); n > 0 && slices.Equal(s.Frames[n-1].Levels, levels) {
			s.Frames[n-1].Duration += next - now
		} else {
			if err := lim.CheckFrames(n+1, rows*cols); err != nil {
				return scenes.Scene{}, fmt.Errorf("at %g s: %w", now, err)
			}
			s.Frames = append(s.Frames, scenes.Frame{Levels: slices.Clone(levels), Duration: next - now})
		}
		now = next
	}
	return s, s.ValidateWithin(lim)
}

// onto lays levels over those below.
func (b Blend) onto(below, levels []float64) {
	switch b {
	case Add:
		for p, v := range levels {
			below[p] = math.Min(1, math.Max(-1, below[p]+v))
		}
	case Maximum:
		for p, v := range levels {
			if math.Abs(v) >= math.Abs(below[p]) {
				below[p] = v
			}
		}
	case Multiply:
		for p, v := range levels {
			below[p] *= v
		}
	default:
		copy(below, levels)
	}
}

// track reads a clip forward in time.
type track struct {
	frames []scenes.Frame
	ends   []float64 // of the frames, from the scene's start
	start  float64
	end    float64
	loop   bool
	blend  Blend
	frame  int
	round  float64 // rounds of a loop completed
}

func newTrack(c Clip, rows, cols int, lim scenes.Limits) (track, error) {
	if c.Scene.Rows != rows || c.Scene.Cols != cols {
		return track{}, fmt.Errorf("scene %q is for %d rows × %d columns, the grid has %d × %d", c.Scene.Name, c.Scene.Rows, c.Scene.Cols, rows, cols)
	}
	if err := c.Scene.ValidateWithin(lim); err != nil {
		return track{}, err
	}
	if !(c.Start >= 0 && c.Start <= lim.Duration) {
		return track{}, fmt.Errorf("start at %g s: want 0…%g s", c.Start, lim.Duration)
	}
	if !(c.Length >= 0 && c.Length <= lim.Duration) {
		return track{}, fmt.Errorf("length of %g s: want 0…%g s", c.Length, lim.Duration)
	}
	if c.Blend != "" {
		if err := c.Blend.validate(); err != nil {
			return track{}, err
		}
	}
	t := track{frames: c.Scene.Frames, start: c.Start, end: c.end(), loop: c.Loop, blend: c.Blend}
	var sum float64
	t.ends = make([]float64, len(t.frames))
	for i, f := range t.frames {
		sum += f.Duration
		t.ends[i] = sum
	}
	if t.loop && sum < scenes.SameInstant {
		return track{}, fmt.Errorf("a loop of %g s: want at least %g s", sum, scenes.SameInstant)
	}
	return t, nil
}

func (b Blend) validate() error {
	for _, known := range blends {
		if b == known {
			return nil
		}
	}
	return fmt.Errorf("blend %q: want one of %q", string(b), blends)
}

// at returns the frame that stands at now, nil if none does, and the instant from
// which another may; calls go forward in time.
func (t *track) at(now float64) (*scenes.Frame, float64) {
	if now < t.start-scenes.SameInstant {
		return nil, t.start
	}
	if now >= t.end-scenes.SameInstant {
		return nil, math.Inf(1)
	}
	for {
		until := t.start + t.round*t.ends[len(t.ends)-1] + t.ends[t.frame]
		if until > now+scenes.SameInstant {
			return &t.frames[t.frame], math.Min(until, t.end)
		}
		switch {
		case t.frame < len(t.frames)-1:
			t.frame++
		case t.loop:
			t.frame = 0
			t.round++
		default:
			return &t.frames[t.frame], t.end
		}
	}
}
