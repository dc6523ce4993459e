//go:build !js

package live

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// saveWhole writes a file by way of a temporary one beside it, so that the path
// holds either its old content or all of the new one.
func saveWhole(path string, fill func(io.Writer) error) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".lodegrid-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			tmp.Close()
			os.Remove(tmp.Name())
		}
	}()
	if err := fill(tmp); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := tmp.Chmod(0o644); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := tmp.Close(); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := os.Rename(tmp.Name(), path); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// saveNew writes a file under a name that no file in the folder has yet: name.ext,
// name-2.ext, … It returns the path.
func saveNew(folder, name, ext string, fill func(io.Writer) error) (string, error) {
	for n := 1; n < 10000; n++ {
		path := filepath.Join(folder, name+ext)
		if n > 1 {
			path = filepath.Join(folder, fmt.Sprintf("%s-%d%s", name, n, ext))
		}
		if _, err := os.Lstat(path); err == nil {
			continue
		} else if !os.IsNotExist(err) {
			return "", fmt.Errorf("saving %s: %w", path, err)
		}
		return path, saveWhole(path, fill)
	}
	return "", fmt.Errorf("saving %s%s: the folder %s is full of such files", name, ext, folder)
}
