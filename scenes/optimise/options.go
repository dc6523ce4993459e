package optimise

import (
	"fmt"
	"math"
)

// Options say what may be changed.
type Options struct {
	// Cap is the power in watts that no frame should draw more than on average. Pixels
	// are dimmed only as far as it asks for. 0 dims all that may be dimmed, and makes
	// the frame that draws most as small as waiting allows.
	Cap float64
	// Delay is how much later than in the scene a pixel may come on, s; 0 for no delay.
	// A pixel whose neighbour goes dark then or within Kick after it never waits: a drop
	// is being handed over. None waits for longer than half of the time it is lit.
	Delay float64
	// Kick is how long a pixel that has come on keeps its level before it may be dimmed,
	// s: the time that the fluid needs to get there.
	Kick float64
	// KickLevel is the level, 0…1, that a pixel has at least during that time; 0 leaves
	// the scene's own.
	KickLevel float64
	// Margin is what a dimmed pixel pulls with at least, as a multiple of the least hold
	// that the design asks for; 1…10.
	Margin float64
	// Step is what the firmware's levels are multiples of, so that rounding takes no hold
	// away: dimmed levels are rounded up to it. 0 for none.
	Step float64
}

// Defaults are: as little power as can be, no pixel later than 1 s, half a second for
// the fluid to get there, and 5 % more hold than asked for.
func Defaults() Options { return Options{Delay: 1, Kick: 0.5, Margin: 1.05} }

// Validate reports the first option out of its range.
func (o Options) Validate() error {
	for _, v := range []struct {
		name      string
		value     float64
		low, high float64
		unit      string
	}{
		{"power", o.Cap, 0, 1e9, " W"}, {"delay", o.Delay, 0, 3600, " s"}, {"time for a kick", o.Kick, 0, 3600, " s"},
		{"level of a kick", o.KickLevel, 0, 1, ""}, {"margin of the hold", o.Margin, 1, 10, ""},
		{"step of the levels", o.Step, 0, 1, ""},
	} {
		if math.IsNaN(v.value) || v.value < v.low || v.value > v.high {
			return fmt.Errorf("%s of %g%s: %g…%g%s is possible", v.name, v.value, v.unit, v.low, v.high, v.unit)
		}
	}
	return nil
}
