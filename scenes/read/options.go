package read

import (
	"cmp"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// Options are what a reader of pictures, animations or sound needs to know
// besides the grid.
type Options struct {
	FrameTime  float64 // s, of a still picture, of each picture in a folder, of each frame made from sound
	ZeroDelay  float64 // s, for a GIF frame that gives its delay as 0
	Fit        Fit
	Background float64        // luminance 0…1 behind transparent pixels and beside a letterboxed picture
	Mapping    scenes.Mapping // of pictures; tables hold drive levels already
	Audio      Audio
	Limits     scenes.Limits
}

// DefaultOptions returns 50 ms per picture, 100 ms for a GIF delay of 0 (what
// browsers do: common practice, no source), letterboxed on dark, mapped in
// proportion.
func DefaultOptions() Options {
	return Options{
		FrameTime: 0.05,
		ZeroDelay: 0.1,
		Fit:       Letterbox,
		Mapping:   scenes.DefaultMapping(),
		Audio:     DefaultAudio(),
		Limits:    scenes.DefaultLimits(),
	}
}

// OptionsOf are DefaultOptions with what a design says of its scene.
func OptionsOf(s design.Scene) Options {
	o := DefaultOptions()
	o.FrameTime = cmp.Or(s.FrameTime, o.FrameTime)
	o.Mapping.Kind, o.Mapping.Threshold, o.Mapping.Level = scenes.MappingKind(s.Mapping), s.Threshold, s.Level
	return o
}

// Validate reports the first option out of its range.
func (o Options) Validate() error {
	if err := scenes.CheckDuration(o.FrameTime); err != nil {
		return fmt.Errorf("frame time: %w", err)
	}
	if err := scenes.CheckDuration(o.ZeroDelay); err != nil {
		return fmt.Errorf("time for a zero delay: %w", err)
	}
	if err := o.Fit.validate(); err != nil {
		return err
	}
	if !(o.Background >= 0 && o.Background <= 1) {
		return fmt.Errorf("background luminance %g: want 0…1", o.Background)
	}
	if err := o.Mapping.Validate(); err != nil {
		return err
	}
	return o.Audio.Validate()
}

// Check is Validate and a check of the grid.
func (o Options) Check(rows, cols int) error {
	if err := o.Validate(); err != nil {
		return err
	}
	return extent.Check(rows, cols)
}
