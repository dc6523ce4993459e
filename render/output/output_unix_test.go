//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package output

import (
	"bufio"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// TestMain lets the test binary be a run that is killed while it writes.
func TestMain(m *testing.M) {
	if folder := os.Getenv("LODEGRID_TEST_HANG_IN"); folder != "" {
		p, list := plan(Kind{}, filepath.Join(folder, "result"), filepath.Join(folder, "frames"))
		list[1].folder = true
		if err := p.Prepare(); err != nil {
			panic(err)
		}
		os.Stdout.WriteString("ready\n")
		time.Sleep(time.Hour)
	}
	os.Exit(m.Run())
}

// hang starts a run that hangs with its temporary files made.
func hang(t *testing.T, folder string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), "LODEGRID_TEST_HANG_IN="+folder)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "ready\n" {
		t.Fatalf("%q, %v", line, err)
	}
	return c
}

// stages counts the temporary files in a folder.
func stages(t *testing.T, folder string) (n int) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if stageName.MatchString(e.Name()) {
			n++
		}
	}
	return n
}

// What a killed run left is cleared by the next one in the folder; what a living one
// uses, and what only looks alike, stays.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	living, killed := hang(t, dir), hang(t, dir)
	alike := write(t, filepath.Join(dir, ".lodegrid-notes.part"), "mine")
	if n := stages(t, dir); n != 4 {
		t.Fatalf("%d temporary files of two runs, want a file and a folder of each", n)
	}
	if err := errors.Join(killed.Process.Kill(), killed.Process.Release()); err != nil {
		t.Fatal(err)
	}
	// The lock ends with the process, a moment after the signal.
	for n := 4; n != 2; n = stages(t, dir) {
		if err := Replace(filepath.Join(dir, "next"), text("x")); err != nil {
			t.Fatal(err)
		}
	}
	if read(t, alike) != "mine" {
		t.Error("another file was swept")
	}
	if err := living.Process.Signal(syscall.Signal(0)); err != nil {
		t.Fatalf("the living run is gone: %v", err)
	}
	if err := Replace(filepath.Join(dir, "next"), text("x")); err != nil || stages(t, dir) != 2 {
		t.Errorf("%v; %d of the living run's 2 temporary files are there", err, stages(t, dir))
	}
}

// A pipe, and so a device, is written to, never replaced by a file.
func TestPipe(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	got := make(chan string, 1)
	go func() {
		data, err := os.ReadFile(pipe)
		if err != nil {
			data = []byte(err.Error())
		}
		got <- string(data)
	}()
	p, list := plan(Kind{}, pipe)
	if err := errors.Join(p.Prepare(), list[0].Write(text("new")), p.Commit()); err != nil {
		t.Fatal(err)
	}
	if text := <-got; text != "new" {
		t.Errorf("the pipe's other end got %q", text)
	}
	if info, err := os.Stat(pipe); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe became something else: %v", err)
	}
	holds(t, dir, "pipe")
}
