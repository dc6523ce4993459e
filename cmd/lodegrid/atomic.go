package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// writeWhole writes a file by way of a temporary one beside it, so that path
// holds either its old content or all of the new one. The path "-" means w, the
// standard output. What is no file, such as a pipe or a device, is written to as
// it stands; a file that is protected against writing is left alone.
func writeWhole(path string, w io.Writer, fill func(io.Writer) error) error {
	if path == "-" {
		return fill(w)
	}
	target, mode := path, os.FileMode(0o644)
	switch info, err := os.Stat(path); {
	case err != nil: // nothing there yet, or nothing that can be reached, which creating tells
	case info.IsDir():
		return fmt.Errorf("writing %s: it is a folder", path)
	case !info.Mode().IsRegular():
		return writeDevice(path, fill)
	case info.Mode().Perm()&0o200 == 0:
		return fmt.Errorf("writing %s: the file is protected against writing", path)
	default:
		mode = info.Mode().Perm()
		if real, err := filepath.EvalSymlinks(path); err == nil {
			target = real // the file that a link names is replaced, not the link
		}
	}
	if err := replace(target, mode, fill); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// replace puts a new file in the place of path, or leaves everything as it was.
func replace(path string, mode os.FileMode, fill func(io.Writer) error) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".lodegrid-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = tmp.Close() // closed already, or of no use
			err = errors.Join(err, os.Remove(tmp.Name()))
		}
	}()
	if err := fill(tmp); err != nil {
		return err
	}
	if err := tmp.Chmod(mode); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}

func writeDevice(path string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := errors.Join(fill(f), f.Close()); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}
