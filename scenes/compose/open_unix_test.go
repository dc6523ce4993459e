//go:build unix

package compose

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"lodegrid/scenes/read"
)

// A pipe without a writer, and a device without an end, under every name by which a
// scene is read: none is waited for, and the error names it.
func TestPipesAndDevicesAreNotRead(t *testing.T) {
	dir := t.TempDir()
	for folder, place := range map[string]func(path string) error{
		"pipe":   func(path string) error { return syscall.Mkfifo(path, 0o600) },
		"device": func(path string) error { return os.Symlink("/dev/zero", path) },
	} {
		at := func(name string) string { return filepath.Join(dir, folder, name) }
		if err := errors.Join(os.MkdirAll(at("pictures"), 0o700), place(at("pictures/a.png")), place(at("a.gif")), place(at("a.csv")), place(at("a.toml")),
			os.WriteFile(at("names.toml"), []byte("[[clip]]\nfile = \"a.gif\"\n"), 0o600)); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"pictures", "a.gif", "a.csv", "a.toml", "names.toml"} {
			done := make(chan error, 1)
			go func() {
				_, err := Open(context.Background(), at(name), 2, 2, read.DefaultOptions())
				done <- err
			}()
			var err error
			select {
			case err = <-done:
			case <-time.After(10 * time.Second):
				t.Fatalf("%s %s: still waiting", folder, name)
			}
			names := at(map[string]string{"pictures": "pictures/a.png", "names.toml": "a.gif"}[name])
			if err == nil || !strings.Contains(err.Error(), folder+", want a regular file") || !strings.Contains(err.Error(), names) {
				t.Errorf("%s %s: error %v", folder, name, err)
			}
		}
	}
}
