package compose

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/gif"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lodegrid/field/peak"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
)

// samples is the folder of sample inputs; testdata/scenes/make.sh made them.
const samples = "../../testdata/scenes"

func sample(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(samples, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// blinkingGIF is one pixel, lit for 0.3 s and dark for 0.2 s.
func blinkingGIF(t *testing.T) []byte {
	t.Helper()
	colours := color.Palette{color.Black, color.White}
	lit, dark := image.NewPaletted(image.Rect(0, 0, 1, 1), colours), image.NewPaletted(image.Rect(0, 0, 1, 1), colours)
	lit.Pix[0] = 1
	var b bytes.Buffer
	if err := gif.EncodeAll(&b, &gif.GIF{Image: []*image.Paletted{lit, dark}, Delay: []int{30, 20}}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func generated(t *testing.T, kind string, rows, cols int, change func(p *generate.Params)) scenes.Scene {
	t.Helper()
	p, err := generate.Defaults(kind, rows, cols)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(&p)
	}
	s, err := generate.Scene(context.Background(), kind, p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// constant is a scene of one row with the given levels, a second each.
func constant(cols int, levels ...float64) scenes.Scene {
	s := scenes.New("constant", 1, cols, len(levels), 1)
	for i, v := range levels {
		for p := range s.Frames[i].Levels {
			s.Frames[i].Levels[p] = v
		}
	}
	return s
}

// told is a scene of one pixel as level and duration pairs.
func told(s scenes.Scene) (out [][2]float64) {
	for _, f := range s.Frames {
		out = append(out, [2]float64{f.Levels[0], math.Round(f.Duration*1e6) / 1e6})
	}
	return out
}

func TestCompose(t *testing.T) {
	ramp := constant(1, 0.2, 0.4, 0.6)
	flat := constant(1, 0.5)
	for name, test := range map[string]struct {
		clips []Clip
		want  [][2]float64
	}{
		"one after the other": {
			[]Clip{{Scene: ramp}, {Scene: flat, Start: 3}},
			[][2]float64{{0.2, 1}, {0.4, 1}, {0.6, 1}, {0.5, 1}},
		},
		"gap is off": {
			[]Clip{{Scene: flat, Start: 1}, {Scene: flat, Start: 3}},
			[][2]float64{{0, 1}, {0.5, 1}, {0, 1}, {0.5, 1}},
		},
		"replace, own timing kept": {
			[]Clip{{Scene: ramp}, {Scene: flat, Start: 0.75, Length: 0.5}},
			[][2]float64{{0.2, 0.75}, {0.5, 0.5}, {0.4, 0.75}, {0.6, 1}},
		},
		"add": {
			[]Clip{{Scene: ramp}, {Scene: flat, Start: 1.5, Length: 1.5, Blend: Add}},
			[][2]float64{{0.2, 1}, {0.4, 0.5}, {0.9, 0.5}, {1, 1}},
		},
		"maximum": {
			[]Clip{{Scene: ramp}, {Scene: constant(1, -0.5), Start: 0, Length: 3, Blend: Maximum}},
			[][2]float64{{-0.5, 2}, {0.6, 1}},
		},
		"multiply": {
			[]Clip{{Scene: ramp}, {Scene: constant(1, -0.5), Length: 2, Blend: Multiply}},
			[][2]float64{{-0.1, 1}, {-0.2, 1}, {0.6, 1}},
		},
		"loop, cut within a round": {
			[]Clip{{Scene: ramp, Length: 4.5, Loop: true}},
			[][2]float64{{0.2, 1}, {0.4, 1}, {0.6, 1}, {0.2, 1}, {0.4, 0.5}},
		},
		"last frame stands": {
			[]Clip{{Scene: ramp, Length: 5}},
			[][2]float64{{0.2, 1}, {0.4, 1}, {0.6, 3}},
		},
		"cut short": {
			[]Clip{{Scene: ramp, Length: 1.25}},
			[][2]float64{{0.2, 1}, {0.4, 0.25}},
		},
	} {
		s, err := Clips(context.Background(), name, 1, 1, test.clips, NoDriveLimits())
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got := told(s)
		ok := len(got) == len(test.want)
		for i := 0; ok && i < len(got); i++ {
			ok = math.Abs(got[i][0]-test.want[i][0]) < 1e-12 && got[i][1] == test.want[i][1]
		}
		if !ok {
			t.Errorf("%s: %v, want %v", name, got, test.want)
		}
	}
}

// TestComposeLongLoop: a loop of 30 ms keeps its time over hours, without slivers
// from rounding.
func TestComposeLongLoop(t *testing.T) {
	blink := constant(1, 1, 0, 0)
	for i := range blink.Frames {
		blink.Frames[i].Duration = 0.01
	}
	s, err := Clips(context.Background(), "x", 1, 1, []Clip{{Scene: blink, Length: 6000, Loop: true}, {Scene: constant(1, 0), Length: 6000, Blend: Add}}, NoDriveLimits())
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Frames) != 400_000 { // the two dark ones are one picture
		t.Errorf("%d frames, want 400000", len(s.Frames))
	}
	for i, f := range s.Frames {
		if math.Abs(f.Duration-0.01*float64(1+i%2)) > 1e-6 || f.Levels[0] != float64(1-i%2) {
			t.Fatalf("frame %d: %v", i, f)
		}
	}
}

func TestDriveLimits(t *testing.T) {
	s := scenes.New("x", 1, 4, 2, 1)
	copy(s.Frames[0].Levels, []float64{1, -1, 0.5, 0})
	copy(s.Frames[1].Levels, []float64{0.2, 0, 0, 0})
	got, err := Clips(context.Background(), "x", 1, 4, []Clip{{Scene: s}}, DriveLimits{Lowest: -0.25, Highest: 0.75, Mean: 0.1875})
	if err != nil {
		t.Fatal(err)
	}
	// Clipped to 0.75, −0.25, 0.5, 0 the mean is 0.375: half of it is allowed.
	for i, want := range [][]float64{{0.375, -0.125, 0.25, 0}, {0.2, 0, 0, 0}} {
		if !reflect.DeepEqual(got.Frames[i].Levels, want) {
			t.Errorf("frame %d: %v, want %v", i, got.Frames[i].Levels, want)
		}
	}
	if s.Frames[0].Levels[0] != 1 {
		t.Error("the clip itself was changed")
	}
}

func TestComposeErrors(t *testing.T) {
	flat := constant(1, 0.5)
	short := constant(1, 0.5)
	short.Frames[0].Duration = 1e-9
	for want, call := range map[string]func() (scenes.Scene, error){
		"no clips": func() (scenes.Scene, error) { return Clips(context.Background(), "x", 1, 1, nil, NoDriveLimits()) },
		`clip 1: scene "constant" is for 1 rows × 1 columns, the grid has 2 × 1`: func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 2, 1, []Clip{{Scene: flat}}, NoDriveLimits())
		},
		"clip 2: start at -1 s": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat}, {Scene: flat, Start: -1}}, NoDriveLimits())
		},
		"clip 1: length of NaN s": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat, Length: math.NaN()}}, NoDriveLimits())
		},
		`blend "over": want one of`: func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat, Blend: "over"}}, NoDriveLimits())
		},
		"a loop of 1e-09 s": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: short, Length: 1, Loop: true}}, NoDriveLimits())
		},
		"lowest level 0.5: want −1…0": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat}}, DriveLimits{Lowest: 0.5, Highest: 1, Mean: 1})
		},
		"highest level 2: want 0…1": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat}}, DriveLimits{Highest: 2, Mean: 1})
		},
		"mean level 0: want more than": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat}}, DriveLimits{})
		},
		"1e+06 s, the limit is": func() (scenes.Scene, error) {
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: flat, Start: 5e5, Length: 5e5}}, NoDriveLimits())
		},
		"more than 1000000 frames of the clips": func() (scenes.Scene, error) {
			fast := constant(1, 0, 1)
			fast.Frames[0].Duration, fast.Frames[1].Duration = 0.0005, 0.0005
			return Clips(context.Background(), "x", 1, 1, []Clip{{Scene: fast, Length: 1e5, Loop: true}}, NoDriveLimits())
		},
	} {
		if _, err := call(); err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), `composing scene "x": `) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

const eveningFile = `# Evening at the harbour.
name = "Evening"

[limits]
highest = 0.8
mean = 0.6

[[clip]]
kind = "tide"
period = "4 s"
wave_period = "2 s"
frame_time = "100 ms"
wave_height = 2
length = "6 s"
loop = true
mapping = "linear"

[[clip]]
file = "lamp.csv"
start = "1 s"
length = "1.5 s"
blend = "maximum"

[[clip]]
file = "boat.gif"
start = "2 s"
fit = "stretch"
mapping = "threshold"
threshold = 0.3
level = 0.5
blend = "add"

[[clip]]
kind = "clock"
time_of_day = "23:59"
start = "6 s"
length = "2 s"

[[clip]]
file = "bells.wav"
frame_time = "50 ms"
audio = { style = "pulse", window = "blackman", window_time = "40 ms", low = "100 Hz", high = "3 kHz", floor = -50, top = -6, attack = "0 s", decay = "0.1 s" }
`

func TestSceneFile(t *testing.T) {
	dir := t.TempDir()
	for name, data := range map[string][]byte{
		"evening.toml": []byte(eveningFile),
		"lamp.csv":     []byte("0.5" + strings.Repeat(",0", 159) + ",-0.7\n0.5" + strings.Repeat(",0", 160) + "\n"),
		"bells.wav":    sample(t, "sines24.wav"),
		"boat.gif":     blinkingGIF(t),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s, err := Open(context.Background(), filepath.Join(dir, "evening.toml"), 10, 16, read.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	if s.Name != "Evening" || math.Abs(s.Duration()-8.4) > 1e-9 {
		t.Errorf("scene %q of %g s, want Evening of 8.4 s", s.Name, s.Duration())
	}
	at := func(seconds float64, pixel int) float64 { return s.Frames[s.At(seconds)].Levels[pixel] }
	// The lamp, bottom right, stands over the tide's 0.8 only while it is greater.
	if got := at(1.2, 159); got != 0.8 {
		t.Errorf("under the lamp: %g, want the tide, 0.8", got)
	}
	// The boat adds 0.5 from 2 to 2.3 s everywhere: top row has air above the tide.
	for seconds, want := range map[float64]float64{1.95: 0, 2.1: 0.5, 2.4: 0} {
		if got := at(seconds, 0); math.Abs(got-want) > 1e-9 && seconds != 2.1 || seconds == 2.1 && !(got > 0.2 && got <= 0.5) {
			t.Errorf("boat at %g s: %g, want %g", seconds, got, want)
		}
	}
	for i, f := range s.Frames {
		var sum float64
		for _, v := range f.Levels {
			if v > 0.8 {
				t.Fatalf("frame %d: level %g is over the limit", i, v)
			}
			sum += math.Abs(v)
		}
		if sum/160 > 0.6+1e-12 {
			t.Fatalf("frame %d: mean %g is over the limit", i, sum/160)
		}
	}
	// The tide loops after 4 s.
	if a, b := s.Frames[s.At(0.55)].Levels, s.Frames[s.At(4.55)].Levels; !reflect.DeepEqual(a, b) {
		t.Error("the tide does not repeat after its period")
	}
	clockWant := generated(t, "clock", 10, 16, func(p *generate.Params) { p.TimeOfDay = 86340 })
	for p, v := range s.Frames[s.At(6.1)].Levels {
		if v != 0.8*clockWant.Frames[0].Levels[p] {
			t.Fatalf("clock pixel %d: %g", p, v)
		}
	}
}

func TestSceneFileErrors(t *testing.T) {
	flat := constant(1, 0.5)
	open := func(path string, o read.Options) (scenes.Scene, read.Kind, error) {
		switch path {
		case "a.csv":
			return flat, read.KindCSV, nil
		case "table":
			return flat, read.KindTable, nil
		case "a.gif":
			return flat, read.KindGIF, nil
		}
		return scenes.Scene{}, "", errors.New("no such file")
	}
	for text, want := range map[string]string{
		"":                                     "x.toml: the scene file has no [[clip]]",
		"name = 5":                             `x.toml:1:8: name: this is the number 5, want text in quotes`,
		"[[clip]":                              "x.toml:1:",
		"naem = \"x\"":                         `x.toml:1:1: naem: unknown key (did you mean "name"?); accepted: clip, limits, name`,
		"[limit]\nmean = 0.5":                  `x.toml:1:2: limit: unknown key (did you mean "limits"?)`,
		"[limits]\nmaen = 0.5":                 `x.toml:2:1: limits.maen: unknown key (did you mean "mean"?); accepted: highest, lowest, mean`,
		"[[clip]]\nkind = \"tide\"\nperiodd=1": `x.toml:3:1: clip[1].periodd: unknown key (did you mean "period"?)`,
		"[[clip]]\nfile = \"a.gif\"\naudio = { windw = \"hann\" }": `x.toml:3:11: clip[1].audio.windw: unknown key (did you mean "window"?)`,
		"[[clip]]\n":                                                     `x.toml:1:3: clip[1]: want kind = "tide" or another generator, or file`,
		"clip = 1":                                                       "x.toml:1:8: clip: this is the number 1, want one [[clip]] or more",
		"[[clip]]\nkind = \"tide\"\nperiod = 5":                          `x.toml:3:10: clip[1].period: this is the number 5, want text in quotes with a unit: s, ms`,
		"[[clip]]\nkind = \"tide\"\nlow = \"5\"":                         `x.toml:3:7: clip[1].low: this is the text "5", want a number without quotes`,
		"[[clip]]\nkind = \"tide\"\n\n  period = \"5\"":                  `x.toml:4:12: clip[1].period: 5 has no unit of time`,
		"[[clip]]\nkind = \"tide\"\nperiod = \"5 m\"":                    `x.toml:3:10: clip[1].period: "m" is a unit of length, not of time`,
		"[[clip]]\nkind = \"tied\"":                                      `x.toml:2:8: clip[1].kind: scene kind "tied": want one of tide, ticker`,
		"[[clip]]\nkind = \"tide\"\nlow = 2":                             "x.toml:1:3: clip[1]: scene tide: low water 2: want 0…1",
		"[[clip]]\nkind = \"tide\"\ntext = \"x\"":                        `x.toml:3:1: clip[1].text: does not go with the generator "tide", which takes duration, frame_time, seed`,
		"[[clip]]\nkind = \"tide\"\nfit = \"crop\"":                      `x.toml:3:1: clip[1].fit: does not go with the generator "tide"`,
		"[[clip]]\nkind = \"tide\"\nfile = \"a.gif\"":                    `x.toml:3:8: clip[1].file: a clip has a kind or a file, not both`,
		"[[clip]]\nkind = \"tide\"\nloop = true":                         "x.toml:3:8: clip[1].loop: a loop needs a length",
		"[[clip]]\nkind = \"tide\"\nlength = \"0 s\"":                    `x.toml:3:10: clip[1].length: "0 s": want more than 0`,
		"[[clip]]\nkind = \"tide\"\nstart = \"-1 s\"":                    `x.toml:1:3: clip[1]: start at -1 s: want 0…`,
		"[[clip]]\nkind = \"tide\"\nblend = \"over\"":                    `x.toml:3:9: clip[1].blend: blend "over": want one of`,
		"[[clip]]\nkind = \"tide\"\nmapping = \"on\"":                    `x.toml:1:3: clip[1]: mapping kind "on"`,
		"[[clip]]\nkind = \"checker\"\ncell = 1.5":                       "x.toml:3:8: clip[1].cell: this is the number 1.5, want a whole number",
		"[[clip]]\nkind = \"clock\"\ntime_of_day = \"24:00\"":            `x.toml:3:15: clip[1].time_of_day: "24:00": want a time of day such as "7:05"`,
		"[[clip]]\nfile = \"a.gif\"\nperiod = \"1 s\"":                   `x.toml:3:1: clip[1].period: does not go with a file, which takes frame_time, fit`,
		"[[clip]]\nfile = \"b.gif\"":                                     `x.toml:2:8: clip[1].file: no such file`,
		"[[clip]]\nfile = \"\"":                                          `x.toml:2:8: clip[1].file: empty: want the path`,
		"[[clip]]\nfile = \"y.toml\"":                                    `x.toml:2:8: clip[1].file: "y.toml": a scene file cannot hold another`,
		"[[clip]]\nfile = \"a.csv\"\nlevel = 0.5":                        "x.toml:3:1: clip[1].level: a level table holds drive levels, which are not mapped",
		"[[clip]]\nfile = \"table\"\ninvert = true":                      "x.toml:3:1: clip[1].invert: a frame table holds drive levels, which are not mapped",
		"[[clip]]\nfile = \"a.gif\"\nfit = \"fill\"":                     `x.toml:1:3: clip[1]: fit "fill": want`,
		"[[clip]]\nfile = \"a.gif\"\naudio = { low = \"5 s\" }":          `x.toml:3:17: clip[1].audio.low: "s" is a unit of time, not of frequency`,
		"[[clip]]\nfile = \"a.gif\"\n[clip.audio]\nattack = \"70 s\"\n":  `x.toml:1:3: clip[1]: audio attack in s 70: want 0…60`,
		"[limits]\nmean = 2\n[[clip]]\nfile = \"a.gif\"":                 "x.toml:1:2: limits: mean level 2",
		"[[clip]]\nfile = \"a.gif\"\n# äöü\n[[clip]]\n file = \"b.gif\"": `x.toml:5:9: clip[2].file: no such file`,
		"name = \"\xff\"":                                                "x.toml:1:9: the file is not UTF-8 text",
		"[[clip]]\nfile = \"a.gif\"\nlength = \"1e6 s\"":                 "clip[1]: length of 1e+06 s: want 0…604800 s",
		"[[clip]]\nfile = \"a.gif\"\nfile = \"b\"":                       "x.toml:3:1: clip[1].file: given twice",
	} {
		_, err := readFrom(context.Background(), strings.NewReader(text), "x.toml", 1, 1, read.DefaultOptions(), open)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v\nwant it to say %q", text, err, want)
			continue
		}
		var in *scenes.InputError
		if !errors.As(err, &in) || in.Name != "x.toml" {
			t.Errorf("%q: error %T does not name the file", text, err)
		}
	}
	if _, err := readFrom(context.Background(), strings.NewReader(strings.Repeat("#", 128<<10+1)), "x.toml", 1, 1, read.DefaultOptions(), open); err == nil || !strings.Contains(err.Error(), "larger than 131072 bytes") {
		t.Errorf("a huge file: error %v", err)
	}
	o := read.DefaultOptions()
	o.Limits.Levels = 1
	two := "[[clip]]\nfile = \"a.gif\"\n[[clip]]\nfile = \"a.gif\"\n"
	if _, err := readFrom(context.Background(), strings.NewReader(two), "x.toml", 1, 1, o, open); err == nil || !strings.Contains(err.Error(), "x.toml:3:3: clip[2]: the clips up to here have 2 levels, the limit is 1") {
		t.Errorf("many levels: error %v", err)
	}
	if _, err := readFrom(context.Background(), strings.NewReader(strings.Repeat("[[clip]]\n", 1001)), "x.toml", 1, 1, read.DefaultOptions(), open); err == nil || !strings.Contains(err.Error(), "1001 clips, the limit is 1000") {
		t.Errorf("many clips: error %v", err)
	}
}

// Every parameter a generator lists, and every key of a file, is read: a list in its
// place is a mistake.
func TestSceneFileKeys(t *testing.T) {
	check := func(text, key string) {
		_, err := readFrom(context.Background(), strings.NewReader(text), "x.toml", 1, 1, read.DefaultOptions(), nil)
		if err == nil || !strings.Contains(err.Error(), ": clip[1]."+key+": this is a list, want ") {
			t.Errorf("%q: error %v", text, err)
		}
	}
	general := slices.Concat(placingKeys, mappingKeys)
	for _, k := range generate.Kinds() {
		for _, key := range slices.Concat(k.Uses, general) {
			check("[[clip]]\nkind = \""+k.Name+"\"\n"+key+" = []\n", key)
		}
	}
	for _, key := range slices.Concat(fileKeys, general) {
		check("[[clip]]\nfile = \"a.gif\"\n"+key+" = []\n", key)
	}
	for _, key := range audioKeys {
		check("[[clip]]\nfile = \"a.gif\"\n[clip.audio]\n"+key+" = []\n", "audio."+key)
	}
	for _, key := range []string{"kind", "file"} {
		check("[[clip]]\n"+key+" = []\n", key)
	}
}

// A key of tens of thousands of parts is refused before anything is made of it.
func TestSceneFileDeepKey(t *testing.T) {
	peak.Below(t, 60<<20, func() {
		for _, text := range []string{"a" + strings.Repeat(".a", 58_000) + " = 1", "[[clip]]\na = " + strings.Repeat("{a=", 30_000), "[clip" + strings.Repeat(".a", 50_000) + "]"} {
			_, err := readFrom(context.Background(), strings.NewReader(text), "x.toml", 1, 1, read.DefaultOptions(), nil)
			var in *scenes.InputError
			if !errors.As(err, &in) || in.Line == 0 || !strings.Contains(err.Error(), "; accepted: up to 8 ") {
				t.Errorf("%.20q: error %v", text, err)
			}
		}
	})
}

func TestTimeOfDay(t *testing.T) {
	for text, want := range map[string]float64{"0:00": 0, "7:05": 25500, "07:05": 25500, "23:59:59": 86399} {
		if got, err := parseTimeOfDay(text); err != nil || got != want {
			t.Errorf("%q: %g, %v; want %g", text, got, err, want)
		}
	}
	for _, text := range []string{"", "7", "24:00", "7:60", "7:05:60", "7:5:5:5", "-1:00", "7:005", "7: 5", "٣:00"} {
		if _, err := parseTimeOfDay(text); err == nil {
			t.Errorf("%q was accepted", text)
		}
	}
}

func FuzzSceneFile(f *testing.F) {
	f.Add(eveningFile)
	f.Add("a.a.a.a.a.a.a.a.a.a = 1\n[[clip]]\nkind = {a={a={a={a=[[[[[1]]]]]}}}}\n")
	for _, k := range generate.Kinds() {
		f.Add("[[clip]]\nkind = \"" + k.Name + "\"\nduration = \"2 s\"\n")
	}
	flat := scenes.New("flat", 7, 15, 2, 1)
	f.Fuzz(func(t *testing.T, text string) {
		o := read.DefaultOptions()
		o.Limits.Frames, o.Limits.Levels = 100, 105*100
		s, err := readFrom(context.Background(), strings.NewReader(text), "fuzz.toml", 7, 15, o, func(path string, o read.Options) (scenes.Scene, read.Kind, error) {
			if strings.HasSuffix(path, ".csv") {
				return flat, read.KindCSV, nil
			}
			return flat, read.KindGIF, o.Validate()
		})
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Errorf("accepted an invalid scene: %v", err)
		}
	})
}
