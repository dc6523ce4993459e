package read

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strings"

	"lodegrid/field/regularfile"
	"lodegrid/scenes"
)

// Folder reads every PNG and JPEG picture directly in dir of fsys as one
// frame of o.FrameTime each, sorted by name with runs of digits compared as
// numbers (frame2 before frame10). Pictures are known by the endings .png, .jpg
// and .jpeg in any case; other files, folders, and names that begin with a dot
// are passed over. One of those names on anything but a regular file, or a link to one, is an
// error.
func Folder(ctx context.Context, fsys fs.FS, dir, name string, rows, cols int, o Options) (scenes.Scene, error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading folder %s: %w", name, err)
	}
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("reading folder %s: %w", name, err)
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && !strings.HasPrefix(e.Name(), ".") && IsPicture(e.Name()) {
			names = append(names, e.Name())
		}
	}
	if len(names) == 0 {
		return scenes.Scene{}, scenes.InputErrorf(name, "the folder holds no picture: want files ending in .png, .jpg or .jpeg")
	}
	if err := o.Limits.CheckFrames(len(names), rows*cols); err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	sort.Slice(names, func(i, j int) bool { return naturalLess(names[i], names[j]) })

	s := scenes.New(name, rows, cols, len(names), o.FrameTime)
	for i, n := range names {
		if err := readFolderPicture(ctx, fsys, path.Join(dir, n), path.Join(name, n), s.Frames[i].Levels, rows, cols, o); err != nil {
			return scenes.Scene{}, err
		}
	}
	if err := s.ValidateWithin(o.Limits); err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	return s, nil
}

func readFolderPicture(ctx context.Context, fsys fs.FS, file, shown string, dst []float64, rows, cols int, o Options) (err error) {
	info, err := fs.Stat(fsys, file) // of what a link leads to
	if err == nil {
		err = regularfile.Want(info)
	}
	if err != nil {
		return fmt.Errorf("reading picture %s: %w", shown, err)
	}
	f, err := fsys.Open(file)
	if err != nil {
		return fmt.Errorf("reading picture %s: %w", shown, err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return readPicture(ctx, dst, f, shown, rows, cols, o)
}

// IsPicture tells whether a file of this name in a folder is a picture.
func IsPicture(n string) bool {
	switch strings.ToLower(path.Ext(n)) {
	case ".png", ".jpg", ".jpeg":
		return true
	}
	return false
}

// naturalLess orders names with runs of digits as numbers of any length. Names
// that differ only in leading zeros are ordered as plain text, so that the order
// is total.
func naturalLess(a, b string) bool {
	x, y := a, b
	for x != "" && y != "" {
		dx, dy := digits(x), digits(y)
		if dx > 0 && dy > 0 {
			m, n := strings.TrimLeft(x[:dx], "0"), strings.TrimLeft(y[:dy], "0")
			if len(m) != len(n) {
				return len(m) < len(n)
			}
			if m != n {
				return m < n
			}
			x, y = x[dx:], y[dy:]
			continue
		}
		if x[0] != y[0] {
			return x[0] < y[0]
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) < len(y)
	}
	return a < b
}

// digits returns the length of the run of ASCII digits s begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && '0' <= s[n] && s[n] <= '9' {
		n++
	}
	return n
}
