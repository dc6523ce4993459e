//go:build unix

package design

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pipe without a writer under the name of a design is not waited for.
func TestDesignFromAPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "design.toml")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() {
		_, err := ReadFile(path)
		done <- err
	}()
	select {
	case err := <-done:
		if err == nil || !strings.Contains(err.Error(), path+": a named pipe, want a regular file") {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("still waiting for the pipe")
	}
}
