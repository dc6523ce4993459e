package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/render"
)

const (
	smallDesign = "../../testdata/command/small.toml"
	litDesign   = "../../testdata/command/lit.toml" // what these tests take where none is named
	demoDesign  = "../../array/design/demo.toml"
	blinkScene  = "../../testdata/command/blink.gif"
	levelTable  = "../../testdata/command/levels.csv"
)

// leftovers are folders for all tests, to be removed after them.
var leftovers []string

// TestMain lets the test binary stand for the command, for what needs a process of its
// own.
func TestMain(m *testing.M) {
	builtIn = trial.Lit
	if os.Getenv("LODEGRID_TEST_AS_COMMAND") != "" {
		os.Exit(run(context.Background(), os.Args[1:], streams{out: os.Stdout, err: os.Stderr}))
	}
	code := m.Run()
	for _, dir := range leftovers {
		_ = os.RemoveAll(dir) // a folder left in the system's own for such is no failure
	}
	os.Exit(code)
}

// result is what one run of the command gave.
type result struct {
	code     int
	out, err string
}

func lode(args ...string) result { return lodeIn(context.Background(), args...) }

func lodeIn(ctx context.Context, args ...string) result {
	var out, talk bytes.Buffer
	code := run(ctx, args, streams{out: &out, err: &talk})
	return result{code, out.String(), talk.String()}
}

// brokenBy are the limits that a report on a design finds broken, without looking for what
// mends them nor for how doubtful its figures are.
func brokenBy(t *testing.T, args ...string) (limits []string) {
	t.Helper()
	doc, err := documentBy("report", args, func(j *job) { j.nominal = &j.design })
	if err != nil {
		t.Fatalf("the report of %v: %v", args, err)
	}
	for _, p := range doc.Problems {
		limits = append(limits, p.Key)
	}
	return limits
}

// documents are what documentOf computed.
var documents sync.Map

// documentOf is the document that a command makes of a design: of each design once for all
// tests, which share it and change nothing in it.
func documentOf(t *testing.T, command, file string) render.Document {
	t.Helper()
	once, _ := documents.LoadOrStore([2]string{command, file}, sync.OnceValues(func() (render.Document, error) {
		return documentBy(command, []string{file}, func(*job) {})
	}))
	doc, err := once.(func() (render.Document, error))()
	if err != nil {
		t.Fatalf("the %s of %s: %v", command, file, err)
	}
	return doc
}

// documentBy is the document that a command makes of its arguments, nothing being written, for a
// job that is changed before.
func documentBy(command string, args []string, change func(*job)) (doc render.Document, err error) {
	c, err := find(command)
	if err != nil {
		return doc, err
	}
	f, _ := newFlagSet(c)
	if err := f.Parse(args); err != nil {
		return doc, err
	}
	f.printed.out.Path = ""
	err = f.execute(context.Background(), streams{out: io.Discard, err: io.Discard}, func(ctx context.Context, j *job) (err error) {
		change(j)
		doc, err = f.printed.make(ctx, j, false)
		return err
	})
	return doc, err
}

// bare runs a command without looking for what mends the problems that it finds, and gives what it
// printed.
func bare(t *testing.T, args ...string) string {
	t.Helper()
	return bareTold(t, args...).out
}

// bareTold is bare with the exit code, and what it told beside.
func bareTold(t *testing.T, args ...string) result {
	t.Helper()
	c, err := find(args[0])
	if err != nil {
		t.Fatal(err)
	}
	f, run := newFlagSet(c)
	if err := f.Parse(args[1:]); err != nil {
		t.Fatal(err)
	}
	var out, talk bytes.Buffer
	err = f.execute(t.Context(), streams{out: &out, err: &talk}, func(ctx context.Context, j *job) error {
		j.bare = true
		return run(ctx, j)
	})
	if err != nil && !errors.Is(err, errLimit) {
		t.Fatalf("%v: %v", args, err)
	}
	return result{exitCode(err), out.String(), talk.String()}
}

// textOf is a document as a command prints it, with so many letters in a line.
func textOf(t *testing.T, doc render.Document, columns int, why bool) string {
	t.Helper()
	var b strings.Builder
	doc.Width = columns
	if err := doc.WriteText(&b, why); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// want fails the test unless the run gave the code and each text, "out:…" on the
// standard output, others on the standard error.
func (r result) want(t *testing.T, code int, texts ...string) {
	t.Helper()
	if r.code != code {
		t.Errorf("exit code %d, want %d; it said %q", r.code, code, r.err)
	}
	for _, text := range texts {
		in, where := r.err, "standard error"
		if rest, ok := strings.CutPrefix(text, "out:"); ok {
			in, where, text = r.out, "standard output", rest
		}
		if !strings.Contains(in, text) {
			t.Errorf("%q is missing on the %s: %.600s", text, where, in)
		}
	}
	if strings.Contains(r.err, "panic") || strings.Contains(r.err, "goroutine ") {
		t.Errorf("it panicked: %s", r.err)
	}
	if code != exitOK && code != exitLimit && r.out != "" {
		t.Errorf("it failed and still wrote %.200q", r.out)
	}
}

// oneDocument decodes a single JSON object with the schema's version.
func oneDocument(t *testing.T, text, kind string) map[string]any {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	var doc map[string]any
	if err := d.Decode(&doc); err != nil {
		t.Fatalf("no JSON: %v in %.300s", err, text)
	}
	if _, err := d.Token(); err != io.EOF {
		t.Fatalf("something follows the document: %v", err)
	}
	if doc["schema_version"] != float64(render.SchemaVersion) || doc["kind"] != kind || doc["program"] != "lodegrid" {
		t.Errorf("schema_version %v, kind %v, program %v; want %d, %s and lodegrid", doc["schema_version"], doc["kind"], doc["program"], render.SchemaVersion, kind)
	}
	return doc
}

// emptyBut tells what else than the named files a folder holds.
func emptyBut(t *testing.T, folder string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	left := map[string]bool{}
	for _, n := range names {
		left[n] = true
	}
	for _, e := range entries {
		if !left[e.Name()] {
			t.Errorf("%s is left behind", filepath.Join(folder, e.Name()))
		}
	}
}

func writeFile(t *testing.T, path, content string) string {
	t.Helper()
	if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
