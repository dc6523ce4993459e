package compose

import (
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
	f := sceneFile{sceneTable: sceneTable{doc: &doc, values: doc.Values}, rows: rows, cols: cols, options: o, open: open}
	s, err := f.scene(ctx)
	if f.wrong != nil {
		f.wrong.Name = name
		return scenes.Scene{}, f.wrong
	}
	if err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	if s.Name == "" {
		s.Name = name
	}
	return s, nil
}

// sceneFile is a scene file being read.
type sceneFile struct {
	sceneTable
	rows, cols int
	options    read.Options
	open       opener
}

func (f *sceneFile) scene(ctx context.Context) (scenes.Scene, error) {
	f.known("clip", "limits", "name")
	var title string
	name(&f.sceneTable, "name", &title)
	limits := NoDriveLimits()
	f.table("limits", func(t *sceneTable) {
		t.known("highest", "lowest", "mean")
		t.number("lowest", &limits.Lowest)
		t.number("highest", &limits.Highest)
		t.number("mean", &limits.Mean)
		if err := limits.Validate(); err != nil {
			t.fail("", err)
		}
	})
	list := f.tables("clip")
	switch {
	case f.wrong != nil:
		return scenes.Scene{}, f.wrong
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
			t.fail("", err) // unless it has a place already
		}
		if f.wrong = t.wrong; f.wrong != nil {
			return scenes.Scene{}, f.wrong
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
func (f *sceneFile) clip(ctx context.Context, t *sceneTable, previous float64) (Clip, error) {
	t.known(clipKeys()...)
	c := Clip{Start: previous, Blend: Replace}
	t.quantity("start", quantity.Time, &c.Start)
	t.quantity("length", quantity.Time, &c.Length)
	if t.has("length") && c.Length <= 0 {
		t.fail("length", fmt.Errorf("%q: want more than 0", t.values["length"]))
	}
	t.flag("loop", &c.Loop)
	if c.Loop && !t.has("length") {
		t.fail("loop", errors.New("a loop needs a length"))
	}
	name(t, "blend", &c.Blend)
	if err := c.Blend.validate(); err != nil {
		t.fail("blend", err)
	}
	m := f.options.Mapping
	name(t, "mapping", &m.Kind)
	t.number("threshold", &m.Threshold)
	t.number("gamma", &m.Gamma)
	t.flag("invert", &m.Invert)
	t.flag("bipolar", &m.Bipolar)
	t.number("level", &m.Level)
	if t.wrong != nil {
		return c, t.wrong
	}
	err := m.Validate()
	switch {
	case err != nil:
	case t.has("kind") && t.has("file"):
		t.fail("file", errors.New("a clip has a kind or a file, not both"))
	case t.has("kind"):
		c.Scene, err = f.generate(ctx, t, c, m)
	case t.has("file"):
		c.Scene, err = f.read(t, m)
	default:
		err = errors.New(`want kind = "tide" or another generator, or file = "..."`)
	}
	return c, err
}

// generate makes the clip of a generator. Without a duration the generator runs
// for the clip's length; to be repeated, for one period if it has one.
func (f *sceneFile) generate(ctx context.Context, t *sceneTable, c Clip, m scenes.Mapping) (scenes.Scene, error) {
	var kind string
	name(t, "kind", &kind)
	p, err := generate.Defaults(kind, f.rows, f.cols)
	k, _ := generate.Find(kind)
	if err != nil {
		t.fail("kind", err)
		return scenes.Scene{}, err
	}
	t.only(fmt.Sprintf("the generator %q", k.Name), k.Uses)
	if c.Length > 0 && !c.Loop {
		p.Duration = c.Length
	}
	t.quantity("period", quantity.Time, &p.Period)
	if c.Loop && slices.Contains(k.Uses, "period") {
		p.Duration = p.Period
	}
	t.quantity("duration", quantity.Time, &p.Duration)
	t.quantity("frame_time", quantity.Time, &p.FrameTime)
	t.quantity("wave_period", quantity.Time, &p.WavePeriod)
	t.timeOfDay("time_of_day", &p.TimeOfDay)
	t.seed("seed", &p.Seed)
	t.whole("cell", &p.Cell)
	name(t, "text", &p.Text)
	name(t, "order", &p.Order)
	name(t, "axis", &p.Axis)
	for key, into := range map[string]*float64{"speed": &p.Speed, "low": &p.Low, "high": &p.High, "wave_height": &p.WaveHeight,
		"wavelength": &p.Wavelength, "fade": &p.Fade, "band": &p.Band, "overlap": &p.Overlap} {
		t.number(key, into)
	}
	if t.wrong != nil {
		return scenes.Scene{}, t.wrong
	}
	s, err := generate.SceneWithin(ctx, kind, p, f.options.Limits)
	if err != nil {
		return scenes.Scene{}, err
	}
	return s, m.InPlace(ctx, s)
}

// read makes the clip of a file.
func (f *sceneFile) read(t *sceneTable, m scenes.Mapping) (scenes.Scene, error) {
	var path string
	name(t, "file", &path)
	t.only("a file", fileKeys)
	switch {
	case strings.ToLower(filepath.Ext(path)) == ".toml":
		t.fail("file", fmt.Errorf("%q: a scene file cannot hold another", path))
	case path == "":
		t.fail("file", errors.New("empty: want the path of a picture, a folder, a table or a sound"))
	}
	o := f.options
	o.Mapping = m
	name(t, "fit", &o.Fit)
	t.number("background", &o.Background)
	t.quantity("frame_time", quantity.Time, &o.FrameTime)
	t.quantity("zero_delay", quantity.Time, &o.ZeroDelay)
	t.table("audio", func(a *sceneTable) {
		a.known(audioKeys...)
		name(a, "style", &o.Audio.Style)
		name(a, "window", &o.Audio.Window)
		a.quantity("window_time", quantity.Time, &o.Audio.WindowTime)
		a.quantity("low", quantity.Frequency, &o.Audio.Low)
		a.quantity("high", quantity.Frequency, &o.Audio.High)
		a.number("floor", &o.Audio.Floor)
		a.number("top", &o.Audio.Top)
		a.quantity("attack", quantity.Time, &o.Audio.Attack)
		a.quantity("decay", quantity.Time, &o.Audio.Decay)
	})
	if t.wrong != nil {
		return scenes.Scene{}, t.wrong
	}
	if err := o.Validate(); err != nil {
		return scenes.Scene{}, err
	}
	s, kind, err := f.open(path, o)
	if err != nil {
		t.fail("file", err)
		return scenes.Scene{}, err
	}
	if kind == read.KindCSV || kind == read.KindTable {
		for _, key := range t.keys() {
			if slices.Contains(mappingKeys, key) {
				t.refuse(key, "a %s holds drive levels, which are not mapped", kind)
			}
		}
	}
	return s, nil
}

// only refuses keys that do not go with what the clip is.
func (t *sceneTable) only(what string, keys []string) {
	keys = slices.Concat(keys, mappingKeys)
	for _, key := range t.keys() {
		if key != "kind" && key != "file" && !slices.Contains(placingKeys, key) && !slices.Contains(keys, key) {
			t.refuse(key, "does not go with %s, which takes %s", what, strings.Join(keys, ", "))
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
