package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
	"lodegrid/scenes/compose"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
	"lodegrid/scenes/stress"
)

// unreadable tells the input that is missing, closed, or no file at all from other errors.
func unreadable(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return inputError{err}
	}
	return err
}

// sceneFlags choose what is played.
type sceneFlags struct {
	name      string
	fit       string
	mapping   string
	threshold float64
	frameTime time.Duration

	flags *pflag.FlagSet
}

// mappings are how brightness may become drive.
var mappings = []string{string(scenes.Linear), string(scenes.Threshold), string(scenes.Dither)}

// fits are how a picture of another shape may be fitted.
var fits = []string{string(read.Letterbox), string(read.Crop), string(read.Stretch)}

func (f *sceneFlags) declare(flags *flagSet) {
	f.flags = flags.FlagSet
	flags.StringVar(&f.name, "scene", "", "what to play: a file or a folder, see lodegrid help scenes, or one of: "+strings.Join(kindNames(), ", ")+" (default: the design's scene)")
	flags.choice(&f.fit, "fit", string(read.Letterbox), "how a picture of another shape is fitted", fits)
	flags.choice(&f.mapping, "mapping", "", "how brightness becomes drive (default: the design's)", mappings)
	flags.Float64Var(&f.threshold, "threshold", 0.5, "brightness 0…1 from which a pixel is on, with --mapping threshold (default: the design's)")
	flags.DurationVar(&f.frameTime, "frame-time", 0, "time per picture of a folder, or per frame of a generated scene, e.g. 200ms (default: the design's)")
}

func kindNames() []string {
	var names []string
	for _, k := range generate.Kinds() {
		names = append(names, k.Name)
	}
	return append(names, stress.WorstCrosstalk)
}

// source is where a scene comes from, before it is read or made.
type source struct {
	flags    *sceneFlags
	kind     string // of a generated scene
	path     string // of a file or a folder
	settings design.Scene
	options  read.Options
}

// source finds where the scene for a design comes from.
func (f *sceneFlags) source(d design.Design) (source, error) {
	s := source{flags: f, settings: d.Scene}
	if f.mapping != "" {
		s.settings.Mapping = f.mapping
	}
	if f.flags.Changed("threshold") {
		s.settings.Threshold = f.threshold
	}
	if f.flags.Changed("frame-time") {
		if f.frameTime <= 0 {
			return s, usageError{fmt.Sprintf("--frame-time %v: must be more than 0", f.frameTime)}
		}
		s.settings.FrameTime = f.frameTime.Seconds()
	}
	var err error
	if s.options, err = f.options(s.settings); err != nil {
		return s, f.blame(err)
	}
	name := f.name
	switch {
	case name != "":
	case d.Scene.Kind == "file":
		name = d.Scene.File
		if !filepath.IsAbs(name) {
			name = filepath.Join(d.Folder, name)
		}
	default:
		name = d.Scene.Kind
	}
	if slices.Contains(kindNames(), name) {
		s.kind = name
		return s, nil
	}
	if _, err := os.Stat(name); err != nil {
		near := ""
		if kind := spelling.Nearest(name, kindNames()); kind != "" {
			near = fmt.Sprintf(" (did you mean %q?)", kind)
		}
		return s, inputError{fmt.Errorf("opening scene %q: no such file, and no generated scene of that name; there are %s%s", name, strings.Join(kindNames(), ", "), near)}
	}
	s.path = name
	return s, nil
}

// open reads or makes the scene, at the design's speed.
func (s source) open(ctx context.Context, d design.Design) (scenes.Scene, error) {
	made, err := s.make(ctx, d)
	if err != nil {
		return made, err
	}
	return made.Faster(s.settings.Speed).Shared(), nil
}

func (s source) make(ctx context.Context, d design.Design) (made scenes.Scene, err error) {
	switch s.kind {
	case "":
		made, err = compose.Open(ctx, s.path, d.Grid.Rows, d.Grid.Cols, s.options)
		return made, unreadable(err)
	case stress.WorstCrosstalk:
		return worstCrosstalk(ctx, d, s.settings.FrameTime)
	}
	if made, err = generate.Of(ctx, s.kind, s.settings, d.Grid.Rows, d.Grid.Cols, s.options.Mapping); err != nil {
		return made, s.flags.blame(err)
	}
	return made, nil
}

// open finds and opens the scene for a design, and plans its moves where the design says so.
func (f *sceneFlags) open(ctx context.Context, d design.Design) (scope.Pictures, error) {
	s, err := f.source(d)
	if err != nil {
		return scope.Pictures{}, err
	}
	j := jobOf(d, scope.Pictures{})
	if j.scene, err = s.open(ctx, d); err == nil {
		err = j.carry(ctx, d.Scene.Carry)
	}
	return j.pictures(), err
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

// options are what the readers of pictures need.
func (f *sceneFlags) options(s design.Scene) (read.Options, error) {
	o := read.OptionsOf(s)
	o.Fit = read.Fit(f.fit)
	if err := o.Validate(); err != nil {
		return o, fmt.Errorf("scene: %w", err)
	}
	return o, nil
}
