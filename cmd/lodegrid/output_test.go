package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/gif"
	"image/png"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
)

// Every subcommand that prints a document prints one JSON document, CSV tables and a
// file as it prints text.
func TestForms(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, sub := range []string{"report", "coil", "crosstalk", "heat", "supply"} {
		t.Run(sub, func(t *testing.T) {
			path := filepath.Join(dir, "out of "+sub+".json")
			r := lode(sub, smallDesign, "--json", "-o", path)
			r.want(t, exitOK)
			written := readFile(t, path)
			if doc := oneDocument(t, written, sub); doc["design"] != "Small sign" {
				t.Errorf("design is %v", doc["design"])
			}
			if r.err != "" {
				t.Errorf("it talked: %s", r.err)
			}
			var object, tables strings.Builder
			if err := documentOf(t, sub, smallDesign).WriteJSON(&object); err != nil || r.out != "" || written != object.String() {
				t.Errorf("the file is not the document, or two runs differ (%v, %d bytes on the standard output)", err, len(r.out))
			}
			if err := documentOf(t, sub, smallDesign).WriteCSV(&tables); err != nil {
				t.Error(err)
			}
			for _, table := range strings.Split(tables.String(), "\r\n\r\n") {
				records, err := csv.NewReader(strings.NewReader(table)).ReadAll()
				if err != nil || len(records) < 2 {
					t.Errorf("%v, %d records in %.100q", err, len(records), table)
				}
			}
		})
	}
	one := lode("coil", smallDesign, "--json")
	if again := lode("coil", smallDesign, "--json", "--out", "-"); again.out != one.out || one.out != readFile(t, filepath.Join(dir, "out of coil.json")) {
		t.Error("-o - differs from none, or from the file")
	}
	var tables strings.Builder
	if err := documentOf(t, "coil", smallDesign).WriteCSV(&tables); err != nil || lode("coil", smallDesign, "--csv").out != tables.String() {
		t.Errorf("--csv does not print the document's tables: %v", err)
	}
	emptyBut(t, dir, "out of report.json", "out of coil.json", "out of crosstalk.json", "out of heat.json", "out of supply.json")
}

// The text of supply shows its formulas without being asked, that of report when asked.
func TestWhy(t *testing.T) {
	lode("supply", smallDesign).want(t, exitOK, "out:= next usual rating")
	lode("coil", smallDesign, "--why").want(t, exitOK, "out:= ρ20 Σ ℓ/(w t) =")
	for _, name := range []string{"report", "coil"} {
		doc := documentOf(t, name, smallDesign)
		if asked := textOf(t, doc, 0, true); !strings.Contains(asked, "= ρ20 Σ ℓ/(w t) =") || name == "report" && !strings.Contains(asked, "= next usual rating") {
			t.Errorf("the %s shows no formulas", name)
		}
		if strings.Contains(textOf(t, doc, 0, false), "= ρ20") {
			t.Errorf("the %s shows formulas unasked", name)
		}
	}
}

func TestPictures(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, c := range [][]string{
		{"heat", "--map", "map two.png"}, {"coil", "--chart", "chart.png"},
	} {
		path := filepath.Join(dir, c[2])
		lode(c[0], smallDesign, c[1], path).want(t, exitOK)
		img, err := png.Decode(strings.NewReader(readFile(t, path)))
		if err != nil || img.Bounds().Dx() < 300 {
			t.Errorf("%s: %v", c[2], err)
		}
	}
	svg := filepath.Join(dir, "chart.svg")
	lode("coil", smallDesign, "--chart", svg).want(t, exitOK)
	if text := readFile(t, svg); !strings.Contains(text, "<svg") || !strings.Contains(text, "</svg>") {
		t.Errorf("no SVG: %.100s", text)
	}
	r := lode("crosstalk", smallDesign, "--map", "-", "-o", filepath.Join(dir, "text.txt"))
	r.want(t, exitOK)
	if img, err := png.Decode(strings.NewReader(r.out)); err != nil || img.Bounds().Dx() < 300 {
		t.Errorf("no PNG on the standard output: %v, %.20q", err, r.out)
	}
}

// A film of a part that shows too little is not told to keep the limits: the tank's word on it
// judges, whatever the drop model says of the whole.
func TestFilmOfAPart(t *testing.T) {
	t.Parallel()
	r := bareTold(t, "film", litDesign, "--scene", "walk", "--set", "grid.cols=3", "--set", "grid.rows=2", "--length", "3s", "--fps", "2", "--cells", "6", "--width", "200", "-o", filepath.Join(t.TempDir(), "part.gif"))
	r.want(t, exitLimit, "the fluid is on 0 % of the wanted pixels")
	if text := strings.Join(strings.Fields(r.err), " "); !strings.Contains(text, "(tank). That is of what was filmed, 3 s of ") || strings.Contains(text, "NO LIMIT") {
		t.Errorf("told %s", r.err)
	}
}

// A time lapse whose one picture stands for more than the scene judges the loop from the scene's end: its
// drop falls for the second that is dark, not until the picture is over.
func TestTimeLapseEndsWithItsScene(t *testing.T) {
	t.Parallel()
	dark := writeFile(t, filepath.Join(t.TempDir(), "dark.csv"), "6,0,1,0,0,0,0\n1,0,0,0,0,0,0\n")
	lode("film", litDesign, "--scene", dark, "--set", "grid.cols=3", "--set", "grid.rows=2", "--set", "limits.stray=100 %", "--speed", "100", "--fps", "1", "--cells", "6", "--width", "200", "-o", filepath.Join(t.TempDir(), "lapse.gif")).want(t, exitOK)
}

func TestFilm(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "my film.GIF")
	short := []string{"film", smallDesign, "--scene", blinkScene, "--width", "200", "--fps", "10", "--length", "500ms"}
	lode(append(short, "-o", path)...).want(t, exitOK)
	check := func(data string) {
		t.Helper()
		g, err := gif.DecodeAll(strings.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		total := 0
		for _, d := range g.Delay {
			total += d
		}
		if len(g.Image) != 5 || total != 50 || g.Config.Width != 200 || g.LoopCount != 0 {
			t.Errorf("%d pictures in %d hundredths, %d wide, loop %d; want 5, 50, 200, 0", len(g.Image), total, g.Config.Width, g.LoopCount)
		}
	}
	check(readFile(t, path))
	// Longer than the scene plays it again; too often is told.
	again := filepath.Join(dir, "again.gif")
	lode("film", smallDesign, "--scene", blinkScene, "--width", "200", "--fps", "5", "--cells", "6", "--length", "3s", "-o", again).want(t, exitOK)
	if g, err := gif.DecodeAll(strings.NewReader(readFile(t, again))); err != nil || len(g.Image) != 15 {
		t.Errorf("3 s of a shorter scene are %d pictures of 15 (%v)", len(g.Image), err)
	}
	lode("film", smallDesign, "--scene", blinkScene, "--length", "1h", "-o", again).want(t, exitUsage, "--length", "100 times at most")
	r := lode(append(short, "-o", "-")...)
	r.want(t, exitOK)
	check(r.out)
	if readFile(t, path) != r.out {
		t.Error("two films of the same scene differ")
	}
	folder := filepath.Join(dir, "frames of it")
	lode(append(short, "-o", folder)...).want(t, exitOK)
	var names []string
	for i := range 5 {
		name := fmt.Sprintf("frame-%05d.png", i+1)
		names = append(names, name)
		if _, err := png.Decode(strings.NewReader(readFile(t, filepath.Join(folder, name)))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	emptyBut(t, folder, names...)
}

func TestDesignCommand(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	fresh := filepath.Join(dir, "fresh.toml")
	lode("design", "--new", "-o", fresh).want(t, exitOK)
	lode("design", fresh).want(t, exitOK, "out:The design is valid: 16 × 10 pixels at 11 mm.")
	full := filepath.Join(dir, "full.toml")
	lode("design", smallDesign, "--full", "-o", full).want(t, exitOK)
	again := lode("design", full, "--full")
	again.want(t, exitOK)
	if again.out != readFile(t, full) {
		t.Error("a design spelled out changes when it is spelled out again")
	}
	changed := lode("design", smallDesign, "--full", "--set", "coil.track=6 mil")
	changed.want(t, exitOK, `out:track = "6 mil"`)
	explained := lode("design", "--explain")
	explained.want(t, exitOK, "out:[coil]", "out:coil.track = ", "out:drive.max_duty = ", "out:accepted: more than 0 %, up to 100 %")
}

// A result that cannot be written is a failure even when a limit is broken, and a
// picture that cannot be written keeps the result back.
func TestUnwritableOutput(t *testing.T) {
	dir := t.TempDir()
	kept := writeFile(t, filepath.Join(dir, "kept.txt"), "kept")
	nowhere := filepath.Join(dir, "no such folder", "x.png")
	for _, args := range [][]string{
		{"report", smallDesign, "--set", "limits.touch=30 degC", "-o", nowhere},
		{"report", smallDesign, "-o", dir},
		{"crosstalk", smallDesign, "--map", nowhere},
		{"heat", smallDesign, "--map", nowhere},
		{"coil", smallDesign, "--chart", nowhere},
		{"design", "--new", "-o", nowhere},
		{"film", smallDesign, "--length", "100ms", "-o", filepath.Join(dir, "no such folder", "x.gif")},
		{"film", smallDesign, "--length", "100ms", "-o", filepath.Join(kept, "frames")},
	} {
		lode(args...).want(t, exitFailure, "lodegrid: ")
	}
	emptyBut(t, dir, "kept.txt")
	if readFile(t, kept) != "kept" {
		t.Error("an old file was changed")
	}
}

// Whatever takes long tells that it goes on, and can be stopped: a study looks at its context
// again and again, and that moves the bar on a terminal.
func TestStudiesTellProgress(t *testing.T) {
	t.Parallel()
	few := []string{"--set", "grid.cols=2", "--set", "grid.rows=2"}
	for _, name := range []string{"heat", "supply", "crosstalk", "faults"} {
		var looks atomic.Int64
		r := lodeIn(watched{t.Context(), func() { looks.Add(1) }}, append([]string{name, smallDesign}, few...)...)
		if r.code != exitOK && r.code != exitLimit || looks.Load() < 100 {
			t.Errorf("%s: exit code %d after %d looks, want 100 or more; %s", name, r.code, looks.Load(), r.err)
		}
	}
	var out, talk bytes.Buffer
	run(t.Context(), append([]string{"heat", smallDesign}, few...), streams{out: &out, err: &talk, terminal: true})
	if plain := lode(append([]string{"heat", smallDesign}, few...)...); out.String() != plain.out {
		t.Error("a bar changes what is printed")
	}
	if said := talk.String(); !strings.Contains(said, "heat") || !strings.Contains(said, "playing") {
		t.Errorf("no bar of the command's studies, or none of what is played: %.300q", said)
	}
}
