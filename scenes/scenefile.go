package scenes

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"lodegrid/field/quantity"
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
type sceneFile struct {
	Name   string       `toml:"name"`
	Limits *limitsTable `toml:"limits"`
	Clips  []clipTable  `toml:"clip"`
}

type limitsTable struct {
	Lowest  *float64 `toml:"lowest"`
	Highest *float64 `toml:"highest"`
	Mean    *float64 `toml:"mean"`
}

type clipTable struct {
	Kind *string `toml:"kind"`
	File *string `toml:"file"`

	Start  *string `toml:"start"`
	Length *string `toml:"length"`
	Loop   *bool   `toml:"loop"`
	Blend  *string `toml:"blend"`

	Mapping   *string  `toml:"mapping"`
	Threshold *float64 `toml:"threshold"`
	Gamma     *float64 `toml:"gamma"`
	Invert    *bool    `toml:"invert"`
	Bipolar   *bool    `toml:"bipolar"`
	Level     *float64 `toml:"level"`

	FrameTime *string `toml:"frame_time"`

	Fit        *string     `toml:"fit"`
	Background *float64    `toml:"background"`
	ZeroDelay  *string     `toml:"zero_delay"`
	Audio      *audioTable `toml:"audio"`

	Duration   *string  `toml:"duration"`
	Seed       *uint64  `toml:"seed"`
	Text       *string  `toml:"text"`
	Speed      *float64 `toml:"speed"`
	Period     *string  `toml:"period"`
	Low        *float64 `toml:"low"`
	High       *float64 `toml:"high"`
	WaveHeight *float64 `toml:"wave_height"`
	Wavelength *float64 `toml:"wavelength"`
	WavePeriod *string  `toml:"wave_period"`
	Fade       *float64 `toml:"fade"`
	Band       *float64 `toml:"band"`
	Cell       *int     `toml:"cell"`
	TimeOfDay  *string  `toml:"time_of_day"`
	Order      *string  `toml:"order"`
	Overlap    *float64 `toml:"overlap"`
	Axis       *string  `toml:"axis"`
}

type audioTable struct {
	Style      *string  `toml:"style"`
	Window     *string  `toml:"window"`
	WindowTime *string  `toml:"window_time"`
	Low        *string  `toml:"low"`
	High       *string  `toml:"high"`
	Floor      *float64 `toml:"floor"`
	Top        *float64 `toml:"top"`
	Attack     *string  `toml:"attack"`
	Decay      *string  `toml:"decay"`
}

// Keys of a clip by what they go with.
var (
	placingKeys = []string{"start", "length", "loop", "blend"}
	mappingKeys = []string{"mapping", "threshold", "gamma", "invert", "bipolar", "level"}
	fileKeys    = []string{"frame_time", "fit", "background", "zero_delay", "audio"}
)

// Bounds of a scene file. The TOML library's check for keys given twice takes time
// with the square of their number, so that a larger file could keep it busy for
// minutes.
const (
	maxSceneFile = 128 << 10 // bytes
	maxClips     = 1000
)

// ReadSceneFile reads a scene file, whose form is in scenefile.go, and composes
// its clips. Files it names are relative to folder. Errors of the file's own are
// *InputError with the line and column of the key.
func ReadSceneFile(ctx context.Context, r io.Reader, name, folder string, rows, cols int, o Options) (Scene, error) {
	return readSceneFile(ctx, r, name, rows, cols, o, func(path string, o Options) (Scene, fileKind, error) {
		if !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		return open(ctx, path, rows, cols, o)
	})
}

// opener reads a file that a scene file names.
type opener func(path string, o Options) (Scene, fileKind, error)

func readSceneFile(ctx context.Context, r io.Reader, name string, rows, cols int, o Options, open opener) (Scene, error) {
	if err := o.check(rows, cols); err != nil {
		return Scene{}, fmt.Errorf("reading scene file %s: %w", name, err)
	}
	data, err := io.ReadAll(io.LimitReader(o.Limits.reader(ctx, r), maxSceneFile+1))
	if err != nil {
		return Scene{}, fmt.Errorf("reading scene file %s: %w", name, err)
	}
	if len(data) > maxSceneFile {
		return Scene{}, inputErrorf(name, "the scene file is larger than %d bytes", maxSceneFile)
	}
	var file sceneFile
	at, err := decodeTOML(data, name, &file)
	if err != nil {
		return Scene{}, err
	}
	s, err := file.scene(ctx, rows, cols, o, open)
	var wrong *keyError
	if errors.As(err, &wrong) {
		p := at.near(wrong.path)
		return Scene{}, &InputError{Name: name, Line: p.line, Column: p.column, Err: err}
	}
	if err != nil {
		return Scene{}, inputErrorf(name, "%w", err)
	}
	if s.Name == "" {
		s.Name = name
	}
	return s, nil
}

// keyError is an error at a key of the scene file.
type keyError struct {
	path string // such as clip[2].period, from 1
	err  error
}

func (e *keyError) Error() string { return e.path + ": " + e.err.Error() }
func (e *keyError) Unwrap() error { return e.err }

func (f sceneFile) scene(ctx context.Context, rows, cols int, o Options, open opener) (Scene, error) {
	if len(f.Clips) == 0 {
		return Scene{}, errors.New("the scene file has no [[clip]]")
	}
	if len(f.Clips) > maxClips {
		return Scene{}, fmt.Errorf("%d clips, the limit is %d", len(f.Clips), maxClips)
	}
	limits := NoDriveLimits()
	if l := f.Limits; l != nil {
		set(&limits.Lowest, l.Lowest)
		set(&limits.Highest, l.Highest)
		set(&limits.Mean, l.Mean)
	}
	if err := limits.Validate(); err != nil {
		return Scene{}, &keyError{"limits", err}
	}
	var clips []Clip
	var end float64
	levels := 0
	for i, t := range f.Clips {
		path := fmt.Sprintf("clip[%d]", i+1)
		c, err := t.clip(ctx, path, rows, cols, end, o, open)
		if err != nil {
			return Scene{}, err
		}
		if levels += len(c.Scene.Frames) * rows * cols; levels > o.Limits.Levels {
			return Scene{}, &keyError{path, fmt.Errorf("the clips up to here have %d levels, the limit is %d", levels, o.Limits.Levels)}
		}
		if _, err := newTrack(c, rows, cols, o.Limits); err != nil {
			return Scene{}, &keyError{path, err}
		}
		end = c.end()
		clips = append(clips, c)
	}
	s, err := compose(ctx, rows, cols, clips, limits, o.Limits)
	if err != nil {
		return Scene{}, err
	}
	s.Name = f.Name
	return s, nil
}

// set replaces a value that the file gives.
func set[T any](value *T, given *T) {
	if given != nil {
		*value = *given
	}
}

// clip makes the clip of one table; previous is when the one before it ends.
func (t clipTable) clip(ctx context.Context, path string, rows, cols int, previous float64, o Options, open opener) (Clip, error) {
	c := Clip{Start: previous, Blend: Replace}
	q := quantities{path: path}
	q.time("start", t.Start, &c.Start)
	q.time("length", t.Length, &c.Length)
	if q.err != nil {
		return c, q.err
	}
	if t.Length != nil && c.Length <= 0 {
		return c, &keyError{path + ".length", fmt.Errorf("%q: want more than 0", *t.Length)}
	}
	set(&c.Loop, t.Loop)
	if c.Loop && t.Length == nil {
		return c, &keyError{path + ".loop", errors.New("a loop needs a length")}
	}
	if t.Blend != nil {
		c.Blend = Blend(*t.Blend)
		if err := c.Blend.validate(); err != nil {
			return c, &keyError{path + ".blend", err}
		}
	}
	m, err := t.mapping(path, o.Mapping)
	if err != nil {
		return c, err
	}
	switch {
	case t.Kind != nil && t.File != nil:
		return c, &keyError{path + ".file", errors.New("a clip has a kind or a file, not both")}
	case t.Kind != nil:
		c.Scene, err = t.generate(ctx, path, rows, cols, c.Length, c.Loop, m, o.Limits)
	case t.File != nil:
		c.Scene, err = t.open(path, o, m, open)
	default:
		err = &keyError{path, errors.New(`want kind = "tide" or another generator, or file = "..."`)}
	}
	return c, err
}

func (t clipTable) mapping(path string, m Mapping) (Mapping, error) {
	if t.Mapping != nil {
		m.Kind = MappingKind(*t.Mapping)
	}
	set(&m.Threshold, t.Threshold)
	set(&m.Gamma, t.Gamma)
	set(&m.Invert, t.Invert)
	set(&m.Bipolar, t.Bipolar)
	set(&m.Level, t.Level)
	if err := m.Validate(); err != nil {
		return m, &keyError{path, err}
	}
	return m, nil
}

// generate makes the clip of a generator. Without a duration the generator runs
// for the clip's length; to be repeated, for one period if it has one.
func (t clipTable) generate(ctx context.Context, path string, rows, cols int, length float64, loop bool, m Mapping, lim Limits) (Scene, error) {
	p, err := Defaults(*t.Kind, rows, cols)
	if err != nil {
		return Scene{}, &keyError{path + ".kind", err}
	}
	g, err := findGenerator(*t.Kind)
	if err != nil {
		return Scene{}, &keyError{path + ".kind", err}
	}
	if err := t.only(path, fmt.Sprintf("the generator %q", g.Name), append(slices.Clone(g.Uses), mappingKeys...)); err != nil {
		return Scene{}, err
	}
	if length > 0 && !loop {
		p.Duration = length
	}
	q := quantities{path: path}
	q.time("period", t.Period, &p.Period)
	if loop && slices.Contains(g.Uses, "period") {
		p.Duration = p.Period
	}
	q.time("duration", t.Duration, &p.Duration)
	q.time("frame_time", t.FrameTime, &p.FrameTime)
	q.time("wave_period", t.WavePeriod, &p.WavePeriod)
	q.timeOfDay("time_of_day", t.TimeOfDay, &p.TimeOfDay)
	if q.err != nil {
		return Scene{}, q.err
	}
	set(&p.Seed, t.Seed)
	set(&p.Text, t.Text)
	set(&p.Speed, t.Speed)
	set(&p.Low, t.Low)
	set(&p.High, t.High)
	set(&p.WaveHeight, t.WaveHeight)
	set(&p.Wavelength, t.Wavelength)
	set(&p.Fade, t.Fade)
	set(&p.Band, t.Band)
	set(&p.Cell, t.Cell)
	set(&p.Order, t.Order)
	set(&p.Overlap, t.Overlap)
	set(&p.Axis, t.Axis)
	s, err := generate(ctx, *t.Kind, p, lim)
	if err != nil {
		return Scene{}, &keyError{path, err}
	}
	if s, err = m.Scene(ctx, s); err != nil {
		return Scene{}, &keyError{path, err}
	}
	return s, nil
}

// open reads the clip of a file.
func (t clipTable) open(path string, o Options, m Mapping, open opener) (Scene, error) {
	if err := t.only(path, "a file", append(slices.Clone(fileKeys), mappingKeys...)); err != nil {
		return Scene{}, err
	}
	if strings.ToLower(filepath.Ext(*t.File)) == ".toml" {
		return Scene{}, &keyError{path + ".file", fmt.Errorf("%q: a scene file cannot hold another", *t.File)}
	}
	if *t.File == "" {
		return Scene{}, &keyError{path + ".file", errors.New("empty: want the path of a picture, a folder, a table or a sound")}
	}
	o.Mapping = m
	if t.Fit != nil {
		o.Fit = Fit(*t.Fit)
	}
	set(&o.Background, t.Background)
	q := quantities{path: path}
	q.time("frame_time", t.FrameTime, &o.FrameTime)
	q.time("zero_delay", t.ZeroDelay, &o.ZeroDelay)
	if a := t.Audio; a != nil {
		q.path = path + ".audio"
		if a.Style != nil {
			o.Audio.Style = AudioStyle(*a.Style)
		}
		if a.Window != nil {
			o.Audio.Window = WindowName(*a.Window)
		}
		q.time("window_time", a.WindowTime, &o.Audio.WindowTime)
		q.frequency("low", a.Low, &o.Audio.Low)
		q.frequency("high", a.High, &o.Audio.High)
		set(&o.Audio.Floor, a.Floor)
		set(&o.Audio.Top, a.Top)
		q.time("attack", a.Attack, &o.Audio.Attack)
		q.time("decay", a.Decay, &o.Audio.Decay)
	}
	if q.err != nil {
		return Scene{}, q.err
	}
	if err := o.Validate(); err != nil {
		return Scene{}, &keyError{path, err}
	}
	s, kind, err := open(*t.File, o)
	if err != nil {
		return Scene{}, &keyError{path + ".file", err}
	}
	if kind == kindCSV || kind == kindTable {
		for _, key := range t.given() {
			if slices.Contains(mappingKeys, key) {
				return Scene{}, &keyError{path + "." + key, fmt.Errorf("a %s holds drive levels, which are not mapped", kind)}
			}
		}
	}
	return s, nil
}

// given returns the keys the table has, in the order of the struct.
func (t clipTable) given() []string {
	var keys []string
	v := reflect.ValueOf(t)
	for i := range v.NumField() {
		if !v.Field(i).IsNil() {
			keys = append(keys, v.Type().Field(i).Tag.Get("toml"))
		}
	}
	return keys
}

// only refuses keys that do not go with what the clip is.
func (t clipTable) only(path, what string, keys []string) error {
	for _, key := range t.given() {
		if key != "kind" && key != "file" && !slices.Contains(placingKeys, key) && !slices.Contains(keys, key) {
			return &keyError{path + "." + key, fmt.Errorf("does not go with %s, which takes %s", what, strings.Join(keys, ", "))}
		}
	}
	return nil
}

// quantities parses texts with units and keeps the first error.
type quantities struct {
	path string
	err  error
}

func (q *quantities) parse(key string, text *string, into *float64, d quantity.Dimension) {
	if text == nil || q.err != nil {
		return
	}
	v, err := quantity.Parse(*text, d)
	if err != nil {
		q.err = &keyError{q.path + "." + key, err}
		return
	}
	*into = v
}

func (q *quantities) time(key string, text *string, into *float64) {
	q.parse(key, text, into, quantity.Time)
}

func (q *quantities) frequency(key string, text *string, into *float64) {
	q.parse(key, text, into, quantity.Frequency)
}

// timeOfDay reads hours and minutes, and seconds if there are any, as 7:05 or
// 23:59:59.
func (q *quantities) timeOfDay(key string, text *string, into *float64) {
	if text == nil || q.err != nil {
		return
	}
	v, err := parseTimeOfDay(*text)
	if err != nil {
		q.err = &keyError{q.path + "." + key, err}
		return
	}
	*into = v
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
		if len(p) < 1 || len(p) > 2 || digits(p) != len(p) {
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
