package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
)

const module = "lodegrid"

// floors from the ground up: each may import itself and those below it.
var floors = []string{"field", "array", "scenes", "render", "cmd"}

// reserved libraries, by the start of their import path, and the one folder that may
// import each: the window alone opens windows, the command alone knows flags.
var reserved = []struct{ library, folder string }{
	{"github.com/hajimehoshi/ebiten", "render/live"},
	{"github.com/ebitenui/ebitenui", "render/live"},
	{"github.com/spf13/pflag", "cmd"},
}

// listed is what go list tells about a package.
type listed struct {
	ImportPath, Dir, Doc, Name             string
	Standard                               bool
	Imports, TestImports, XTestImports     []string
	GoFiles, TestGoFiles, XTestGoFiles     []string
	IgnoredGoFiles, OtherFiles, EmbedFiles []string
}

// packages lists the module's packages.
func packages(t *testing.T) []listed {
	t.Helper()
	if _, err := exec.LookPath("go"); errors.Is(err, exec.ErrNotFound) {
		t.Skip("there is no go tool to ask")
	}
	own, err := listOnce()
	if err != nil {
		t.Fatal(err)
	}
	if len(own) < 10 {
		t.Fatalf("go list told of %d packages of %s", len(own), module)
	}
	return own
}

// listOnce asks go list, from the root of the module.
var listOnce = sync.OnceValues(func() ([]listed, error) {
	c := exec.Command("go", "list", "-deps", "-json", "./...")
	c.Dir = filepath.Join("..", "..")
	c.Env = append(os.Environ(), "GOFLAGS=-mod=readonly", "GOPROXY=off")
	var talk bytes.Buffer
	c.Stderr = &talk
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w: %s", err, talk.String())
	}
	var own []listed
	d := json.NewDecoder(bytes.NewReader(out))
	for {
		var p listed
		if err := d.Decode(&p); err == io.EOF {
			return own, nil
		} else if err != nil {
			return nil, fmt.Errorf("reading what go list told: %w", err)
		}
		if inside(p.ImportPath, module) {
			own = append(own, p)
		}
	}
})

// inside tells whether a path is a folder or below it.
func inside(p, folder string) bool { return p == folder || strings.HasPrefix(p, folder+"/") }

// floor returns the floor of a package of this module, −1 for one outside.
func floor(importPath string) int {
	rest, ok := strings.CutPrefix(importPath, module+"/")
	if !ok {
		return -1
	}
	return slices.Index(floors, strings.SplitN(rest, "/", 2)[0])
}

// breaches of the house's order of imports by one package.
func breaches(p listed) []string {
	var out []string
	own := floor(p.ImportPath)
	if own < 0 {
		out = append(out, p.ImportPath+" stands on no floor: "+strings.Join(floors, ", "))
	}
	for _, i := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
		if floor(i) > own {
			out = append(out, p.ImportPath+" imports upward: "+i)
		}
		for _, r := range reserved {
			if inside(i, r.library) && !inside(p.ImportPath, module+"/"+r.folder) {
				out = append(out, p.ImportPath+" imports "+i+", which is for "+r.folder+" alone")
			}
		}
	}
	return out
}

func TestImportsPointOneWay(t *testing.T) {
	for _, p := range packages(t) {
		for _, b := range breaches(p) {
			t.Error(b)
		}
	}
}

func TestBreachesAreSeen(t *testing.T) {
	for _, c := range []struct {
		p    listed
		want int
	}{
		{listed{ImportPath: module + "/field", Imports: []string{"math", module + "/field/coil"}}, 0},
		{listed{ImportPath: module + "/field", Imports: []string{module + "/array"}}, 1},
		{listed{ImportPath: module + "/array/heat", TestImports: []string{module + "/scenes"}}, 1},
		{listed{ImportPath: module + "/render", XTestImports: []string{module + "/cmd/x"}}, 1},
		{listed{ImportPath: module + "/render", Imports: []string{"github.com/hajimehoshi/ebiten/v2"}}, 1},
		{listed{ImportPath: module + "/render/live/scope", Imports: []string{"github.com/ebitenui/ebitenui/widget"}}, 0},
		{listed{ImportPath: module + "/render/live", Imports: []string{"github.com/spf13/pflag"}}, 1},
		{listed{ImportPath: module + "/helpers"}, 1},
	} {
		if got := breaches(c.p); len(got) != c.want {
			t.Errorf("%+v: %d breaches, want %d: %q", c.p, len(got), c.want, got)
		}
	}
}

// Every package says what it is for, in a sentence that begins as Go's do.
func TestPackagesAreDocumented(t *testing.T) {
	for _, p := range packages(t) {
		want := "Package " + p.Name + " "
		if p.Name == "main" {
			want = "Command " + path.Base(p.ImportPath) + " "
		}
		if !strings.HasPrefix(p.Doc, want) {
			t.Errorf("%s: its doc comment begins %q, want %q", p.ImportPath, p.Doc, want)
		}
	}
}

// The map in DEVELOPERS.md has a row for every package, and no row for what is none.
func TestMapIsTrue(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	section, _, _ := strings.Cut(string(text), "\n## How to add")
	rows := map[string]int{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z/]+)` \\|").FindAllStringSubmatch(section, -1) {
		rows[m[1]]++
	}
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, module+"/")
		if rows[name] != 1 {
			t.Errorf("%d rows of the map are about %s, want 1", rows[name], name)
		}
		delete(rows, name)
	}
	for name := range rows {
		t.Errorf("the map has a row about %s, which is no package", name)
	}
}

// Every figure of README's table of what to trust names its check, and the check is there.
func TestTrustIsChecked(t *testing.T) {
	_, section, _ := strings.Cut(readFile(t, "../../README.md"), "\n## How far to trust it\n")
	section, _, _ = strings.Cut(section, "\n## ")
	rows := 0
	for _, line := range strings.Split(section, "\n") {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if !strings.HasPrefix(line, "|") || strings.HasPrefix(line, "|---") || strings.HasPrefix(line, "| what |") {
			continue
		}
		rows++
		if len(cells) != 4 {
			t.Errorf("%d cells in %q, want what, against what, agreement and check", len(cells), line)
			continue
		}
		for _, check := range strings.Split(strings.TrimSpace(cells[3]), "; ") {
			where, names, ok := strings.Cut(strings.TrimPrefix(check, "`"), "`")
			if strings.HasPrefix(where, ".ci/") && ok {
				readFile(t, "../../"+where)
				continue
			}
			tests := ""
			files, err := filepath.Glob(filepath.Join("..", "..", where, "*_test.go"))
			if err != nil || len(files) == 0 || strings.TrimSpace(names) == "" {
				t.Errorf("%q names no package with tests, or no test", check)
				continue
			}
			for _, f := range files {
				tests += readFile(t, f)
			}
			for _, name := range strings.Split(strings.TrimSpace(names), ", ") {
				if !strings.Contains(tests, "\nfunc Test"+name+"(t *testing.T)") {
					t.Errorf("%s has no test %s, which is to hold what README says of %s", where, name, strings.TrimSpace(cells[0]))
				}
			}
		}
	}
	if rows < 20 {
		t.Errorf("only %d rows were read", rows)
	}
}

// A name says what is inside: no drawers for odds and ends.
func TestNamesSayWhatIsInside(t *testing.T) {
	drawers := []string{"util", "utils", "common", "helper", "helpers", "type", "types", "manager", "misc"}
	for _, p := range packages(t) {
		names := []string{p.Name, path.Base(p.ImportPath)}
		for _, f := range slices.Concat(p.GoFiles, p.TestGoFiles, p.XTestGoFiles, p.IgnoredGoFiles) {
			names = append(names, strings.TrimSuffix(strings.TrimSuffix(f, ".go"), "_test"))
		}
		for _, n := range names {
			if slices.Contains(drawers, strings.ToLower(n)) {
				t.Errorf("%s: the name %q says nothing", p.ImportPath, n)
			}
		}
	}
}

// The top level holds the floors and what belongs to the whole, and nothing else.
func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	files := []string{"go.mod", "go.sum", "README.md", "DEVELOPERS.md"}
	ignored := []string{"out", "web"} // what builds leave, kept out by .gitignore
	for _, e := range entries {
		switch name := e.Name(); {
		case strings.HasPrefix(name, "."):
		case e.IsDir() && (slices.Contains(floors, name) || name == "testdata" || slices.Contains(ignored, name)):
		case !e.IsDir() && slices.Contains(files, name):
		case !e.IsDir() && (name == "lodegrid" || strings.HasSuffix(name, ".test") || strings.HasSuffix(name, ".prof")): // ignored too
		default:
			t.Errorf("%s does not belong on the top level", name)
		}
	}
	for _, folder := range append([]string{"testdata"}, floors...) {
		if info, err := os.Stat(filepath.Join("..", "..", folder)); err != nil || !info.IsDir() {
			t.Errorf("the folder %s is missing: %v", folder, err)
		}
	}
}
