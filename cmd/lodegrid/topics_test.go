package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lodegrid/scenes"
	"lodegrid/scenes/compose"
	"lodegrid/scenes/read"
)

// indented returns the examples of a topic: the lines indented by four, from the one that
// begins as told to the next line that is not.
func indented(t *testing.T, text, begins string) string {
	t.Helper()
	var block []string
	for _, line := range strings.Split(text, "\n") {
		in, ok := strings.CutPrefix(line, "    ")
		switch {
		case len(block) == 0 && !strings.HasPrefix(in, begins):
		case ok:
			block = append(block, in)
		case line == "":
			block = append(block, "")
		default:
			return strings.Join(block, "\n") + "\n"
		}
	}
	t.Fatalf("no example begins with %q", begins)
	return ""
}

// What the help says of scenes is what the readers do: its examples are read, and it names
// every key that a scene file may have.
func TestScenesTopic(t *testing.T) {
	help := lode("help", "scenes")
	help.want(t, exitOK)
	dir := t.TempDir()
	open := func(name string) (scenes.Scene, error) {
		return compose.Open(context.Background(), filepath.Join(dir, name), 2, 2, read.DefaultOptions())
	}
	writeFile(t, filepath.Join(dir, "levels.csv"), indented(t, help.out, "duration_s"))
	s, err := open("levels.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Frames) != 2 || s.Duration() != 0.75 || s.Frames[0].Levels[3] != -1 {
		t.Errorf("the table's scene is %+v", s)
	}
	writeFile(t, filepath.Join(dir, "boat.gif"), readFile(t, blinkScene))
	sound := "RIFF\x28\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x40\x1f\x00\x00\x80\x3e\x00\x00\x02\x00\x10\x00data\x04\x00\x00\x00\x01\x00\x02\x00"
	writeFile(t, filepath.Join(dir, "bells.wav"), sound)
	writeFile(t, filepath.Join(dir, "evening.toml"), indented(t, help.out, "name = "))
	if s, err = open("evening.toml"); err != nil {
		t.Fatal(err)
	}
	if s.Name != "Evening" || s.Duration() < 40 {
		t.Errorf("the scene file's scene is %q of %g s", s.Name, s.Duration())
	}
	for _, table := range []string{"[[clip]]\n", "[limits]\n", "[[clip]]\nfile = \"bells.wav\"\n[clip.audio]\n"} {
		writeFile(t, filepath.Join(dir, "odd.toml"), table+"no_such_key = 1\n")
		_, err := open("odd.toml")
		var wrong *scenes.InputError
		if !errors.As(err, &wrong) {
			t.Fatalf("%q: %v", table, err)
		}
		_, keys, ok := strings.Cut(err.Error(), "accepted: ")
		if !ok {
			t.Fatalf("%v", err)
		}
		for _, key := range strings.Split(keys, ", ") {
			if !regexp.MustCompile(`\b` + key + `\b`).MatchString(help.out) {
				t.Errorf("the help does not tell of the key %s", key)
			}
		}
	}
	for _, n := range read.WindowNames() {
		if !strings.Contains(help.out, string(n)) {
			t.Errorf("the help does not tell of the window %s", n)
		}
	}
}

// The exit codes are told in one set of words, here and in README.md.
func TestExitCodesAreTold(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	topic, list := lode("help", "exit-codes").out, lode("help").out
	for _, e := range exitMeanings {
		for where, text := range map[string]string{"help exit-codes": topic, "help": list} {
			if !strings.Contains(text, fmt.Sprintf("%d  %s\n", e.code, e.meaning)) {
				t.Errorf("%s does not tell of code %d as %q", where, e.code, e.meaning)
			}
		}
		if row := fmt.Sprintf("| %d | %s |\n", e.code, e.meaning); !strings.Contains(string(readme), row) {
			t.Errorf("README.md lacks the row %q", row)
		}
	}
	lode("help", "files").want(t, exitOK, "out:--force")
	lode("help", "report", "coil").want(t, exitUsage, "one subcommand or topic")
}

// What judges no limits says so at the end of its text, and what judges them does not.
func TestLimitsNotJudged(t *testing.T) {
	t.Parallel()
	const line = "\nLimits were not judged; lodegrid report judges them.\n"
	small := []string{smallDesign, "--set", "grid.cols=2", "--set", "grid.rows=2"}
	for _, sub := range []string{"coil", "crosstalk", "design", "report", "heat", "supply"} {
		r := lode(append([]string{sub}, small...)...)
		r.want(t, exitOK)
		if judges := sub != "coil" && sub != "crosstalk" && sub != "design"; strings.HasSuffix(r.out, line) == judges {
			t.Errorf("%s ends %q", sub, r.out[max(0, len(r.out)-120):])
		}
	}
}
