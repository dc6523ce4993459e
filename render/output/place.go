package output

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// place is where a path leads.
type place struct {
	real   string      // the path with links followed, also one that leads to nothing yet
	folder fs.FileInfo // of the folder that it stands in, the nearest there is for a folder to be made
	info   fs.FileInfo // of what stands there, nil when nothing does
}

// maxLinks is how many links in a row are followed, as Linux does.
const maxLinks = 40

// find follows a path. A pipe or a device stays as it is named.
func find(path string) (place, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return place{real: path, info: info}, nil
	}
	for range maxLinks {
		// Not filepath.Dir, which takes the .. after a link for the link's own folder.
		dir, name := filepath.Split(path)
		if name == "" || name == "." || name == ".." {
			dir, name = path, ""
		}
		dir = cmp.Or(dir, ".")
		real, err := filepath.EvalSymlinks(dir)
		if err != nil {
			return place{}, err
		}
		folder, err := os.Stat(real)
		if err != nil {
			return place{}, err
		}
		if !folder.IsDir() {
			return place{}, &fs.PathError{Op: "open", Path: real, Err: errors.New("not a folder")}
		}
		if name == "" {
			return place{real: real, folder: folder, info: folder}, nil
		}
		at := place{real: filepath.Join(real, name), folder: folder}
		at.info, err = os.Lstat(at.real)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			at.info = nil
			return at, nil
		case err != nil:
			return place{}, err
		case at.info.Mode()&fs.ModeSymlink == 0:
			return at, nil
		}
		path, err = os.Readlink(at.real)
		if err != nil {
			return place{}, err
		}
		if !filepath.IsAbs(path) {
			path = real + string(filepath.Separator) + path
		}
	}
	return place{}, fmt.Errorf("%s: more than %d links in a row", path, maxLinks)
}

// findFolder follows the path of a folder, which need not be there, nor those above it.
func findFolder(path string) (place, error) {
	at, err := find(path)
	if !errors.Is(err, fs.ErrNotExist) {
		return at, err
	}
	clean := filepath.Clean(path)
	above, err := findFolder(filepath.Dir(clean))
	if err != nil {
		return place{}, err
	}
	return place{real: filepath.Join(above.real, filepath.Base(clean)), folder: above.folder}, nil
}

// same tells whether two paths lead to one file.
func (a place) same(b place) bool {
	if a.info != nil && b.info != nil {
		return os.SameFile(a.info, b.info)
	}
	if a.info != nil || b.info != nil || !os.SameFile(a.folder, b.folder) {
		return false
	}
	x, y := filepath.Base(a.real), filepath.Base(b.real)
	return x == y || strings.EqualFold(x, y) && foldsCase(filepath.Dir(a.real))
}

// foldsCase tells whether a folder takes names that differ in case for one, by a file of
// ours put there. Where none can be put, it does not matter.
func foldsCase(dir string) bool {
	s, err := newStage(dir, false)
	if err != nil {
		return false
	}
	defer s.remove()
	own, err := os.Stat(s.path)
	if err != nil {
		return false
	}
	other, err := os.Stat(filepath.Join(dir, strings.ToUpper(filepath.Base(s.path))))
	return err == nil && os.SameFile(own, other)
}
