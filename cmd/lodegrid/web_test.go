//go:build !js

package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/read"
	"lodegrid/scenes/table"
)

// browserParts are a module that does nothing and a file that passes for the Go
// tool's, beside it; building the real ones takes the Go tool and a while.
func browserParts(t *testing.T) (wasm string) {
	t.Helper()
	dir := t.TempDir()
	wasm = filepath.Join(dir, "lodegrid.wasm")
	for name, data := range map[string]string{wasm: string(wasmMark) + strings.Repeat("\x00", 5000), filepath.Join(dir, webGlue): "globalThis.Go = class {}"} {
		if err := os.WriteFile(name, []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return wasm
}

func testPage(t *testing.T) page {
	t.Helper()
	p, err := webPage(context.Background(), &job{streams: streams{err: io.Discard}, design: design.Demo(), scene: scenes.Scene{
		Name: "a < b", Rows: 10, Cols: 16, Frames: []scenes.Frame{{Levels: make([]float64, 160), Duration: 1}},
	}}, browserParts(t), "")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestWebFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "page")
	r := lode("web", "--scene", "walk", "--set", "grid.cols=6", "--set", "grid.rows=5", "--set", "name=Small", "--wasm", browserParts(t), "--out", folder)
	r.want(t, exitOK, "any web server", "of another version than this command")
	names, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]bool{}
	for _, n := range names {
		have[n.Name()] = true
	}
	// Every file that the page names is there, and it names no other place.
	for _, text := range []string{string(webIndex), string(webStart), string(webStyle)} {
		for _, m := range regexp.MustCompile(`(?:src|href)="([^"]+)"|fetch\("([^"]+)"\)`).FindAllStringSubmatch(text, -1) {
			name := m[1] + m[2]
			if name != "data:," && !have[name] {
				t.Errorf("the page asks for %q, which is not in the folder", name)
			}
		}
		if m := regexp.MustCompile(`https?://|//[a-z]+\.|@import|url\(`).FindString(text); m != "" {
			t.Errorf("the page names another place: %q", m)
		}
	}
	// The page starts with the design and the scene that were named.
	d, err := design.ReadFile(filepath.Join(folder, "design.toml"))
	if err != nil || d.Name != "Small" || d.Grid.Cols != 6 {
		t.Errorf("the page starts with %q of %d columns, %v", d.Name, d.Grid.Cols, err)
	}
	levels, err := os.ReadFile(filepath.Join(folder, "levels.txt"))
	if err != nil {
		t.Fatal(err)
	}
	scene, err := table.ReadCSV(t.Context(), bytes.NewReader(levels), "levels.txt", 5, 6, read.DefaultOptions().Limits)
	if err != nil || len(scene.Frames) < 2 || scene.Cols != 6 {
		t.Errorf("the page's scene has %d frames of %d columns, %v", len(scene.Frames), scene.Cols, err)
	}
	packed, err := os.Open(filepath.Join(folder, webProgram+".gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	z, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(filepath.Join(folder, webProgram))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(plain, whole) {
		t.Error("the compressed program is another one")
	}
}

func TestWebHandler(t *testing.T) {
	p := testPage(t)
	h := p.handler()
	get := func(method, path string, header map[string]string) *http.Response {
		r := httptest.NewRequest(method, "http://localhost:8080"+path, nil)
		for k, v := range header {
			if k == "Host" {
				r.Host = v
				continue
			}
			r.Header.Set(k, v)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w.Result()
	}
	for path, kind := range map[string]string{
		"/": "text/html; charset=utf-8", "/index.html": "text/html; charset=utf-8", "/start.js": "text/javascript; charset=utf-8",
		"/wasm_exec.js": "text/javascript; charset=utf-8", "/page.css": "text/css; charset=utf-8", "/licences.txt": "text/plain; charset=utf-8", "/lodegrid.wasm": "application/wasm",
		"/lodegrid.wasm.gz": "application/gzip", "/design.toml": "text/plain; charset=utf-8", "/levels.txt": "text/plain; charset=utf-8",
	} {
		r := get("GET", path, nil)
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		if r.StatusCode != 200 || r.Header.Get("Content-Type") != kind || len(body) == 0 {
			t.Errorf("%s: %d, %q, %d bytes; want %q", path, r.StatusCode, r.Header.Get("Content-Type"), len(body), kind)
		}
		if csp := r.Header.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'") || strings.Contains(csp, "http") || strings.Contains(csp, "*") {
			t.Errorf("%s: policy %q", path, csp)
		}
	}
	if r := get("GET", "/", map[string]string{"If-None-Match": get("GET", "/", nil).Header.Get("ETag")}); r.StatusCode != http.StatusNotModified {
		t.Errorf("the same page again: %d", r.StatusCode)
	}
	if r := get("HEAD", "/", nil); r.StatusCode != 200 {
		t.Errorf("HEAD: %d", r.StatusCode)
	}
	for _, c := range []struct {
		method, path, host string
		code               int
	}{
		{"GET", "/../go.mod", "localhost:8080", 404}, {"GET", "/main.go", "localhost:8080", 404}, {"POST", "/", "localhost:8080", 405},
		{"GET", "/", "elsewhere.example", 403}, {"GET", "/", "localhost.elsewhere.example:8080", 403}, {"GET", "/", "192.168.1.5:8080", 403},
		{"GET", "/", "127.0.0.1:8080", 200}, {"GET", "/", "[::1]:8080", 200}, {"GET", "/", "localhost", 200},
	} {
		if r := get(c.method, c.path, map[string]string{"Host": c.host}); r.StatusCode != c.code {
			t.Errorf("%s %s at %s: %d, want %d", c.method, c.path, c.host, r.StatusCode, c.code)
		}
	}
}

// The server runs until it is interrupted.
func TestWebServe(t *testing.T) {
	p := testPage(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	r, w := io.Pipe()
	done := make(chan error, 1)
	go func() { done <- p.serve(ctx, "localhost:0", w) }()
	line := make([]byte, 200)
	n, err := r.Read(line)
	if err != nil {
		t.Fatal(err)
	}
	address := strings.TrimSpace(string(line[:n]))
	client := http.Client{Timeout: 10 * time.Second}
	response, err := client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(response.Body)
	if err != nil || response.Body.Close() != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(body, []byte(`data-scene="a &lt; b"`)) || !bytes.Contains(body, []byte("<title>"+design.Demo().Name)) {
		t.Errorf("%s gave %.80q", address, body)
	}
	client.CloseIdleConnections()
	cancel()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
}

func TestWebMistakes(t *testing.T) {
	dir := t.TempDir()
	notes := filepath.Join(dir, "notes.txt")
	if err := os.WriteFile(notes, []byte("no module"), 0o600); err != nil {
		t.Fatal(err)
	}
	good := browserParts(t)
	for want, c := range map[string]struct {
		code int
		args []string
	}{
		"nothing to do":                {exitUsage, nil},
		"served on this machine alone": {exitUsage, []string{"--serve", "0.0.0.0:8080"}},
		"want localhost:PORT":          {exitUsage, []string{"--serve", "8080"}},
		"port \"http\"":                {exitUsage, []string{"--serve", "localhost:http"}},
		"none.toml":                    {exitInput, []string{filepath.Join(dir, "none.toml"), "--wasm", good, "--out", dir}},
		"is not a WebAssembly module":  {exitFailure, []string{"--wasm", notes, "--out", dir}},
		"reading the program":          {exitFailure, []string{"--wasm", filepath.Join(dir, "none.wasm"), "--out", dir}},
		"notes.txt is another file":    {exitFailure, []string{"--wasm", good, "--wasm-exec", notes, "--out", dir}},
		"not a directory":              {exitFailure, []string{"--wasm", good, "--out", filepath.Join(notes, "below")}},
	} {
		lode(append([]string{"web"}, c.args...)...).want(t, c.code, want)
	}
}

// The source is found from any folder inside it, and its absence is told.
func TestFindSource(t *testing.T) {
	root := t.TempDir()
	inside := filepath.Join(root, "a", "b")
	if err := os.MkdirAll(inside, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Chdir(inside)
	if _, err := findSource(); err == nil || !strings.Contains(err.Error(), "module lodegrid") {
		t.Errorf("without a source: %v", err)
	}
	if err := os.WriteFile(filepath.Join(root, "a", "go.mod"), []byte("module lodegrid2\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := findSource(); err == nil {
		t.Error("another module was taken for the source")
	}
	if err := os.WriteFile(filepath.Join(root, "go.mod"), []byte("// the command\nmodule lodegrid // here\n\ngo 1.26\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := findSource()
	if err != nil {
		t.Fatal(err)
	}
	want, err := filepath.EvalSymlinks(root)
	if err != nil {
		t.Fatal(err)
	}
	if real, err := filepath.EvalSymlinks(got); err != nil || real != want {
		t.Errorf("found %s, want %s (%v)", got, root, err)
	}
	// Without the Go tool the way out is named.
	t.Setenv("PATH", t.TempDir())
	if _, err := buildForBrowser(context.Background(), io.Discard); err == nil || !strings.Contains(err.Error(), "--wasm") {
		t.Errorf("without the Go tool: %v", err)
	}
}

// TestSlim looks whether the Go tool and the fonts' module still have the form that the smaller
// program is made from, and whether the tool takes the copies.
func TestSlim(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("the Go tool is not installed here")
	}
	source, err := findSource()
	if err != nil {
		t.Fatal(err)
	}
	tmp := t.TempDir()
	args, err := slim(t.Context(), tool, source, tmp)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(args, "-overlay") || !slices.Contains(args, "-modfile") {
		t.Fatalf("nothing is left out by %q: text/template or the fonts have another form", args)
	}
	cmd := exec.Command(tool, slices.Concat([]string{"list"}, args, []string{"-f", "{{.Dir}} {{.Imports}}", chartFonts + "/liberationmonobold"})...)
	cmd.Dir = source
	said, err := cmd.CombinedOutput()
	if err != nil || !strings.HasPrefix(string(said), tmp) || !strings.Contains(string(said), chartFont) {
		t.Errorf("a font of the browser's program is %s, %v", said, err)
	}
}
