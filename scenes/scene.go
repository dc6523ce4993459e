package scenes

import (
	"fmt"
	"math"
	"slices"

	"lodegrid/array/extent"
)

// Frame is one picture and how long it stands.
type Frame struct {
	Levels   []float64 // Rows*Cols, row 0 at the top, −1…1 of full drive
	Duration float64   // s
}

// SameInstant is the time in s under which two instants are taken as one.
const SameInstant = 1e-7

// Scene is a sequence of frames on a grid of Rows × Cols pixels. Whether it is
// repeated is up to whoever plays it.
type Scene struct {
	Name       string
	Rows, Cols int
	Frames     []Frame
}

// Duration returns the sum of the frames' durations in seconds.
func (s Scene) Duration() float64 {
	var sum float64
	for _, f := range s.Frames {
		sum += f.Duration
	}
	return sum
}

// Faster is the scene played so many times as fast. The frames' levels are shared.
func (s Scene) Faster(times float64) Scene {
	if times == 1 {
		return s
	}
	s.Frames = slices.Clone(s.Frames)
	for i := range s.Frames {
		s.Frames[i].Duration /= times
	}
	return s
}

// Shared is the scene with frames in a row that are alike on one slice of levels, by which
// Alike finds them at once. Nobody may write to it.
func (s Scene) Shared() Scene {
	s.Frames = slices.Clone(s.Frames)
	for i := 1; i < len(s.Frames); i++ {
		if s.Frames[i].Alike(s.Frames[i-1]) {
			s.Frames[i].Levels = s.Frames[i-1].Levels
		}
	}
	return s
}

// Alike tells whether two frames of a scene have the same levels.
func (f Frame) Alike(g Frame) bool {
	return len(f.Levels) > 0 && &f.Levels[0] == &g.Levels[0] || slices.Equal(f.Levels, g.Levels)
}

// Alike tells whether two scenes have the same frames, however long these last.
func (s Scene) Alike(t Scene) bool { return slices.EqualFunc(s.Frames, t.Frames, Frame.Alike) }

// At returns the index of the frame that stands at time t in seconds after the
// start: the first frame before the start, the last one after the end, −1 when
// there is none. A frame owns its starting instant.
func (s Scene) At(t float64) int {
	var end float64
	for i, f := range s.Frames {
		end += f.Duration
		if t < end {
			return i
		}
	}
	return len(s.Frames) - 1
}

// Validate reports the first thing about the scene that cannot be played: a grid
// without pixels, no frames, a frame of the wrong size, a level that is not a
// number in −1…1, a duration that is not positive, or a size beyond
// DefaultLimits.
func (s Scene) Validate() error {
	return s.ValidateWithin(DefaultLimits())
}

// ValidateWithin is Validate with other limits.
func (s Scene) ValidateWithin(lim Limits) error {
	if err := extent.Check(s.Rows, s.Cols); err != nil {
		return fmt.Errorf("scene %q: %w", s.Name, err)
	}
	if len(s.Frames) == 0 {
		return fmt.Errorf("scene %q: no frames", s.Name)
	}
	if err := lim.CheckFrames(len(s.Frames), s.Rows*s.Cols); err != nil {
		return fmt.Errorf("scene %q: %w", s.Name, err)
	}
	var total float64
	for i, f := range s.Frames {
		if err := f.validate(s.Rows, s.Cols); err != nil {
			return fmt.Errorf("scene %q, frame %d: %w", s.Name, i+1, err)
		}
		total += f.Duration
	}
	if total > lim.Duration {
		return fmt.Errorf("scene %q: lasts %g s, the limit is %g s", s.Name, total, lim.Duration)
	}
	return nil
}

func (f Frame) validate(rows, cols int) error {
	if len(f.Levels) != rows*cols {
		return fmt.Errorf("%d levels for a grid of %d rows × %d columns, want %d", len(f.Levels), rows, cols, rows*cols)
	}
	if err := CheckDuration(f.Duration); err != nil {
		return err
	}
	for p, v := range f.Levels {
		if err := CheckLevel(v); err != nil {
			return fmt.Errorf("%s: %w", extent.PlaceOf(p, cols), err)
		}
	}
	return nil
}

// CheckLevel reports a level that is no number in −1…1.
func CheckLevel(v float64) error {
	if !(v >= -1 && v <= 1) {
		return fmt.Errorf("level %g is not a number in −1…1", v)
	}
	return nil
}

// CheckDuration reports a time in seconds that no frame can last.
func CheckDuration(v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("duration %g s is not a positive, finite time", v)
	}
	return nil
}

// New returns a scene of n frames of equal duration in seconds with all levels zero; the
// frames' levels share one allocation.
func New(name string, rows, cols, n int, duration float64) Scene {
	s := Scene{Name: name, Rows: rows, Cols: cols, Frames: make([]Frame, n)}
	size := rows * cols
	all := make([]float64, n*size)
	for i := range s.Frames {
		s.Frames[i] = Frame{Levels: all[i*size : (i+1)*size : (i+1)*size], Duration: duration}
	}
	return s
}
