package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/field/quantity/spelling"
	"lodegrid/scenes"
	"lodegrid/scenes/stress"
)

// openDesign reads the design named by the arguments, the demo without one.
func openDesign(args []string) (design.Design, error) {
	switch len(args) {
	case 0:
		return design.Demo(), nil
	case 1:
		return design.ReadFile(args[0])
	}
	return design.Design{}, usageError{fmt.Sprintf("one design file at most, have %d: %s", len(args), strings.Join(args, " "))}
}

// sceneFlags choose what is played.
type sceneFlags struct {
	source    string
	fit       string
	mapping   string
	threshold float64
	frameTime time.Duration

	flags *pflag.FlagSet
}

func (f *sceneFlags) declare(flags *pflag.FlagSet) {
	f.flags = flags
	flags.StringVar(&f.source, "scene", "", "what to play: a GIF, a folder of pictures, a CSV table, or one of: "+kindNames()+" (default: the design's scene)")
	flags.StringVar(&f.fit, "fit", "letterbox", "how a picture of another shape is fitted: letterbox, crop or stretch")
	flags.StringVar(&f.mapping, "mapping", "", "how brightness becomes drive: linear, threshold or dither (default: the design's)")
	flags.Float64Var(&f.threshold, "threshold", 0.5, "brightness 0…1 from which a pixel is on, with --mapping threshold (default: the design's)")
	flags.DurationVar(&f.frameTime, "frame-time", 0, "time per picture of a folder, or per frame of a generated scene, e.g. 200ms (default: the design's)")
}

func kindNames() string {
	var names []string
	for _, k := range scenes.Kinds() {
		names = append(names, k.Name)
	}
	names = append(names, stress.WorstCrosstalk)
	return strings.Join(names, ", ")
}

// open returns the scene for a design.
func (f *sceneFlags) open(ctx context.Context, d design.Design) (scenes.Scene, error) {
	s := d.Scene
	if f.mapping != "" {
		s.Mapping = f.mapping
	}
	if f.flags.Changed("threshold") {
		s.Threshold = f.threshold
	}
	if f.flags.Changed("frame-time") {
		if f.frameTime <= 0 {
			return scenes.Scene{}, usageError{fmt.Sprintf("--frame-time %v: must be more than 0", f.frameTime)}
		}
		s.FrameTime = f.frameTime.Seconds()
	}
	options, err := f.options(s)
	if err != nil {
		return scenes.Scene{}, f.blame(err)
	}
	source, base := f.source, ""
	switch {
	case source != "":
	case s.Kind == "file":
		source, base = s.File, d.Folder
	default:
		source = s.Kind
	}
	if source == stress.WorstCrosstalk {
		return worstCrosstalk(ctx, d, s.FrameTime)
	}
	for _, k := range scenes.Kinds() {
		if k.Name == source {
			made, err := generate(ctx, d, s, source, options.Mapping)
			if err != nil {
				return made, f.blame(err)
			}
			return made, nil
		}
	}
	if base != "" && !filepath.IsAbs(source) {
		source = filepath.Join(base, source)
	}
	if _, err := os.Stat(source); err != nil {
		near := ""
		if name := spelling.Nearest(source, strings.Split(kindNames(), ", ")); name != "" {
			near = fmt.Sprintf(" (did you mean %q?)", name)
		}
		return scenes.Scene{}, fmt.Errorf("opening scene %q: no such file, and no generated scene of that name; there are %s%s", source, kindNames(), near)
	}
	return scenes.Open(ctx, source, d.Grid.Rows, d.Grid.Cols, options)
}

// blame tells a mistake on the command line from one in the design.
func (f *sceneFlags) blame(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	for _, name := range []string{"scene", "fit", "mapping", "threshold", "frame-time"} {
		if f.flags.Changed(name) {
			return usageError{err.Error()}
		}
	}
	return inputError{err}
}

// worstCrosstalk makes the pattern of the design's own grid that disturbs a pixel
// most.
func worstCrosstalk(ctx context.Context, d design.Design, frameTime float64) (scenes.Scene, error) {
	g, err := build(ctx, d)
	if err != nil {
		return scenes.Scene{}, err
	}
	if frameTime <= 0 {
		frameTime = 1
	}
	return stress.Crosstalk(g, frameTime)
}

// generate makes one of the built-in scenes with the design's settings.
func generate(ctx context.Context, d design.Design, s design.Scene, kind string, m scenes.Mapping) (scenes.Scene, error) {
	p, err := scenes.Defaults(kind, d.Grid.Rows, d.Grid.Cols)
	if err != nil {
		return scenes.Scene{}, err
	}
	if s.Duration > 0 {
		p.Duration = s.Duration
	}
	if s.FrameTime > 0 {
		p.FrameTime = s.FrameTime
	}
	if s.Text != "" {
		p.Text = s.Text
	}
	p.Band = min(s.Band, float64(d.Grid.Rows))
	p.Seed = s.Seed
	made, err := scenes.Generate(ctx, kind, p)
	if err != nil {
		return made, err
	}
	return m.Scene(ctx, made)
}

// options are what the readers of pictures need.
func (f *sceneFlags) options(s design.Scene) (scenes.Options, error) {
	o := scenes.DefaultOptions()
	o.Fit = scenes.Fit(f.fit)
	if s.FrameTime > 0 {
		o.FrameTime = s.FrameTime
	}
	o.Mapping.Kind, o.Mapping.Threshold, o.Mapping.Level = scenes.MappingKind(s.Mapping), s.Threshold, s.Level
	if err := o.Validate(); err != nil {
		return o, fmt.Errorf("scene: %w", err)
	}
	return o, nil
}
