//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// program builds the command once for all tests that need a process of its own.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "lodegrid-test-*")
	if err != nil {
		return "", err
	}
	leftovers = append(leftovers, dir)
	path := filepath.Join(dir, "lodegrid")
	if said, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		return "", errors.New(string(said))
	}
	return path, nil
})

// started is a run of the built command.
type started struct {
	*exec.Cmd
	out, err bytes.Buffer
}

// start starts the built command.
func start(t *testing.T, args ...string) *started {
	t.Helper()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go tool to build the command with")
	}
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	s := &started{Cmd: exec.Command(path, args...)}
	s.Stdout, s.Stderr = &s.out, &s.err
	return s
}

// code waits for the end and returns the exit code, −1 for a process that a signal ended.
func (s *started) code(t *testing.T) int {
	t.Helper()
	late := time.AfterFunc(time.Minute, func() { _ = s.Process.Kill() })
	defer late.Stop()
	_ = s.Wait() // its error is the code
	return s.ProcessState.ExitCode()
}

// computing waits until a run has planned its files, and is computing from then on.
func computing(t *testing.T, folder string) {
	t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(time.Millisecond) {
		if left, err := filepath.Glob(filepath.Join(folder, ".lodegrid-*.part")); err == nil && len(left) > 0 {
			return
		}
	}
	t.Fatal("no temporary file after a minute")
}

// large is a display that keeps every subcommand busy for long.
var large = []string{"--set", "grid.cols=64", "--set", "grid.rows=64", "--set", "scene.duration=3600 s", "--set", "iron.model=fem"}

// Ctrl-C and SIGTERM stop every subcommand with exit code 130, whatever it is at; nothing
// is left behind, and what stood in the place of the result stays.
func TestSignals(t *testing.T) {
	t.Parallel()
	lit, err := filepath.Abs(litDesign)
	if err != nil {
		t.Fatal(err)
	}
	for i, args := range [][]string{
		{"report", "-o", "result"}, {"crosstalk", "--equalise", "-o", "result"}, {"heat", "-o", "result"}, {"supply", "-o", "result"},
		{"coil", "--iron-models", "--wound", "-o", "result"}, {"film", "-o", "result.gif"}, {"film", "-o", "frames"},
		{"frames", "--optimise", "--format", "csv", "-o", "result", "--force"}, {"report", "--scene", "worst-crosstalk", "-o", "result"},
	} {
		t.Run(strings.Join(args[:len(args)-1], " "), func(t *testing.T) {
			dir := t.TempDir()
			before := writeFile(t, filepath.Join(dir, "result"), "old\n\nwritten by lodegrid\n")
			s := start(t, slices.Concat(args[:1], []string{lit}, args[1:], large)...)
			s.Dir = dir
			if err := s.Start(); err != nil {
				t.Fatal(err)
			}
			computing(t, dir)
			time.Sleep(time.Duration(i) * 50 * time.Millisecond) // at another point each
			if err := s.Process.Signal([]os.Signal{os.Interrupt, syscall.SIGTERM}[i%2]); err != nil {
				t.Fatal(err)
			}
			at := time.Now()
			if code := s.code(t); code != exitInterrupted || !strings.Contains(s.err.String(), "interrupted") {
				t.Errorf("exit code %d, want 130; it said %q", code, s.err.String())
			}
			t.Logf("ended %v after the signal", time.Since(at))
			emptyBut(t, dir, "result")
			if readFile(t, before) != "old\n\nwritten by lodegrid\n" {
				t.Error("the old result was changed")
			}
		})
	}
}

// Serving the page ends as well.
func TestSignalToServer(t *testing.T) {
	s := start(t, "web", "--wasm", browserParts(t), "--serve", "localhost:0")
	s.Stdout = nil
	out, err := s.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Read(make([]byte, 100)); err != nil {
		t.Fatal(err)
	}
	if err := s.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if code := s.code(t); code != exitInterrupted {
		t.Errorf("exit code %d, want 130", code)
	}
}

// The window closes, too, whatever it is doing.
func TestSignalToWindow(t *testing.T) {
	if os.Getenv("DISPLAY") == "" {
		t.Skip("there is no display")
	}
	dir := t.TempDir()
	for _, wait := range []time.Duration{0, 2 * time.Second} {
		s := start(t, "play", "--shot", filepath.Join(dir, "shot.png"), "--at", "29m")
		if err := s.Start(); err != nil {
			t.Fatal(err)
		}
		computing(t, dir)
		time.Sleep(wait)
		if err := s.Process.Signal(syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
		at := time.Now()
		if code := s.code(t); code != exitInterrupted {
			t.Errorf("exit code %d, want 130; it said %q", code, s.err.String())
		}
		t.Logf("ended %v after the signal", time.Since(at))
		emptyBut(t, dir)
	}
}

// A result that nobody takes is a failure: a closed standard output, a pipe whose reader
// is gone, a full disk.
func TestNobodyTakesTheResult(t *testing.T) {
	t.Parallel()
	path := start(t).Path
	for _, args := range []string{"version", "help", "licences", "help coil", "design --new", "design --explain", "design", "coil ../../testdata/command/small.toml --json"} {
		for _, into := range []string{">&-", ">/dev/full", "pipe"} {
			if into == ">/dev/full" {
				if _, err := os.Stat("/dev/full"); err != nil {
					continue
				}
			}
			command, talk := `exec "$0" `+args+" "+into, bytes.Buffer{}
			if into == "pipe" {
				command = `exec "$0" ` + args
			}
			c := exec.Command("sh", "-c", command, path)
			c.Stderr = &talk
			if into == "pipe" {
				r, w, err := os.Pipe()
				if err != nil {
					t.Fatal(err)
				}
				r.Close()
				c.Stdout = w
				defer w.Close()
			}
			_ = c.Run() // its error is the code
			if code := c.ProcessState.ExitCode(); code != exitFailure || !strings.Contains(talk.String(), "standard output") {
				t.Errorf("%s, %s: exit code %d, want 1; it said %q", args, into, code, talk.String())
			}
		}
		c := exec.Command("sh", "-c", `exec "$0" `+args+" >/dev/null", path)
		if said, err := c.CombinedOutput(); err != nil {
			t.Errorf("%s > /dev/null: %v, %s", args, err, said)
		}
	}
}

// A named pipe or a device in the place of what is read is refused, not waited for.
func TestOnlyRegularInputs(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, "pictures")
	if err := errors.Join(os.Mkdir(folder, 0o755), syscall.Mkfifo(filepath.Join(folder, "a.png"), 0o600)); err != nil {
		t.Fatal(err)
	}
	clips := writeFile(t, filepath.Join(dir, "clips.toml"), "[[clip]]\nfile = \"pipe\"\n")
	program := browserParts(t)
	for _, c := range []struct {
		code int
		says string
		args []string
	}{
		{exitInput, "a named pipe", []string{"report", pipe}}, {exitInput, "a device", []string{"report", "/dev/null"}},
		{exitInput, "a folder", []string{"report", dir}}, {exitInput, "a named pipe", []string{"report", "--scene", pipe}},
		{exitInput, "a device", []string{"report", "--scene", "/dev/zero"}}, {exitInput, "a named pipe", []string{"report", "--scene", folder}},
		{exitInput, "a named pipe", []string{"report", "--scene", clips}},
		{exitFailure, "a named pipe", []string{"web", "--wasm", pipe, "--out", filepath.Join(dir, "page")}},
		{exitFailure, "a device", []string{"web", "--wasm", program, "--wasm-exec", "/dev/zero", "--out", filepath.Join(dir, "page")}},
	} {
		lode(c.args...).want(t, c.code, c.says)
	}
	emptyBut(t, dir, "pipe", "pictures", "clips.toml")
}
