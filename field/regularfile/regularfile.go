// Package regularfile opens files that other people chose. A named pipe or a device
// under the name of a picture or a design could keep its reader for ever; here only
// regular files, and folders where they are wanted, are opened, and never by waiting.
package regularfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Open opens the regular file at path, or what a link there leads to, for reading.
// Anything else is a *fs.PathError that says what it is.
func Open(path string) (*os.File, error) { return open(path, false) }

// open looks before it opens, because opening a device can do something, and again
// after it, because the name may lead elsewhere by then. A pipe opened in between
// does not wait for a writer.
func open(path string, folder bool) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := want(info, folder); err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	return openNow(path, folder)
}

// openNow opens without looking first.
func openNow(path string, folder bool) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|dontWait, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil {
		err = want(info, folder)
	}
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: errors.Join(err, f.Close())}
	}
	return f, nil
}

// Want refuses what is not a regular file.
func Want(info fs.FileInfo) error { return want(info, false) }

func want(info fs.FileInfo, folder bool) error {
	if info.Mode().IsRegular() || folder && info.IsDir() {
		return nil
	}
	return errors.New(kind(info.Mode()) + ", want a regular file")
}

func kind(m fs.FileMode) string {
	switch {
	case m.IsDir():
		return "a folder"
	case m&fs.ModeNamedPipe != 0:
		return "a named pipe"
	case m&fs.ModeSocket != 0:
		return "a socket"
	case m&fs.ModeDevice != 0:
		return "a device"
	}
	return "a special file"
}

// Folder is the folder at dir as a file system that opens only regular files and
// folders.
func Folder(dir string) fs.FS { return folder(dir) }

type folder string

func (d folder) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	f, err := open(filepath.Join(string(d), filepath.FromSlash(name)), true)
	if err != nil {
		return nil, err
	}
	return f, nil
}
