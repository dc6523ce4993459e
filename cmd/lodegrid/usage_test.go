package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/generate"
)

// Each exit code, by the thing that earns it.
func TestExitCodes(t *testing.T) {
	dir := t.TempDir()
	stopped, stop := context.WithCancel(context.Background())
	stop()
	for _, c := range []struct {
		name  string
		ctx   context.Context
		args  []string
		code  int
		texts []string
	}{
		{"fine", nil, []string{"report", smallDesign}, exitOK, []string{"out:NO LIMIT IS BROKEN", "out:Small sign: report"}},
		{"no such design", nil, []string{"report", filepath.Join(dir, "none.toml")}, exitInput, []string{"none.toml", "no such file", "lodegrid design --new -o "}},
		{"nowhere to write", nil, []string{"report", smallDesign, "-o", filepath.Join(dir, "no", "where.txt")}, exitFailure, []string{"where.txt"}},
		{"no subcommand", nil, nil, exitUsage, []string{"no subcommand", "Subcommands:"}},
		{"invalid design", nil, []string{"report", writeFile(t, filepath.Join(dir, "bad.toml"), "[grid]\ncols = 0\n")}, exitInput, []string{"bad.toml:2:8: grid.cols"}},
		{"a limit broken", nil, []string{"report", smallDesign, "--set", "limits.touch=30 degC"}, exitLimit, []string{"out:ONE PROBLEM", "out:over the touch limit of 30.0 °C"}},
		{"interrupted", stopped, []string{"report", smallDesign}, exitInterrupted, []string{"interrupted"}},
		{"interrupted coil", stopped, []string{"coil", smallDesign}, exitInterrupted, []string{"interrupted"}},
		{"interrupted crosstalk", stopped, []string{"crosstalk", smallDesign}, exitInterrupted, []string{"interrupted"}},
		{"interrupted heat", stopped, []string{"heat", smallDesign}, exitInterrupted, []string{"interrupted"}},
		{"interrupted supply", stopped, []string{"supply", smallDesign}, exitInterrupted, []string{"interrupted"}},
		{"interrupted film", stopped, []string{"film", smallDesign, "-o", filepath.Join(dir, "film.gif")}, exitInterrupted, []string{"interrupted"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.ctx == nil {
				c.ctx = context.Background()
			}
			lodeIn(c.ctx, c.args...).want(t, c.code, c.texts...)
		})
	}
	emptyBut(t, dir, "bad.toml")
}

// A picture of a time that the scene has not is none of its end.
func TestPictureBeyondTheScene(t *testing.T) {
	to := filepath.Join(t.TempDir(), "a.png")
	lode("play", smallDesign, "--shot", to, "--at", "100h").want(t, exitUsage, "--at 100h0m0s: 0 s to the scene's end at 2 s")
	lode("play", smallDesign, "--shot", to, "--at=-1s").want(t, exitUsage, "--at -1s")
	lode("play", smallDesign, "--at", "1s").want(t, exitUsage, "--shot")
}

// What is written in the place of a document has no other form.
func TestTextsOfTheirOwn(t *testing.T) {
	for _, args := range []string{"design --explain --json", "design --new --csv", "design --full --html=a.html", "design --explain --new", "choose --new --json", "fit --new --csv"} {
		lode(strings.Fields(args)...).want(t, exitUsage, "writes a text of its own")
	}
}

// The codes are a contract with scripts.
func TestExitCodesNeverChange(t *testing.T) {
	got := []int{exitOK, exitFailure, exitUsage, exitInput, exitLimit, exitInterrupted}
	if want := []int{0, 1, 2, 3, 4, 130}; !slices.Equal(got, want) {
		t.Errorf("exit codes %v, want %v", got, want)
	}
}

// A mistake in the code is told as one, with where it was made, and is a failure.
func TestMistakes(t *testing.T) {
	var err error
	func() {
		defer mistake(&err)
		panic("a wrong length")
	}()
	if exitCode(err) != exitFailure || !strings.Contains(err.Error(), "a wrong length") || !strings.Contains(err.Error(), "TestMistakes") {
		t.Errorf("a panic gives %v", err)
	}
}

func TestHelp(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"--help"}, {"-h"}} {
		r := lode(args...)
		r.want(t, exitOK, "out:lodegrid SUBCOMMAND [DESIGN] [flags]", "out:130  interrupted")
		for _, c := range commands() {
			if !strings.Contains(r.out, "\n  "+c.name+" ") || !strings.Contains(r.out, c.short) {
				t.Errorf("%v does not list %s", args, c.name)
			}
		}
	}
	for _, c := range commands() {
		help := lode("help", c.name)
		help.want(t, exitOK, "out:lodegrid "+c.name+c.args(), "out:"+strings.SplitN(c.long, "\n", 2)[0])
		for _, form := range []string{"-h", "--help"} {
			if r := lode(c.name, form); r.code != exitOK || r.out != help.out {
				t.Errorf("%s %s gives %d and other help than help %s", c.name, form, r.code, c.name)
			}
		}
		for _, line := range strings.Split(help.out, "\n") {
			if strings.HasSuffix(line, " ") {
				t.Errorf("help of %s ends a line in spaces: %q", c.name, line)
			}
		}
	}
	lode("version").want(t, exitOK, "out:lodegrid ", "out:go1.")
	lode("--version").want(t, exitOK, "out:lodegrid ")
}

func TestWrongUsage(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		args  []string
		texts []string
	}{
		{[]string{"reprot"}, []string{`unknown subcommand "reprot"`, "report, coil", `did you mean "report"?`}},
		{[]string{"help", "crostalk"}, []string{`did you mean "crosstalk"?`}},
		{[]string{"zzzzzz"}, []string{`unknown subcommand "zzzzzz"`}},
		{[]string{"report", "--jsn"}, []string{"unknown flag: --jsn", "did you mean --json?", "lodegrid help report"}},
		{[]string{"film", "--widht", "300"}, []string{"did you mean --width?"}},
		{[]string{"coil", "-q"}, []string{"unknown shorthand flag"}},
		{[]string{"report", "--json", "--csv"}, []string{"exclude each other"}},
		{[]string{"report", "a.toml", "b.toml"}, []string{"one design file at most", "a.toml b.toml"}},
		{[]string{"report", "--threshold", "much"}, []string{"--threshold", "much"}},
		{[]string{"report", "--threshold=-0.5"}, []string{"threshold", "-0.5", "0…1"}},
		{[]string{"report", "--threshold", "NaN"}, []string{"threshold", "NaN", "0…1"}},
		{[]string{"report", "--mapping", "thresold"}, []string{"thresold", "threshold"}},
		{[]string{"report", "--fit", "squeeze"}, []string{"squeeze", "letterbox"}},
		{[]string{"report", "--frame-time", "0s"}, []string{"--frame-time 0s", "more than 0"}},
		{[]string{"report", "--frame-time=-1s"}, []string{"--frame-time -1s"}},
		{[]string{"report", "--frame-time", "1"}, []string{"--frame-time", "30s"}},
		{[]string{"report", "--scene", "plasma", "--frame-time", "1us"}, []string{"frames", "1000000"}},
		{[]string{"film", "--width", "100"}, []string{"--width 100", "200…4000"}},
		{[]string{"film", "--fps", "0"}, []string{"--fps 0", "1…50"}},
		{[]string{"film", "--length=-1s"}, []string{"--length -1s"}},
		{[]string{"film", "--out", filepath.Join(dir, "film.mp4")}, []string{"film.mp4", ".gif"}},
		{[]string{"film", "--overlay", "sound", "-o", filepath.Join(dir, "film.gif")}, []string{`"sound"`, "fluid, field"}},
		{[]string{"crosstalk", "--reach", "0"}, []string{"--reach 0", "1…64"}},
		{[]string{"crosstalk", smallDesign, "--map", filepath.Join(dir, "map.jpg")}, []string{"map.jpg", ".png"}},
		{[]string{"crosstalk", smallDesign, "--map", "-"}, []string{"standard output"}},
		{[]string{"coil", smallDesign, "--chart", filepath.Join(dir, "chart.txt")}, []string{"chart.txt", ".svg or .png"}},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) { lode(c.args...).want(t, exitUsage, c.texts...) })
	}
	emptyBut(t, dir)
}

// What is generated by name is what a design may name.
func TestSceneKindsAgree(t *testing.T) {
	t.Parallel()
	// The worst crosstalk needs the grid, so that the command makes it.
	generated := []string{"file", "worst-crosstalk"}
	for _, k := range generate.Kinds() {
		generated = append(generated, k.Name)
	}
	named := design.SceneKinds()
	slices.Sort(generated)
	slices.Sort(named)
	if !slices.Equal(generated, named) {
		t.Errorf("scenes are generated as %v, a design may name %v", generated, named)
	}
	// Each can be asked for and played, and the help names it.
	help := lode("help", "supply")
	for _, k := range named {
		if k == "file" {
			continue
		}
		if !strings.Contains(strings.Join(strings.Fields(help.out), " "), k) {
			t.Errorf("the help does not name scene %s", k)
		}
		args := []string{"supply", smallDesign, "--scene", k, "--set", "grid.cols=16", "--set", "grid.rows=7", "--set", "scene.duration=1 s"}
		if k == "ticker" {
			args = append(args, "--set", "scene.text=Hi")
		}
		if r := lode(args...); r.code != exitOK && r.code != exitLimit {
			t.Errorf("scene %s: exit code %d, %s", k, r.code, r.err)
		}
	}
	lode("report", smallDesign, "--scene", "tdie").want(t, exitInput, `"tdie"`, `did you mean "tide"?`)
}

// Without a display the window says what to do instead.
func TestPlayWithoutDisplay(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("other systems have a display or none for other reasons")
	}
	if _, err := os.Stat("/dev/fb0"); err == nil {
		t.Skip("this machine has a frame buffer, on which the window would open")
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self, "play", smallDesign)
	for _, v := range os.Environ() {
		if !strings.HasPrefix(v, "DISPLAY=") && !strings.HasPrefix(v, "WAYLAND_DISPLAY=") {
			c.Env = append(c.Env, v)
		}
	}
	c.Env = append(c.Env, "LODEGRID_TEST_AS_COMMAND=1")
	talk, err := c.CombinedOutput()
	if c.ProcessState == nil || c.ProcessState.ExitCode() != exitFailure {
		t.Errorf("%v, want exit code 1: %s", err, talk)
	}
	for _, want := range []string{"no display", "lodegrid film"} {
		if !strings.Contains(string(talk), want) {
			t.Errorf("%q is missing in %s", want, talk)
		}
	}
}
