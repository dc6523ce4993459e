package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"lodegrid/array/design"
)

// randomDesigns is how many there are. A plain go test runs the first few;
// .ci/properties sets LODEGRID_DESIGNS to run them all.
const (
	randomDesigns = 300
	usualDesigns  = 4
)

// Of one command on a design this small. The budget is the product's; it is held to
// where LODEGRID_DESIGNS is set, with a factor for a machine that does other work too.
const (
	cpuBudget = 20 * time.Second
	cpuFactor = 2
)

// study is one command line on a design.
type study struct {
	args []string
	file string // a file it writes, beside what it prints
}

// studiesOf are the commands that the design of an index goes through: the main job
// always, and for every other design one of the rest in turn. frames writes its table
// beside its account.
func studiesOf(index int, d design.Design, folder string) []study {
	list := []study{{args: []string{"report", "--json"}}}
	table := filepath.Join(folder, "frames.csv")
	turn := []study{
		{args: []string{"heat", "--json"}}, {args: []string{"supply", "--json"}}, {args: []string{"crosstalk", "--json"}},
		{args: []string{"coil", "--json"}}, {args: []string{"frames", "--optimise", "--json", "-o", table}, file: table},
		{args: []string{"report", "--why"}}, {args: []string{"heat"}}, {args: []string{"supply"}}, {args: []string{"crosstalk", "--csv"}},
		{args: []string{"drives", "--json", "--exact", "1"}}, {args: []string{"coil", "--wound"}},
	}
	if d.Iron.Model != design.IronNone {
		turn[len(turn)-1].args[1] = "--iron-models"
	}
	if index%2 == 0 {
		list = append(list, turn[index/2%len(turn)])
	}
	return list
}

// outcome of one command in a process of its own.
type outcome struct {
	result
	cpu time.Duration
}

// lodeApart runs the command in a process of its own, so that a crash is one command's
// and its processor time can be told.
func lodeApart(t *testing.T, args ...string) outcome {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Minute) // of no meaning but that a hang ends
	defer stop()
	c := exec.CommandContext(ctx, self, args...)
	c.Env = append(os.Environ(), "LODEGRID_TEST_AS_COMMAND=1")
	var out, talk bytes.Buffer
	c.Stdout, c.Stderr = &out, &talk
	if err := c.Run(); c.ProcessState == nil || !errors.As(err, new(*exec.ExitError)) && err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	s := c.ProcessState
	return outcome{result{s.ExitCode(), out.String(), talk.String()}, s.UserTime() + s.SystemTime()}
}

// wild is text that a number went wrong in: none at all, an infinity that nobody gave a
// word, or one out of all proportion.
var wild = regexp.MustCompile(`\bNaN\b|[-+]?\bInf\b|\d[eE]\+?(?:[3-9]\d|\d{3})\b|%!|<nil>`)

// faults of what a command gave: of its exit code, its talk and its figures.
func (o outcome) faults(s study) []string {
	var list []string
	fault := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	switch o.code {
	case exitOK, exitLimit:
		if o.out == "" {
			fault("nothing printed")
		}
	case exitInput:
		if o.out != "" || o.err == "" {
			fault("refused, with %d bytes printed and the reason %q", len(o.out), o.err)
		}
		return list
	default:
		fault("exit code %d: %.400s", o.code, o.err)
	}
	if strings.Contains(o.err, "panic: ") || strings.Contains(o.err, "goroutine ") {
		fault("panic: %.1500s", o.err)
	}
	texts := []string{o.out}
	if s.file != "" && o.code != exitFailure {
		data, err := os.ReadFile(s.file)
		if err != nil || len(data) == 0 {
			fault("%s: %d bytes, %v", filepath.Base(s.file), len(data), err)
		}
		texts = append(texts, string(data))
	}
	for _, text := range texts {
		if i := wild.FindStringIndex(text); i != nil {
			fault("%q in %q", text[i[0]:i[1]], text[max(0, i[0]-200):min(len(text), i[1]+60)])
		}
	}
	if len(list) == 0 && strings.Contains(strings.Join(s.args, " "), "--json") {
		list = append(list, jsonFaults(o.out)...)
	}
	return list
}

// jsonFaults of one document: each value is a number of a size that things have, a text
// or a list of such; what is no number is a word of the schema.
func jsonFaults(text string) []string {
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	var doc any
	if err := d.Decode(&doc); err != nil {
		return []string{fmt.Sprintf("no JSON: %v", err)}
	}
	if d.More() {
		return []string{"something follows the JSON document"}
	}
	var list []string
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				walk(path+"."+k, x)
			}
		case []any:
			for i, x := range v {
				walk(path+"["+strconv.Itoa(i)+"]", x)
			}
		case nil:
			list = append(list, path+" is null")
		case string:
			if v == "" && !strings.HasSuffix(path, ".design") {
				list = append(list, path+" is empty")
			}
		case json.Number:
			if f, err := v.Float64(); err != nil || math.Abs(f) > 1e30 {
				list = append(list, fmt.Sprintf("%s is %s", path, v))
			}
		}
	}
	walk("", doc)
	return list
}

// TestRandomDesigns runs random valid designs through the commands. A design may break
// its limits or be one that cannot be computed; what it may not do is make the program
// fail, hang, or print a figure that is none.
func TestRandomDesigns(t *testing.T) {
	t.Parallel()
	n, all := usualDesigns, os.Getenv("LODEGRID_DESIGNS")
	if all == "" && os.Getenv("LODEGRID_CI") != "" {
		t.Skip("the full check runs .ci/properties")
	}
	if all != "" {
		var err error
		if n, err = strconv.Atoi(all); err != nil || n < 1 || n > 100*randomDesigns {
			t.Fatalf("LODEGRID_DESIGNS=%q, want a number of designs, e.g. %d", all, randomDesigns)
		}
	}
	var mu sync.Mutex
	codes, ran := map[int]int{}, 0
	t.Run("design", func(t *testing.T) {
		for i := range n {
			t.Run(strconv.Itoa(i), func(t *testing.T) {
				t.Parallel()
				d, list := randomDesign(t, i)
				folder := t.TempDir()
				file := writeFile(t, filepath.Join(folder, "design.toml"), string(d.Marshal()))
				for _, s := range studiesOf(i, d, folder) {
					o := lodeApart(t, append([]string{s.args[0], file}, s.args[1:]...)...)
					faults := o.faults(s)
					if all != "" && o.cpu > cpuFactor*cpuBudget {
						faults = append(faults, fmt.Sprintf("%.0f s of processor time, more than %g times %v", o.cpu.Seconds(), float64(cpuFactor), cpuBudget))
					}
					t.Logf("%v: exit code %d, %.2f s", s.args, o.code, o.cpu.Seconds())
					if o.code == exitInput {
						t.Logf("refused: %s", o.err)
					}
					for _, f := range faults {
						t.Errorf("%s: %s", strings.Join(s.args, " "), f)
					}
					if len(faults) > 0 {
						t.Logf("the design, on an empty file: lodegrid %s empty.toml%s", s.args[0], asFlags(list))
					}
					mu.Lock()
					codes[o.code]++
					ran++
					mu.Unlock()
				}
			})
		}
	})
	t.Logf("%d designs, %d commands; exit codes %v", n, ran, codes)
	if all != "" && (codes[exitOK] == 0 || codes[exitLimit] == 0 || codes[exitInput]*5 > ran) {
		t.Errorf("exit codes %v: the designs are not the mixture they should be", codes)
	}
}

// Designs that once went wrong, and why is said in their files; and one pixel alone.
func TestKeptDesigns(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"cool.toml", "pixel-alone.toml"} {
		for _, args := range [][]string{{"report", "--json"}, {"heat"}, {"supply"}, {"crosstalk"}} {
			s := study{args: []string{args[0], "../../testdata/designs/valid/" + name}}
			s.args = append(s.args, args[1:]...)
			for _, f := range (outcome{result: lode(s.args...)}).faults(s) {
				t.Errorf("%s %s: %s", args[0], name, f)
			}
		}
	}
}

// asFlags writes changes as they are typed.
func asFlags(list []design.Change) string {
	var b strings.Builder
	for _, c := range list {
		fmt.Fprintf(&b, " --set '%s=%s'", c.Key, c.Value)
	}
	return b.String()
}

// What the walk over a document is there to find.
func TestWildFiguresAreFound(t *testing.T) {
	for text, wrong := range map[string]bool{
		`{"a": 1.5e3, "b": ["infinite", {"c": "none"}], "design": ""}`: false,
		`{"a": null}`: true, `{"a": 1e31}`: true, `{"a": [{"b": ""}]}`: true, `{"a": 1} {}`: true, `{"a": NaN}`: true,
	} {
		if got := jsonFaults(text); (len(got) > 0) != wrong {
			t.Errorf("%s: %q", text, got)
		}
	}
	for text, wrong := range map[string]bool{
		"12 NaN": true, "+Inf mT": true, "-Inf": true, "1.8e+308 A": true, "2e40": true, "%!d(string)": true, "4.3e-12 to 1e+09": false, "Information, nano": false,
	} {
		if got := wild.MatchString(text); got != wrong {
			t.Errorf("%q: %t", text, got)
		}
	}
	if got := (outcome{result: result{exitFailure, "", "thermal runaway"}}).faults(study{}); len(got) == 0 {
		t.Error("a failure passes")
	}
}
