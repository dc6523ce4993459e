//go:build unix

package main

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// A pipe, and so a device, is written to, never replaced by a file.
func TestWriteWholeToAPipe(t *testing.T) {
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
	if err := writeWhole(pipe, nil, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }); err != nil {
		t.Fatal(err)
	}
	if text := <-got; text != "new" {
		t.Errorf("the pipe's other end got %q", text)
	}
	if info, err := os.Stat(pipe); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe became something else: %v", err)
	}
	emptyBut(t, dir, "pipe")
}
