//go:build !js

package main

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"html"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"

	"lodegrid/field/regularfile"
	"lodegrid/render/output"
)

//go:embed web/index.html
var webIndex []byte

//go:embed web/page.css
var webStyle []byte

//go:embed web/start.js
var webStart []byte

// page is the files of the browser's page in a fixed order.
type page []pageFile

type pageFile struct {
	name, kind string // kind is the media type
	data       []byte
}

const (
	webProgram = "lodegrid.wasm"
	webGlue    = "wasm_exec.js"
)

// wasmMark begins every WebAssembly module: its magic number and version 1
// (WebAssembly Core Specification, binary format of modules).
var wasmMark = []byte("\x00asm\x01\x00\x00\x00")

// shippedProgram is the program for the browser that came with the command, "" without one.
func shippedProgram() string {
	if file, err := os.Executable(); err == nil && exists(filepath.Join(filepath.Dir(file), webProgram)) {
		return filepath.Join(filepath.Dir(file), webProgram)
	}
	return ""
}

// webPage gathers the page's files, with the design and the scene to start with; wasm and
// glue name the program and wasm_exec.js, empty to build the one and look for the other.
func webPage(ctx context.Context, j *job, wasm, glue string) (page, error) {
	var program []byte
	var err error
	if wasm != "" {
		if program, err = readInput(wasm); err != nil {
			return nil, fmt.Errorf("reading the program for the browser: %w", err)
		}
		if !bytes.HasPrefix(program, wasmMark) {
			return nil, fmt.Errorf("reading the program for the browser: %s is not a WebAssembly module; a page written by web --out with the Go tool at hand has one, %s", wasm, webProgram)
		}
		if info, ok := debug.ReadBuildInfo(); ok && !bytes.Contains(program, []byte("mod\t"+info.Main.Path+"\t"+info.Main.Version+"\t")) {
			fmt.Fprintf(j.err, "note: %s is of another version than this command, %s; the page computes as that one does\n", wasm, info.Main.Version)
		}
	} else if program, err = buildForBrowser(ctx, j.err); err != nil {
		return nil, err
	}
	script, err := findGlue(ctx, wasm, glue)
	if err != nil {
		return nil, err
	}
	packed, err := packedBytes(program)
	if err != nil {
		return nil, err
	}
	levels, wanted, err := j.pictures().Tables(ctx)
	if err != nil {
		return nil, fmt.Errorf("writing the scene for the page: %w", err)
	}
	index := bytes.Replace(webIndex, []byte("<title>lodegrid"), []byte("<title>"+html.EscapeString(j.design.Name)+" – lodegrid"), 1)
	index = bytes.Replace(index, []byte(`data-scene=""`), []byte(`data-scene="`+html.EscapeString(j.scene.Name)+`"`), 1)
	return page{
		{"index.html", "text/html; charset=utf-8", index},
		{"design.toml", "text/plain; charset=utf-8", j.design.Marshal()},
		{"levels.txt", "text/plain; charset=utf-8", levels},
		{"wanted.txt", "text/plain; charset=utf-8", wanted}, // empty where the levels are what is to be seen
		{"page.css", "text/css; charset=utf-8", webStyle},
		{"start.js", "text/javascript; charset=utf-8", webStart},
		{"licences.txt", "text/plain; charset=utf-8", licences},
		{webGlue, "text/javascript; charset=utf-8", script},
		{webProgram, "application/wasm", program},
		{webProgram + ".gz", "application/gzip", packed},
	}, nil
}

// packedBytes are data compressed with gzip, the same for the same data.
func packedBytes(data []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, fmt.Errorf("compressing the program for the browser: %w", err)
	}
	if _, err = z.Write(data); err == nil {
		err = z.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("compressing the program for the browser: %w", err)
	}
	return b.Bytes(), nil
}

// buildForBrowser compiles this program for the browser with the Go tool.
func buildForBrowser(ctx context.Context, talk io.Writer) (data []byte, err error) {
	const advice = "; or name a program built before with --wasm"
	tool, err := exec.LookPath("go")
	if err != nil {
		return nil, errors.New("building the program for the browser: the Go tool is not installed here" + advice)
	}
	source, err := findSource()
	if err != nil {
		return nil, fmt.Errorf("building the program for the browser: %w%s", err, advice)
	}
	tmp, remove, err := output.Scratch()
	if err != nil {
		return nil, fmt.Errorf("building the program for the browser: %w", err)
	}
	defer func() { err = errors.Join(err, remove()) }()
	fmt.Fprintln(talk, "building the program for the browser from", source)
	file := filepath.Join(tmp, webProgram)
	smaller, err := slim(ctx, tool, source, tmp)
	if err != nil {
		return nil, fmt.Errorf("building the program for the browser: %w", err)
	}
	// minimal: without the kinds of chart files that a page does not write; see gonum.org/v1/plot.
	args := append([]string{"build", "-tags", "minimal", "-trimpath", "-ldflags=-s -w", "-o", file}, smaller...)
	cmd := exec.CommandContext(ctx, tool, append(args, "./cmd/lodegrid")...)
	cmd.Dir = source
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if said, err := cmd.CombinedOutput(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("building the program for the browser in %s: %w\n%s", source, err, bytes.TrimSpace(said))
	}
	if data, err = os.ReadFile(file); err != nil {
		return nil, fmt.Errorf("building the program for the browser: %w", err)
	}
	return data, nil
}

var moduleLine = regexp.MustCompile(`(?m)^module\s+"?lodegrid"?\s*(//.*)?$`)

// findSource looks for lodegrid's module upwards from the working directory, then
// from the folder of the running command.
func findSource() (string, error) {
	var starts []string
	if dir, err := os.Getwd(); err == nil {
		starts = append(starts, dir)
	}
	if file, err := os.Executable(); err == nil && !slices.Contains(starts, filepath.Dir(file)) {
		starts = append(starts, filepath.Dir(file))
	}
	for _, dir := range starts {
		for {
			if text, err := os.ReadFile(filepath.Join(dir, "go.mod")); err == nil && moduleLine.Match(text) {
				return dir, nil
			}
			up := filepath.Dir(dir)
			if up == dir {
				break
			}
			dir = up
		}
	}
	return "", fmt.Errorf("lodegrid's source (a go.mod that says module lodegrid) is neither in %s nor above", strings.Join(starts, " nor in "))
}

// findGlue reads wasm_exec.js, which has to come from the Go that built the program.
func findGlue(ctx context.Context, wasm, glue string) ([]byte, error) {
	if beside := besideProgram(wasm); glue == "" && exists(beside) {
		glue = beside
	}
	if glue == "" {
		tool, err := exec.LookPath("go")
		if err != nil {
			return nil, fmt.Errorf("looking for %s: it is not beside %s, and the Go tool, which brings it, is not installed here; name it with --wasm-exec", webGlue, wasm)
		}
		root, err := exec.CommandContext(ctx, tool, "env", "GOROOT").Output()
		if err != nil {
			return nil, fmt.Errorf("looking for %s: asking the Go tool for its folder: %w", webGlue, err)
		}
		glue = filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", webGlue)
	}
	data, err := readInput(glue)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", webGlue, err)
	}
	if !bytes.Contains(data, []byte("globalThis.Go")) {
		return nil, fmt.Errorf("reading %s: %s is another file; Go's is in lib/wasm of its folder", webGlue, glue)
	}
	return data, nil
}

// besideProgram is where wasm_exec.js stands that belongs to a program, "" without one.
func besideProgram(wasm string) string {
	if wasm == "" {
		return ""
	}
	return filepath.Join(filepath.Dir(wasm), webGlue)
}

// maxWebFile is the largest file that is read for the page; the program has 29 MB.
const maxWebFile = 256 << 20

// readInput reads a regular file whole.
func readInput(path string) ([]byte, error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxWebFile+1))
	if err == nil && len(data) > maxWebFile {
		err = fmt.Errorf("%s is larger than %d MiB", path, maxWebFile>>20)
	}
	return data, err
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
