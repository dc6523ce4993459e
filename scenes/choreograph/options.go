package choreograph

import (
	"fmt"
	"math"
)

// Options say how a scene is carried.
type Options struct {
	Drops int // how many; 0 for as many as any picture wants
	// Kicks is how many pixels are kicked at once at most; the supply's power may allow
	// fewer.
	Kicks int
	// Broken lists pixels that move nothing.
	Broken []int

	// Gather is the longest time between two times that a drop is parted, s; 0 for never. More than
	// the scene's length is once a loop; a picture that only stands is planned for as long.
	Gather float64

	shift float64 // by which share of that time the partings are shifted, 0…1
	rough bool    // without looking at what holds beside kicks: it changes no move
}

// Defaults are eight kicks at once: more gain little (tried; a change of picture has few
// moves that do not wait for each other), and their power adds up.
func Defaults() Options { return Options{Kicks: 8} }

func (o Options) check(pixels int) error {
	if o.Drops < 0 || o.Drops > pixels {
		return fmt.Errorf("%d drops on %d pixels: 0…%d are possible, 0 for as many as the scene wants", o.Drops, pixels, pixels)
	}
	if o.Kicks < 1 || o.Kicks > math.MaxInt32 {
		return fmt.Errorf("%d kicks at once: want 1 or more", o.Kicks)
	}
	for _, v := range o.Broken {
		if v < 0 || v >= pixels {
			return fmt.Errorf("broken pixel %d of %d: they count from 0", v, pixels)
		}
	}
	return nil
}
