//go:build !js

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// copied copies a file of the test data.
func copied(t *testing.T, from, to string) string {
	t.Helper()
	return writeFile(t, to, readFile(t, from))
}

// shortFilm is the arguments of a film that takes no time.
func shortFilm(args ...string) []string {
	return append([]string{"film", smallDesign, "--width", "200", "--fps", "10", "--length", "100ms"}, args...)
}

// Nothing that a run reads is written, with or without --force: each subcommand, each
// flag that names a file, each thing that is read.
func TestNothingReadIsWritten(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	d := copied(t, smallDesign, at("sign.toml"))
	waves := copied(t, blinkScene, at("waves.gif"))
	levels := copied(t, levelTable, at("levels.csv"))
	clips := writeFile(t, at("clips.toml"), "[[clip]]\nfile = \"waves.gif\"\n[[clip]]\nfile = \"pictures\"\n")
	own := writeFile(t, at("own.toml"), strings.Split(readFile(t, smallDesign), "[scene]")[0]+"[scene]\nkind = \"file\"\nfile = \"waves.gif\"\n")
	if err := os.Mkdir(at("pictures"), 0o755); err != nil {
		t.Fatal(err)
	}
	sheet := at("pictures/frame-00001.png")
	lode(shortFilm("--scene", blinkScene, "--contact", sheet)...).want(t, exitOK)
	program := browserParts(t)
	before := map[string]string{}
	for _, path := range []string{d, waves, levels, clips, own, sheet, program} {
		before[path] = readFile(t, path)
	}
	for _, args := range [][]string{
		{"report", d, "-o", d}, {"report", d, "--html", at("page.html"), "-o", d},
		{"coil", d, "-o", d}, {"crosstalk", d, "-o", d}, {"heat", d, "-o", d}, {"supply", d, "-o", d}, {"frames", d, "--format", "csv", "-o", d},
		{"design", d, "-o", d}, {"design", d, "--full", "-o", d}, {"design", d, "--json", "-o", d},
		shortFilm("--scene", waves, "--out", waves), shortFilm("--scene", clips, "--out", waves), {"film", own, "--out", waves},
		shortFilm("--scene", at("pictures"), "--out", at("pictures")), shortFilm("--scene", clips, "--out", at("pictures")),
		shortFilm("--scene", at("pictures"), "--contact", at("pictures/sheet.png")),
		{"frames", smallDesign, "--scene", levels, "-o", levels}, {"crosstalk", smallDesign, "--scene", levels, "--field-csv", levels},
		{"web", "--wasm", program, "--out", filepath.Dir(program)},
	} {
		for _, force := range []bool{false, true} {
			if force {
				args = append(args, "--force")
			}
			lode(args...).want(t, exitUsage, "which is read")
		}
	}
	for path, content := range before {
		if readFile(t, path) != content {
			t.Errorf("%s was changed", path)
		}
	}
	emptyBut(t, dir, "sign.toml", "waves.gif", "levels.csv", "clips.toml", "own.toml", "pictures")
	emptyBut(t, at("pictures"), "frame-00001.png")
}

// What stands in the way is told before anything is computed, and stays.
func TestNothingIsReplacedUnasked(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, name := range []string{"a.toml", "a.txt", "a.html", "a.svg", "a.png", "a.gif", "a.vti", "a.csv", "a.lvt"} {
		writeFile(t, at(name), "the user's own")
	}
	runs := [][]string{
		{"report", smallDesign, "-o", at("a.txt")}, {"report", smallDesign, "--html", at("a.html")},
		{"coil", smallDesign, "--chart", at("a.svg")}, {"crosstalk", smallDesign, "--map", at("a.png")},
		{"crosstalk", smallDesign, "--field-vti", at("a.vti")}, {"crosstalk", smallDesign, "--field-csv", at("a.csv")},
		{"heat", smallDesign, "--map", at("a.png")}, {"supply", smallDesign, "--waveform", at("a.svg")},
		{"frames", smallDesign, "-o", at("a.csv")}, {"frames", smallDesign, "-o", at("a.lvt")},
		{"design", "--explain", "-o", at("a.txt")}, {"design", smallDesign, "--full", "-o", at("a.toml")},
		{"play", smallDesign, "--shot", at("a.png")}, shortFilm("--out", at("a.gif")), shortFilm("--contact", at("a.png")),
	}
	for i, args := range runs {
		if args[0] != "design" { // few pixels; the file's name stays last
			runs[i] = append([]string{args[0], "--set", "grid.cols=3", "--set", "grid.rows=3"}, args[1:]...)
		}
		lode(runs[i]...).want(t, exitFailure, "--force")
	}
	lode("design", "--new", "-o", at("a.toml")).want(t, exitFailure, "--force")
	for _, name := range []string{"a.toml", "a.txt", "a.html", "a.svg", "a.png", "a.gif", "a.vti", "a.csv", "a.lvt"} {
		if readFile(t, at(name)) != "the user's own" {
			t.Errorf("%s was changed", name)
		}
	}
	// By force they are replaced; after that those with a mark are ours. One run writes all that
	// it can.
	few := []string{"--set", "grid.cols=2", "--set", "grid.rows=2"}
	for _, args := range [][]string{
		append([]string{"report", smallDesign, "-o", at("a.txt"), "--html", at("a.html")}, few...), append([]string{"heat", smallDesign, "--map", at("a.png")}, few...),
		append([]string{"crosstalk", smallDesign, "--map", at("a.png"), "--field-vti", at("a.vti")}, few...), append([]string{"supply", smallDesign, "--waveform", at("a.svg")}, few...),
		append([]string{"coil", smallDesign, "--chart", at("a.svg")}, few...), append(shortFilm("--out", at("a.gif")), append(few, "--contact", at("a.png"))...),
		append(append([]string{"crosstalk", smallDesign}, few...), "--field-csv", at("a.csv")), append(append([]string{"frames", smallDesign}, few...), "-o", at("a.csv")), append(append([]string{"frames", smallDesign}, few...), "-o", at("a.lvt")),
		{"design", "--explain", "-o", at("a.txt")}, {"design", smallDesign, "--full", "-o", at("a.toml")},
	} {
		if r := lode(append(args, "--force")...); r.code != exitOK && r.code != exitLimit {
			t.Fatalf("%v --force: exit code %d: %s", args, r.code, r.err)
		}
		again := lode(args...)
		if ext := filepath.Ext(args[len(args)-1]); ext == ".csv" || ext == ".toml" {
			again.want(t, exitFailure, "--force")
		} else if again.code != exitOK && again.code != exitLimit {
			t.Errorf("%v a second time: exit code %d: %s", args, again.code, again.err)
		}
	}
	lode("coil", smallDesign, "--csv", "-o", at("tables")).want(t, exitOK)
	lode("coil", smallDesign, "--json", "-o", at("tables")).want(t, exitOK)
	lode("coil", smallDesign, "-o", at("tables")).want(t, exitOK)
	// A design that the program wrote is its user's from then on.
	lode("design", "--new", "-o", at("new.toml")).want(t, exitOK)
	lode("design", "--new", "-o", at("new.toml")).want(t, exitFailure, "--force")
	lode("design", at("new.toml"), "--full", "-o", at("full.toml")).want(t, exitOK)
	lode("design", at("new.toml"), "--full", "-o", at("full.toml")).want(t, exitFailure, "--force")
}

// Contradictions and places that cannot be written to are told before the work: here the
// work would take minutes.
func TestPlannedFirst(t *testing.T) {
	dir := t.TempDir()
	kept := writeFile(t, filepath.Join(dir, "kept.txt"), "kept")
	long := []string{"--set", "grid.cols=200", "--set", "grid.rows=200", "--set", "tank.spacers=60 mm", "--set", "scene.duration=10000 s"}
	for _, c := range []struct {
		code int
		says string
		args []string
	}{
		{exitFailure, "nope", []string{"report", "-o", filepath.Join(dir, "nope", "x")}},
		{exitFailure, "folder", []string{"report", "-o", dir}},
		{exitUsage, ".svg or .png", []string{"supply", "--waveform", filepath.Join(dir, "x.pdf")}},
		{exitUsage, ".svg or .png", []string{"heat", "--chart", filepath.Join(dir, "x")}},
		{exitUsage, ".html or .htm", []string{"report", "--html", filepath.Join(dir, "x.toml")}},
		{exitUsage, ".vti", []string{"crosstalk", "--field-vti", filepath.Join(dir, "x.csv")}},
		{exitUsage, "are one file", []string{"heat", "--map", filepath.Join(dir, "x.png"), "--chart", filepath.Join(dir, "x.png")}},
		{exitUsage, "are one file", []string{"report", "--html", filepath.Join(dir, "x.html"), "-o", filepath.Join(dir, ".", "x.html")}},
		{exitUsage, "--out: empty", []string{"report", "-o", ""}},
		{exitUsage, "--map: empty", []string{"crosstalk", "--map="}},
		{exitFailure, "not a directory", []string{"film", "-o", filepath.Join(kept, "frames")}},
		{exitUsage, "--set changes a design", []string{"design", "--new"}},
	} {
		lode(append(c.args, long...)...).want(t, c.code, c.says)
	}
	emptyBut(t, dir, "kept.txt")
}

// A film's folder holds that film, and what others put there.
func TestFilmFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "frames")
	lode(shortFilm("--length", "500ms", "-o", folder)...).want(t, exitOK)
	emptyBut(t, folder, "frame-00001.png", "frame-00002.png", "frame-00003.png", "frame-00004.png", "frame-00005.png")
	writeFile(t, filepath.Join(folder, "notes.txt"), "mine")
	lode(shortFilm("--length", "200ms", "-o", folder)...).want(t, exitOK)
	emptyBut(t, folder, "frame-00001.png", "frame-00002.png", "notes.txt")
	writeFile(t, filepath.Join(folder, "frame-00007.png"), "a picture of mine")
	lode(shortFilm("-o", folder)...).want(t, exitFailure, "frame-00007.png", "--force")
	lode(shortFilm("-o", folder, "--force")...).want(t, exitOK)
	emptyBut(t, folder, "frame-00001.png", "frame-00007.png", "notes.txt")
	if readFile(t, filepath.Join(folder, "frame-00007.png")) != "a picture of mine" {
		t.Error("somebody else's picture was changed")
	}
}

// The page's folder is written again without being asked, another's not.
func TestWebFolderAgain(t *testing.T) {
	program, folder := browserParts(t), filepath.Join(t.TempDir(), "page")
	for range 2 {
		lode("web", "--wasm", program, "--out", folder).want(t, exitOK)
	}
	writeFile(t, filepath.Join(folder, "index.html"), "my page")
	lode("web", "--wasm", program, "--out", folder).want(t, exitFailure, "--force")
	lode("web", "--wasm", program, "--out", folder, "--force").want(t, exitOK)
}
