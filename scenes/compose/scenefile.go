package compose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"lodegrid/field/quantity"
	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
)

// A scene file, in TOML, lays clips on a time line:
//
//	name = "Evening"
//
//	[limits]               # bounds of the levels, all optional
//	lowest = 0             # −1…0
//	highest = 0.8          # 0…1
//	mean = 0.4             # 0…1; frames with a greater mean of |level| are scaled down
//
//	[[clip]]
//	kind = "tide"          # a generator, with its parameters by the names Kinds gives
//	period = "20 s"
//	wave_height = 2
//	start = "0 s"          # unless given, where the clip before it ends
//	length = "40 s"        # unless given, the clip's own
//	loop = true            # repeat to fill the length, a generator after its period;
//	                       # otherwise a generator goes on and a file's last frame stands
//	blend = "replace"      # or "add", "maximum", "multiply"
//	mapping = "threshold"  # or "linear", "dither"; with threshold, gamma, invert, bipolar, level
//
//	[[clip]]
//	file = "boat.gif"      # anything Open reads but another scene file, relative to this one
//	fit = "crop"           # with background, frame_time, zero_delay
//
//	[[clip]]
//	file = "bells.wav"
//	audio = { style = "pulse", window = "hann", window_time = "50 ms", low = "50 Hz",
//	          high = "8 kHz", floor = -60, top = 0, attack = "20 ms", decay = "0.3 s" }
//
// Times and frequencies are texts with a unit. A clip's brightness is mapped to
// drive by its own mapping over the one in the options; a clip from a table holds
// drive levels and takes no mapping.

// Keys of a clip by what they go with; those of generators are listed with them.
var (
	placingKeys = []string{"start", "length", "loop", "blend"}
	mappingKeys = []string{"mapping", "threshold", "gamma", "invert", "bipolar", "level"}
	fileKeys    = []string{"frame_time", "fit", "background", "zero_delay", "audio"}
	audioKeys   = []string{"style", "window", "window_time", "low", "high", "floor", "top", "attack", "decay"}
)

// clipKeys returns all keys of a clip.
func clipKeys() []string {
	keys := slices.Concat([]string{"kind", "file"}, placingKeys, mappingKeys, fileKeys)
	for _, k := range generate.Kinds() {
		keys = append(keys, k.Uses...)
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

// maxClips bounds a scene file.
const maxClips = 1000

// Read reads a scene file, whose form is in scenefile.go, and composes
// its clips. Files it names are relative to folder. Errors of the file's own are
// *InputError with the line and column of the value.
func Read(ctx context.Context, r io.Reader, name, folder string, rows, cols int, o read.Options) (scenes.Scene, error) {
	return readFrom(ctx, r, name, rows, cols, o, func(path string, o read.Options) (scenes.Scene, read.Kind, error) {
		if !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		return read.Open(ctx, path, rows, cols, o)
	})
}

// Open reads the file or folder at path as a scene on a grid of rows × cols: what
// read.Open reads, and scene files.
func Open(ctx context.Context, path string, rows, cols int, o read.Options) (s scenes.Scene, err error) {
	s, kind, err := read.Open(ctx, path, rows, cols, o)
	if err != nil || kind != read.KindScene {
		return s, err
	}
	f, err := regularfile.Open(path)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("opening scene: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return Read(ctx, f, path, filepath.Dir(path), rows, cols, o)
}

// opener reads a file that a scene file names.
type opener func(path string, o read.Options) (scenes.Scene, read.Kind, error)

func readFrom(ctx context.Context, r io.Reader, name string, rows, cols int, o read.Options, open opener) (scenes.Scene, error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading scene file %s: %w", name, err)
	}
	doc, err := tomlplace.Read(o.Limits.Reader(ctx, r))
	var mistake *tomlplace.Error
	if errors.As(err, &mistake) {
		return scenes.Scene{}, &scenes.InputError{Name: name, Line: mistake.Line, Column: mistake.Column, Err: err}
	}
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("reading scene file %s: %w", name, err)
	}
	f := sceneFile{Table: doc.Root(), rows: rows, cols: cols, options: o, open: open}
	s, err := f.scene(ctx)
	if f.Wrong != nil {
		return scenes.Scene{}, &scenes.InputError{Name: name, Line: f.Wrong.Line, Column: f.Wrong.Column, Err: f.Wrong.Err}
	}
	if err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	s.Name = cmp.Or(s.Name, name)
	return s, nil
}

// sceneFile is a scene file being read.
type sceneFile struct {
	*tomlplace.Table
	rows, cols int
	options    read.Options
	open       opener
}

func (f *sceneFile) scene(ctx context.Context) (scenes.Scene, error) {
	f.Known("clip", "limits", "name")
	var title string
	tomlplace.Name(f.Table, "name", &title)
	limits := NoDriveLimits()
	f.Within("limits", func(t *tomlplace.Table) {
		t.Known("highest", "lowest", "mean")
		t.Number("lowest", &limits.Lowest)
		t.Number("highest", &limits.Highest)
		t.Number("mean", &limits.Mean)
		if err := limits.Validate(); err != nil {
			t.Fail("", err)
		}
	})
	list := f.Tables("clip")
	switch {
	case f.Wrong != nil:
		return scenes.Scene{}, f.Wrong
	case len(list) == 0:
		return scenes.Scene{}, errors.New("the scene file has no [[clip]]")
	case len(list) > maxClips:
		return scenes.Scene{}, fmt.Errorf("%d clips, the limit is %d", len(list), maxClips)
	}
	var tracks []track
	var end float64
	levels := 0
	for _, t := range list {
		c, err := f.clip(ctx, t, end)
		var one track
		if err == nil {
			one, err = newTrack(c, f.rows, f.cols, f.options.Limits)
		}
		if levels += len(c.Scene.Frames) * f.rows * f.cols; err == nil && levels > f.options.Limits.Levels {
			err = fmt.Errorf("the clips up to here have %d levels, the limit is %d", levels, f.options.Limits.Levels)
		}
		if err != nil {
			t.Fail("", err) // unless it has a place already
		}
		if f.Wrong = t.Wrong; f.Wrong != nil {
			return scenes.Scene{}, f.Wrong
		}
		end = c.end()
		tracks = append(tracks, one)
	}
	s, err := compose(ctx, f.rows, f.cols, tracks, limits, f.options.Limits)
	s.Name = title
	return s, err
}

// clip makes the clip of one table; previous is when the one before it ends. What
// is wrong with a value is kept by the table, too.
func (f *sceneFile) clip(ctx context.Context, t *tomlplace.Table, previous float64) (Clip, error) {
	t.Known(clipKeys()...)
	c := Clip{Start: previous, Blend: Replace}
	t.Quantity("start", quantity.Time, &c.Start)
	t.Quantity("length", quantity.Time, &c.Length)
	if t.Has("length") && c.Length <= 0 {
		t.Fail("length", fmt.Errorf("%q: want more than 0", t.Values["length"]))
	}
	t.Flag("loop", &c.Loop)
	if c.Loop && !t.Has("length") {
		t.Fail("loop", errors.New("a loop needs a length"))
	}
	tomlplace.Name(t, "blend", &c.Blend)
	if err := c.Blend.validate(); err != nil {
		t.Fail("blend", err)
	}
	m := f.options.Mapping
	tomlplace.Name(t, "mapping", &m.Kind)
	t.Number("threshold", &m.Threshold)
	t.Number("gamma", &m.Gamma)
	t.Flag("invert", &m.Invert)
	t.Flag("bipolar", &m.Bipolar)
	t.Number("level", &m.Level)
	if t.Wrong != nil {
		return c, t.Wrong
	}
	err := m.Validate()
	switch {
	case err != nil:
	case t.Has("kind") && t.Has("file"):
		t.Fail("file", errors.New("a clip has a kind or a file, not both"))
	case t.Has("kind"):
		c.Scene, err = f.generate(ctx, t, c, m)
	case t.Has("file"):
		c.Scene, err = f.read(t, m)
	default:
		err = errors.New(`want kind = "tide" or another generator, or file = "..."`)
	}
	return c, err
}

// generate makes the clip of a generator. Without a duration the generator runs
// for the clip's length; to be repeated, for one period if it has one.
func (f *sceneFile) generate(ctx context.Context, t *tomlplace.Table, c Clip, m scenes.Mapping) (scenes.Scene, error) {
	var kind string
	tomlplace.Name(t, "kind", &kind)
	p, err := generate.Defaults(kind, f.rows, f.cols)
	k, _ := generate.Find(kind)
	if err != nil {
		t.Fail("kind", err)
		return scenes.Scene{}, err
	}
	only(t, fmt.Sprintf("the generator %q", k.Name), k.Uses)
	if c.Length > 0 && !c.Loop {
		p.Duration = c.Length
	}
	t.Quantity("period", quantity.Time, &p.Period)
	if c.Loop && slices.Contains(k.Uses, "period") {
		p.Duration = p.Period
	}
	t.Quantity("duration", quantity.Time, &p.Duration)
	t.Quantity("frame_time", quantity.Time, &p.FrameTime)
	t.Quantity("wave_period", quantity.Time, &p.WavePeriod)
	timeOfDay(t, "time_of_day", &p.TimeOfDay)
	seed(t, "seed", &p.Seed)
	t.Whole("cell", &p.Cell)
	tomlplace.Name(t, "text", &p.Text)
	tomlplace.Name(t, "order", &p.Order)
	tomlplace.Name(t, "axis", &p.Axis)
	for key, into := range map[string]*float64{"speed": &p.Speed, "low": &p.Low, "high": &p.High, "wave_height": &p.WaveHeight,
		"wavelength": &p.Wavelength, "fade": &p.Fade, "band": &p.Band, "overlap": &p.Overlap} {
		t.Number(key, into)
	}
	if t.Wrong != nil {
		return scenes.Scene{}, t.Wrong
	}
	s, err := generate.SceneWithin(ctx, kind, p, f.options.Limits)
	if err != nil {
		return scenes.Scene{}, err
	}
	return s, m.InPlace(ctx, s)
}

// read makes the clip of a file.
func (f *sceneFile) read(t *tomlplace.Table, m scenes.Mapping) (scenes.Scene, error) {
	var path string
	tomlplace.Name(t, "file", &path)
	only(t, "a file", fileKeys)
	switch {
	case strings.ToLower(filepath.Ext(path)) == ".toml":
		t.Fail("file", fmt.Errorf("%q: a scene file cannot hold another", path))
	case path == "":
		t.Fail("file", errors.New("empty: want the path of a picture, a folder, a table or a sound"))
	}
	o := f.options
	o.Mapping = m
	tomlplace.Name(t, "fit", &o.Fit)
	t.Number("background", &o.Background)
	t.Quantity("frame_time", quantity.Time, &o.FrameTime)
	t.Quantity("zero_delay", quantity.Time, &o.ZeroDelay)
	t.Within("audio", func(a *tomlplace.Table) {
		a.Known(audioKeys...)
		tomlplace.Name(a, "style", &o.Audio.Style)
		tomlplace.Name(a, "window", &o.Audio.Window)
		a.Quantity("window_time", quantity.Time, &o.Audio.WindowTime)
		a.Quantity("low", quantity.Frequency, &o.Audio.Low)
		a.Quantity("high", quantity.Frequency, &o.Audio.High)
		a.Number("floor", &o.Audio.Floor)
		a.Number("top", &o.Audio.Top)
		a.Quantity("attack", quantity.Time, &o.Audio.Attack)
		a.Quantity("decay", quantity.Time, &o.Audio.Decay)
	})
	if t.Wrong != nil {
		return scenes.Scene{}, t.Wrong
	}
	if err := o.Validate(); err != nil {
		return scenes.Scene{}, err
	}
	s, kind, err := f.open(path, o)
	if err != nil {
		t.Fail("file", err)
		return scenes.Scene{}, err
	}
	if kind == read.KindCSV || kind == read.KindTable {
		for _, key := range t.Keys() {
			if slices.Contains(mappingKeys, key) {
				t.Refuse(key, "a %s holds drive levels, which are not mapped", kind)
			}
		}
	}
	return s, nil
}

// only refuses keys that do not go with what the clip is.
func only(t *tomlplace.Table, what string, keys []string) {
	keys = slices.Concat(keys, mappingKeys)
	for _, key := range t.Keys() {
		if key != "kind" && key != "file" && !slices.Contains(placingKeys, key) && !slices.Contains(keys, key) {
			t.Refuse(key, "does not go with %s, which takes %s", what, strings.Join(keys, ", "))
		}
	}
}

func parseTimeOfDay(text string) (float64, error) {
	wrong := fmt.Errorf(`%.40q: want a time of day such as "7:05" or "23:59:59"`, text)
	parts := strings.Split(text, ":")
	if len(parts) != 2 && len(parts) != 3 {
		return 0, wrong
	}
	seconds := 0
	for i, p := range parts {
		n := 0
		if len(p) < 1 || len(p) > 2 || strings.Trim(p, "0123456789") != "" {
			return 0, wrong
		}
		for _, d := range p {
			n = 10*n + int(d-'0')
		}
		if n >= []int{24, 60, 60}[i] {
			return 0, wrong
		}
		seconds += n * []int{3600, 60, 1}[i]
	}
	return float64(seconds), nil
}

func seed(t *tomlplace.Table, key string, into *uint64) {
	tomlplace.Take(t, key, "a whole number", func(v int64) {
		if *into = uint64(v); v < 0 {
			t.Fail(key, fmt.Errorf("%d: want 0 or more", v))
		}
	})
}

// timeOfDay reads hours and minutes, and seconds if there are any, as 7:05 or
// 23:59:59.
func timeOfDay(t *tomlplace.Table, key string, into *float64) {
	tomlplace.Take(t, key, `text in quotes such as "7:05"`, func(v string) {
		x, err := parseTimeOfDay(v)
		if *into = x; err != nil {
			t.Fail(key, err)
		}
	})
}
