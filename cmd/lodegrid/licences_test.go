package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// licensed is what was read in a module's own folder: under which licences it comes,
// the files that hold them, and what else its authors ask to be told.
type licensed struct {
	licence string   // as SPDX writes it
	files   []string // to be passed on, from the module's folder
	left    []string // licence files of what is not linked
	note    string
}

// goTree is the Go distribution itself: its runtime and standard library are in every
// binary, its wasm_exec.js in the browser's page.
const goTree = "the Go runtime and standard library"

// terms of each module linked on any platform. Whoever adds a module reads its folder
// and adds a line; TestLicences fails until then.
var terms = map[string]licensed{
	goTree: {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	"codeberg.org/go-fonts/liberation": {licence: "BSD-3-Clause; its fonts OFL-1.1", files: []string{"LICENSE", "LICENSE-SIL"},
		note: "The fonts are embedded as they came."},
	"codeberg.org/go-latex/latex": {licence: "BSD-3-Clause", files: []string{"LICENSE"}},
	"codeberg.org/go-pdf/fpdf":    {licence: "MIT", files: []string{"LICENSE"}},
	"git.sr.ht/~sbinet/gg":        {licence: "MIT", files: []string{"LICENSE.md"}},
	"github.com/ajstarks/svgo": {licence: "CC-BY-4.0", files: []string{"LICENSE-link.txt", "LICENSE"},
		note: "SVGo by Anthony Starks, https://github.com/ajstarks/svgo, is used unchanged under the Creative Commons " +
			"Attribution 4.0 International licence; it comes without warranties."},
	"github.com/ebitengine/hideconsole": {licence: "Apache-2.0", files: []string{"LICENSE"}},
	"github.com/ebitengine/purego":      {licence: "Apache-2.0", files: []string{"LICENSE"}},
	"github.com/ebitenui/ebitenui":      {licence: "MIT", files: []string{"LICENSE"}},
	"github.com/frustra/bbcode":         {licence: "MIT", files: []string{"LICENSE"}},
	"github.com/go-text/typesetting": {licence: "BSD-3-Clause (or Unlicense, by choice); its harfbuzz MIT",
		files: []string{"LICENSE", "harfbuzz/LICENSE"}},
	// The FreeType licence wants this sentence; the GPL is the other choice and not taken.
	"github.com/golang/freetype": {licence: "FTL (or GPL-2.0-or-later; the FTL is chosen)", files: []string{"LICENSE", "licenses/ftl.txt"},
		note: "Portions of this software are copyright © 2006 The FreeType Project (www.freetype.org). All rights reserved."},
	"github.com/hajimehoshi/ebiten/v2":  {licence: "Apache-2.0; parts Zlib, BSD-3-Clause, MIT", files: []string{"LICENSE", "NOTICE.md"}},
	"github.com/mitchellh/colorstring":  {licence: "MIT", files: []string{"LICENSE"}},
	"github.com/pelletier/go-toml/v2":   {licence: "MIT", files: []string{"LICENSE"}},
	"github.com/rivo/uniseg":            {licence: "MIT", files: []string{"LICENSE.txt"}},
	"github.com/schollz/progressbar/v3": {licence: "MIT", files: []string{"LICENSE"}},
	"github.com/spf13/pflag":            {licence: "BSD-3-Clause", files: []string{"LICENSE"}},
	"github.com/srwiley/rasterx":        {licence: "BSD-3-Clause", files: []string{"LICENSE"}},
	"golang.org/x/exp":                  {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	"golang.org/x/image":                {licence: "BSD-3-Clause, its Go fonts too", files: []string{"LICENSE", "PATENTS", "font/gofont/ttfs/README"}},
	"golang.org/x/sync":                 {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	"golang.org/x/sys":                  {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	"golang.org/x/term":                 {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	"golang.org/x/text":                 {licence: "BSD-3-Clause", files: []string{"LICENSE", "PATENTS"}},
	// Left: dual numbers, Mersenne twisters and test suites for graph formats.
	"gonum.org/v1/gonum": {licence: "BSD-3-Clause; parts BSL-1.0 and other permissive ones",
		files: []string{"LICENSE", "THIRD_PARTY_LICENSES/Bogaert-LICENSE", "THIRD_PARTY_LICENSES/Boost-LICENSE",
			"THIRD_PARTY_LICENSES/Cephes-LICENSE", "THIRD_PARTY_LICENSES/Go-LICENSE", "THIRD_PARTY_LICENSES/Oxford-LICENSE",
			"THIRD_PARTY_LICENSES/Probab-LICENSE", "THIRD_PARTY_LICENSES/Sun-LICENSE"},
		left: []string{"THIRD_PARTY_LICENSES/Fike-LICENSE", "THIRD_PARTY_LICENSES/MT19937-64-LICENSE", "THIRD_PARTY_LICENSES/MT19937-LICENSE",
			"THIRD_PARTY_LICENSES/W3C-BSD-LICENSE", "THIRD_PARTY_LICENSES/W3C-TestSuite-LICENSE"}},
	"gonum.org/v1/plot": {licence: "BSD-3-Clause", files: []string{"LICENSE"}},
}

// linked is a module of a build.
type linked struct{ path, version, dir string }

// linkedModules asks the Go tool which modules the command links, on Linux and in a
// browser together; the network is not asked.
func linkedModules(t *testing.T) []linked {
	t.Helper()
	found := map[string]linked{}
	for _, target := range [][2]string{{"linux", "amd64"}, {"js", "wasm"}} {
		c := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", ".")
		c.Env = append(os.Environ(), "GOOS="+target[0], "GOARCH="+target[1], "CGO_ENABLED=0", "GOPROXY=off", "GOFLAGS=-mod=readonly")
		out, err := c.Output()
		if err != nil {
			t.Fatalf("asking for the modules of %v: %v", target, err)
		}
		for line := range strings.Lines(string(out)) {
			if p := strings.Split(strings.TrimSpace(line), "\t"); len(p) == 3 {
				found[p[0]] = linked{p[0], p[1], p[2]}
			}
		}
	}
	if len(found) < 10 {
		t.Fatalf("go list told of %d modules", len(found))
	}
	return slices.SortedFunc(maps.Values(found), func(a, b linked) int { return cmp.Compare(a.path, b.path) })
}

// passage is a licence text with everything that comes under it.
type passage struct {
	text string
	of   []string
}

// plain is a licence file's text: in UTF-8, with Unix line ends and nothing around it.
func plain(data []byte) string {
	if !utf8.Valid(data) { // ISO 8859-1, whose bytes are the first 256 code points
		r := make([]rune, len(data))
		for i, b := range data {
			r[i] = rune(b)
		}
		data = []byte(string(r))
	}
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\f", "\n").Replace(string(data)), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}

// notice writes the whole notice.
func notice(modules []linked) (string, error) {
	var b strings.Builder
	b.WriteString("lodegrid contains the works below. Each line names a module, its version and its licence; the\n" +
		"texts that these licences ask to pass on follow, each once.\n\n")
	var passages []*passage
	for _, m := range modules {
		term := terms[m.path]
		fmt.Fprintf(&b, "%s\n    %s\n", strings.TrimSpace(m.path+" "+m.version), term.licence)
		if term.note != "" {
			fmt.Fprintf(&b, "    %s\n", term.note)
		}
		for _, f := range term.files {
			data, err := os.ReadFile(filepath.Join(m.dir, filepath.FromSlash(f)))
			if err != nil {
				return "", fmt.Errorf("reading a licence: %w", err)
			}
			text, name := plain(data), m.path+": "+f
			if i := slices.IndexFunc(passages, func(p *passage) bool { return p.text == text }); i >= 0 {
				passages[i].of = append(passages[i].of, name)
			} else {
				passages = append(passages, &passage{text, []string{name}})
			}
		}
	}
	for _, p := range passages {
		fmt.Fprintf(&b, "\n%s\n%s\n\n%s\n", strings.Repeat("=", 98), strings.Join(p.of, "\n"), p.text)
	}
	return b.String(), nil
}

// goFolder is the Go distribution as one more module, without a version: any Go builds
// the program.
func goFolder(t *testing.T) linked {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatalf("asking for the Go tool's folder: %v", err)
	}
	return linked{path: goTree, dir: strings.TrimSpace(string(root))}
}

// The notice in the program is the one its modules ask for, word by word.
func TestLicences(t *testing.T) {
	if _, err := exec.LookPath("go"); errors.Is(err, exec.ErrNotFound) {
		t.Skip("there is no go tool to ask")
	}
	modules := linkedModules(t)
	for path := range terms {
		if path != goTree && !slices.ContainsFunc(modules, func(m linked) bool { return m.path == path }) {
			t.Errorf("%s is in the table of licences and is not linked", path)
		}
	}
	for _, m := range modules {
		if _, ok := terms[m.path]; !ok {
			t.Errorf("%s is linked and its licence is not in the table", m.path)
		}
	}
	tree := goFolder(t)
	if _, err := os.Stat(filepath.Join(tree.dir, "LICENSE")); err != nil {
		t.Skipf("this Go came without its licence: %v", err)
	}
	want, err := notice(append([]linked{tree}, modules...))
	if err != nil {
		t.Fatal(err)
	}
	if *regen {
		if err := os.WriteFile("licences.txt", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Skip("licences.txt is written; build anew to embed it")
	}
	if string(licences) != want {
		t.Errorf("licences.txt (%d bytes) is not what the modules ask for (%d bytes): run go generate ./cmd/lodegrid", len(licences), len(want))
	}
}

// asLicence are names under which licences and notices are kept.
var asLicence = regexp.MustCompile(`(?i)^(.*licen[cs]e.*|copying.*|notice.*|patents|third.?party.*|(ofl|ftl|gpl)\..*)$`)

// No licence file beside linked code is overlooked: one that an upgrade brings fails
// here until someone has read it.
func TestNoLicenceFileIsOverlooked(t *testing.T) {
	if _, err := exec.LookPath("go"); errors.Is(err, exec.ErrNotFound) {
		t.Skip("there is no go tool to ask")
	}
	seen := 0
	for _, m := range linkedModules(t) {
		term := terms[m.path]
		for _, folder := range []string{"", "THIRD_PARTY_LICENSES", "harfbuzz", "font/gofont/ttfs"} {
			entries, err := os.ReadDir(filepath.Join(m.dir, folder))
			if errors.Is(err, os.ErrNotExist) {
				continue
			} else if err != nil {
				t.Fatal(err)
			}
			for _, e := range entries {
				name := strings.TrimPrefix(folder+"/"+e.Name(), "/")
				if e.IsDir() || strings.HasSuffix(name, ".go") || !asLicence.MatchString(e.Name()) {
					continue
				}
				seen++
				if !slices.Contains(term.files, name) && !slices.Contains(term.left, name) {
					t.Errorf("%s %s: %s is neither passed on nor left with a reason", m.path, m.version, name)
				}
			}
		}
	}
	if seen < len(terms) {
		t.Errorf("%d licence files were found beside %d modules", seen, len(terms))
	}
}

func TestLicencesArePrinted(t *testing.T) {
	r := lode("licences")
	r.want(t, exitOK, "out:gonum.org/v1/gonum v", "out:Creative Commons Attribution 4.0 International Public License",
		"out:SIL OPEN FONT LICENSE Version 1.1", "out:The FreeType Project (www.freetype.org)", "out:Apache License")
	if r.out != string(licences) || !utf8.Valid(licences) || bytes.ContainsAny(licences, "\r\f\x00") {
		t.Error("what is printed is not the notice, or no plain text")
	}
	for _, args := range [][]string{{"licences", "x"}} {
		lode(args...).want(t, exitUsage, "licences takes nothing")
	}
	page := readFile(t, "../../DEVELOPERS.md")
	for path := range terms {
		if path != goTree && !strings.Contains(page, "`"+path+"`") {
			t.Errorf("DEVELOPERS.md does not list %s", path)
		}
	}
}
