package scenes

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// fileKind names what Open takes a file for.
type fileKind string

const (
	kindGIF     fileKind = "GIF"
	kindPicture fileKind = "picture"
	kindTable   fileKind = "frame table"
	kindCSV     fileKind = "level table"
	kindWAV     fileKind = "WAV"
)

// Open reads the file or folder at path as a scene on a grid of rows × cols. A
// folder is read by ReadFolder. A file is known by how it begins: GIF, PNG,
// JPEG, WAV, binary frame table; or else by the ending .csv: level table.
func Open(path string, rows, cols int, o Options) (s Scene, err error) {
	if err := o.check(rows, cols); err != nil {
		return Scene{}, fmt.Errorf("opening scene %s: %w", path, err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return Scene{}, fmt.Errorf("opening scene: %w", err)
	}
	if info.IsDir() {
		return ReadFolder(os.DirFS(path), ".", path, rows, cols, o)
	}
	if !info.Mode().IsRegular() {
		return Scene{}, fmt.Errorf("opening scene %s: neither a file nor a folder", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return Scene{}, fmt.Errorf("opening scene: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()

	head := make([]byte, 16)
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return Scene{}, fmt.Errorf("opening scene: %w", err)
	}
	head = head[:n]
	if n == 0 {
		return Scene{}, inputErrorf(path, "the file is empty")
	}
	r := io.MultiReader(bytes.NewReader(head), f)
	switch kind := identify(head, path); kind {
	case kindGIF:
		return ReadGIF(r, path, rows, cols, o)
	case kindPicture:
		return ReadPicture(r, path, rows, cols, o)
	case kindWAV:
		return ReadWAV(r, path, rows, cols, o)
	case kindCSV:
		return ReadCSV(r, path, rows, cols, o.Limits)
	case kindTable:
		s, err := ReadTable(r, path, o.Limits)
		if err != nil {
			return Scene{}, err
		}
		if s.Rows != rows || s.Cols != cols {
			return Scene{}, inputErrorf(path, "the frame table is for %d rows × %d columns, the grid has %d × %d", s.Rows, s.Cols, rows, cols)
		}
		return s, nil
	}
	return Scene{}, inputErrorf(path, "not a scene: want a GIF, a PNG or JPEG picture, a folder of those, a WAV file, a frame table, or a level table ending in .csv")
}

// identify tells what a file is from how it begins and its name, "" if nothing
// fits.
func identify(head []byte, name string) fileKind {
	begins := func(mark string) bool { return bytes.HasPrefix(head, []byte(mark)) }
	switch {
	case begins("GIF8"):
		return kindGIF
	case begins("\x89PNG\r\n\x1a\n"), begins("\xff\xd8\xff"):
		return kindPicture
	case begins("RIFF") && len(head) >= 12 && string(head[8:12]) == "WAVE":
		return kindWAV
	case begins(tableMark):
		return kindTable
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv":
		return kindCSV
	}
	return ""
}
