//go:build unix

package regularfile

import (
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Each kind of file there is, and a link to it. A pipe without a writer would keep an
// ordinary open for ever.
func TestOnlyRegularFiles(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	listener, err := net.Listen("unix", at("socket"))
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	if err := errors.Join(os.WriteFile(at("file"), []byte("text"), 0o600), os.Mkdir(at("folder"), 0o700), syscall.Mkfifo(at("pipe"), 0o600)); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"file", "folder", "pipe", "socket"} {
		if err := os.Symlink(at(name), at("link to "+name)); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(os.Symlink(os.DevNull, at("device")), os.Symlink(at("device"), at("link to device"))); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"file": "", "folder": "a folder", "pipe": "a named pipe", "socket": "a socket", "device": "a device"} {
		for _, name := range []string{name, "link to " + name} {
			f, err := Open(at(name))
			if want == "" {
				if err != nil {
					t.Fatal(err)
				}
				if data, err := io.ReadAll(f); err != nil || string(data) != "text" {
					t.Errorf("%s: read %q, %v", name, data, err)
				}
				f.Close()
				continue
			}
			if err == nil || !strings.Contains(err.Error(), at(name)+": "+want+", want a regular file") {
				t.Errorf("%s: %v", name, err)
			}
			inside, err := Folder(dir).Open(name)
			if want == "a folder" {
				if err != nil {
					t.Error(err)
				} else {
					inside.Close()
				}
			} else if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s in a folder: %v", name, err)
			}
		}
	}
	// A name that becomes a pipe or a device after it was looked at.
	for name, want := range map[string]string{"pipe": "a named pipe", "device": "a device"} {
		if _, err := openNow(at(name), false); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s, opened at once: %v", name, err)
		}
	}
	if _, err := Open(at("none")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	if _, err := Folder(dir).Open("../file"); !errors.Is(err, fs.ErrInvalid) {
		t.Error(err)
	}
}
