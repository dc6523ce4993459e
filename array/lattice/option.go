package lattice

import "fmt"

// DefaultMemoryLimit is what New may use unless told otherwise, in bytes.
const DefaultMemoryLimit int64 = 4 << 30

// Option changes how New prepares an engine. A Symmetry is an option as well.
type Option interface {
	apply(*settings)
}

type settings struct {
	symmetry   Symmetry
	limit      float64
	framesOnly bool
	truncate   float64
	truncated  bool
	workers    int
}

type option func(*settings)

func (o option) apply(s *settings) { o(s) }

// MemoryLimit lets New use up to the given number of bytes instead of
// DefaultMemoryLimit, the planes of one NewPlanes included.
func MemoryLimit(bytes int64) Option {
	return option(func(s *settings) { s.limit = float64(bytes) })
}

// FramesOnly leaves out the table that the changed-pixel path needs: Add returns
// an error and Update always sums the whole frame. It saves about half of the
// memory.
func FramesOnly() Option {
	return option(func(s *settings) { s.framesOnly = true })
}

// Truncated makes an engine for previews that leaves out what a pixel does
// beyond a window of some whole pitches. The window is the smallest for which no
// pattern of levels between -1 and 1 can change any sample of a component by
// more than relErr (0 < relErr < 1) times the largest magnitude of that
// component's kernel on the raster; Engine.Window tells its radius and the bound
// that holds.
func Truncated(relErr float64) Option {
	return option(func(s *settings) { s.truncate, s.truncated = relErr, true })
}

// Workers lets whole frames be summed by n goroutines at once instead of one;
// each needs scratch memory of its own. It pays with a core to spare for each:
// two took 0.54 of the time of one in plain Go and 0.75 with the vector loops at
// 64×64 pixels, 8 samples and 3 components, and as long as one when the second
// core was busy. The sum is the same to the last bit.
func Workers(n int) Option {
	return option(func(s *settings) { s.workers = n })
}

func gather(s Shape, opts []Option) (settings, error) {
	set := settings{limit: float64(DefaultMemoryLimit), workers: 1}
	for _, o := range opts {
		if o != nil {
			o.apply(&set)
		}
	}
	if set.truncated && !(set.truncate > 0 && set.truncate < 1) {
		return set, fmt.Errorf("lattice: Truncated(%g): the relative error must be above 0 and below 1", set.truncate)
	}
	if set.workers < 1 || set.workers > 256 {
		return set, fmt.Errorf("lattice: Workers(%d): must be 1 to 256", set.workers)
	}
	if err := set.symmetry.validate(s.Components); err != nil {
		return set, err
	}
	set.symmetry = set.symmetry.completed()
	return set, nil
}
