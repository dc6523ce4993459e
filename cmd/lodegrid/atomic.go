package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// writeWhole writes a file by way of a temporary one beside it, so that path
// holds either its old content or all of the new one. The path "-" means w, the
// standard output.
func writeWhole(path string, w io.Writer, fill func(io.Writer) error) (err error) {
	if path == "-" {
		return fill(w)
	}
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
