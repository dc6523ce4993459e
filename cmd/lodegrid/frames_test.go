package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image/gif"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lodegrid/scenes"
	"lodegrid/scenes/table"
)

// littleTide is the tide on few pixels and for a short time, so that whole subcommands
// run in a test.
var littleTide = func() []string {
	sign, err := filepath.Abs(smallDesign) // wherever a test goes
	if err != nil {
		panic(err)
	}
	return []string{sign, "--set", "scene.kind=tide", "--set", "scene.duration=4 s", "--set", "scene.frame_time=500 ms", "--set", "scene.band=1"}
}()

// little runs a subcommand on it.
func little(t *testing.T, args ...string) (code int, out, talk string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), append(args, littleTide...), streams{out: &o, err: &e})
	return code, o.String(), e.String()
}

func TestFramesCSV(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "f.csv")
	code, out, talk := little(t, "frames", "-o", path, "--json")
	if code != exitLimit {
		t.Fatalf("code %d: %s", code, talk)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := table.ReadCSV(context.Background(), f, path, 3, 4, scenes.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Table struct {
			Frames   int     `json:"frames"`
			Duration float64 `json:"duration_s"`
			Bytes    int64   `json:"bytes"`
		} `json:"table"`
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		t.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	if doc.Table.Frames != len(s.Frames) || doc.Table.Duration != s.Duration() || doc.Table.Bytes != info.Size() {
		t.Errorf("told %+v, written %d frames, %g s, %d bytes", doc.Table, len(s.Frames), s.Duration(), info.Size())
	}
}

// On the standard output the table stands alone, and the talk goes elsewhere.
func TestFramesToStandardOutput(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		args []string
		read func(text string) error
	}{
		{nil, func(text string) error {
			_, err := table.ReadCSV(context.Background(), strings.NewReader(text), "out", 3, 4, scenes.DefaultLimits())
			return err
		}},
		{[]string{"--format", "table", "--bits", "16"}, func(text string) error {
			_, err := table.ReadBinary(context.Background(), strings.NewReader(text), "out", scenes.DefaultLimits())
			return err
		}},
	} {
		code, out, talk := little(t, append([]string{"frames"}, c.args...)...)
		if code != exitLimit {
			t.Fatalf("code %d: %s", code, talk)
		}
		if err := c.read(out); err != nil {
			t.Errorf("%v: %v", c.args, err)
		}
		if !strings.Contains(talk, "Frame table") {
			t.Errorf("%v: told %q", c.args, talk)
		}
	}
}

func TestFramesOptimised(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "f.lvt")
	code, out, talk := little(t, "frames", "--optimise", "-o", path, "--json")
	if code != exitOK && code != exitLimit {
		t.Fatalf("code %d: %s", code, talk)
	}
	var doc struct {
		Optimise struct {
			Changed bool `json:"changed"`
			Saved   []struct {
				Figure        string
				Before, After float64
			} `json:"saved"`
		} `json:"optimise"`
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Optimise.Saved) == 0 || !doc.Optimise.Changed || doc.Optimise.Saved[0].After >= doc.Optimise.Saved[0].Before {
		t.Errorf("told %+v", doc)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := table.ReadBinary(context.Background(), bytes.NewReader(data), path, scenes.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	dimmed := false
	for _, f := range s.Frames {
		for _, v := range f.Levels {
			dimmed = dimmed || v > 0 && v < 1
		}
	}
	if !dimmed {
		t.Error("the written table has no dimmed pixel")
	}
	// A cap that cannot be kept is a broken limit; the table is written all the same.
	code, _, talk = little(t, "frames", "--optimise", "--cap", "1 mW", "-o", path)
	if code != exitLimit {
		t.Errorf("code %d for a cap of 1 mW: %s", code, talk)
	}
}

// A scene that the coils run away with cannot be optimised; the table is written as the
// scene is, and the verdict says what is broken.
func TestFramesOfARunaway(t *testing.T) {
	dir := t.TempDir()
	hot := []string{"frames", smallDesign, "--set", "drive.max_duty=100 %", "--set", "heat.air_speed=0 m/s", "--set", "supply.voltage=60 V"}
	plain, changed := filepath.Join(dir, "a.csv"), filepath.Join(dir, "b.csv")
	lode(append(hot, "-o", plain)...).want(t, exitLimit, "out:has no steady state")
	lode(append(hot, "-o", changed, "--optimise")...).want(t, exitLimit, "out:has no steady state", "out:was left as it is")
	if readFile(t, plain) != readFile(t, changed) {
		t.Error("the table of a scene that was left as it is differs")
	}
}

func TestFramesUsage(t *testing.T) {
	for want, args := range map[string][]string{
		"--cap goes with --optimise":        {"--cap", "5 W"},
		"5 has no unit of power":            {"--optimise", "--cap", "5"},
		"--cap -1 W: 0 W to":                {"--optimise", "--cap", "-1 W"},
		"--bits 9: 8 or 16":                 {"--format", "table", "--bits", "9"},
		"--bits goes with the binary table": {"--bits", "16"},
		"accepted: csv, table":              {"--format", "xml"},
		"the ending must be .csv, or .lvt":  {"-o", "frames.bin"},
		"margin of the hold of 0.2":         {"--optimise", "--margin", "0.2"},
		"delay of -1 s":                     {"--optimise", "--delay", "-1s"},
	} {
		code, out, talk := little(t, append([]string{"frames"}, args...)...)
		if code != exitUsage || !strings.Contains(talk, want) || out != "" {
			t.Errorf("%v: code %d, %q; want %q", args, code, talk, want)
		}
	}
}

// A film, its contact sheet and what is told about the fluid; a time lapse is as much
// shorter as it says.
func TestFilmLapseAndContact(t *testing.T) {
	dir := t.TempDir()
	film, sheet := filepath.Join(dir, "f.gif"), filepath.Join(dir, "c.png")
	code, _, talk := little(t, "film", "-o", film, "--contact", sheet, "--width", "200", "--fps", "10", "--speed", "4", "--overlay", "hold")
	if code != exitLimit {
		t.Fatalf("code %d: %s", code, talk)
	}
	if !strings.Contains(talk, "tank: the fluid is on ") {
		t.Errorf("told %q", talk)
	}
	data, err := os.ReadFile(film)
	if err != nil {
		t.Fatal(err)
	}
	g, err := gif.DecodeAll(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if len(g.Image) != 10 { // 4 s at four times the speed and 10 pictures a second
		t.Errorf("%d pictures", len(g.Image))
	}
	f, err := os.Open(sheet)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := png.Decode(f); err != nil {
		t.Error(err)
	}
	// Without --out there is a sheet and no film.
	t.Chdir(dir)
	if code, _, talk := little(t, "film", "--contact", "alone.png", "--width", "200", "--speed", "8"); code != exitLimit {
		t.Fatalf("code %d: %s", code, talk)
	}
	if _, err := os.Stat("film.gif"); err == nil {
		t.Error("a film was written that nobody asked for")
	}
	for want, args := range map[string][]string{
		"--speed 0: ":            {"--speed", "0"},
		"--contact c.jpg: ":      {"--contact", "c.jpg"},
		"cannot all go":          {"--contact", "-", "--out", "-"},
		"accepted: fluid, field": {"--overlay", "sound"},
	} {
		if code, _, talk := little(t, append([]string{"film"}, args...)...); code != exitUsage || !strings.Contains(talk, want) {
			t.Errorf("%v: code %d, %q", args, code, talk)
		}
	}
}

// Every scene made for the grid at hand plays.
func TestScenesOfTheGrid(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"worst-crosstalk", "hand-over"} {
		code, out, talk := little(t, "frames", "--scene", name)
		if code != exitOK && code != exitLimit {
			t.Fatalf("%s: code %d: %s", name, code, talk)
		}
		if strings.Count(out, "\n") < 3 {
			t.Errorf("%s: table %q", name, out)
		}
	}
}

// The report's page holds its charts and maps.
func TestReportHTML(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "r.html")
	code, out, talk := little(t, "report", "--html", path)
	if code != exitOK && code != exitLimit {
		t.Fatalf("code %d: %s", code, talk)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	if !strings.HasPrefix(text, "<!") || !strings.Contains(text, "</html>\n<!-- ") {
		t.Errorf("no whole page: %.100s", text)
	}
	if n := strings.Count(text, `class="chart"`); n != 4 {
		t.Errorf("%d charts, want field, power, temperature and what shows", n)
	}
	if n := strings.Count(text, "<image "); n != 1+2+2*4 {
		t.Errorf("%d pictures, want the display, two frames that show least, and worst pattern, hand-over, temperatures and field with their bars", n)
	}
	for _, want := range []string{"grid.cols", "Supply power over the scene", "Cautions"} {
		if want == "grid.cols" {
			want = "cols = 4"
		}
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if !strings.Contains(out, "Coil") {
		t.Error("the text form is missing")
	}
	if code, _, _ := little(t, "report", "--html", "-"); code != exitUsage {
		t.Errorf("--html - beside a result on the standard output: code %d", code)
	}
}

// What breaks in a carried scene is what report says: its pictures are judged, not its moves.
func TestFramesOfACarriedSceneJudgeItsPictures(t *testing.T) {
	t.Parallel()
	args := []string{movingDesign, "--set", "grid.cols=3", "--set", "grid.rows=3", "--set", "drive.most_lit=9", "--set", "scene.kind=checker", "--set", "scene.duration=40 s", "--set", "scene.frame_time=20 s",
		"--set", "scene.carry=true", "--set", "drive.max_duty=32 %", "--set", "scene.hold_level=0.1875", "--set", "limits.stray=1 %"}
	want := brokenBy(t, args...)
	if !slices.Contains(want, "limits.stray") {
		t.Fatalf("report: %v", want)
	}
	out := bare(t, append([]string{"frames", "--json", "-o", filepath.Join(t.TempDir(), "frames.csv")}, args...)...)
	var got []string
	for _, p := range oneDocument(t, out, "frames")["problems"].([]any) {
		got = append(got, p.(map[string]any)["limit"].(string))
	}
	if !slices.Equal(got, want) {
		t.Errorf("frames tells of %v, report of %v", got, want)
	}
}
