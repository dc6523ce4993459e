package scenes

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"lodegrid/field/regularfile"
)

// fileKind names what Open takes a file for.
type fileKind string

const (
	kindGIF     fileKind = "GIF"
	kindPicture fileKind = "picture"
	kindTable   fileKind = "frame table"
	kindCSV     fileKind = "level table"
	kindWAV     fileKind = "WAV"
	kindScene   fileKind = "scene file"
)

// Open reads the file or folder at path as a scene on a grid of rows × cols. A
// folder is read by ReadFolder. A file is known by how it begins: GIF, PNG, JPEG,
// WAV, binary frame table; or else by its ending: .csv for a level table, .toml
// for a scene file.
func Open(ctx context.Context, path string, rows, cols int, o Options) (Scene, error) {
	s, _, err := open(ctx, path, rows, cols, o)
	return s, err
}

// open also tells what the file was taken for, "" for a folder.
func open(ctx context.Context, path string, rows, cols int, o Options) (s Scene, kind fileKind, err error) {
	if err := o.check(rows, cols); err != nil {
		return Scene{}, "", fmt.Errorf("opening scene %s: %w", path, err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	if info.IsDir() {
		s, err := ReadFolder(ctx, regularfile.Folder(path), ".", path, rows, cols, o)
		return s, "", err
	}
	f, err := regularfile.Open(path)
	if err != nil {
		return Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()

	head := make([]byte, 16)
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	head = head[:n]
	if n == 0 {
		return Scene{}, "", inputErrorf(path, "the file is empty")
	}
	kind = identify(head, path)
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	s, err = read(ctx, f, kind, path, rows, cols, o)
	return s, kind, err
}

// read reads a file of a known kind.
func read(ctx context.Context, r io.ReadSeeker, kind fileKind, path string, rows, cols int, o Options) (Scene, error) {
	switch kind {
	case kindGIF:
		return ReadGIF(ctx, r, path, rows, cols, o)
	case kindPicture:
		return ReadPicture(ctx, r, path, rows, cols, o)
	case kindWAV:
		return ReadWAV(ctx, r, path, rows, cols, o)
	case kindCSV:
		return ReadCSV(ctx, r, path, rows, cols, o.Limits)
	case kindScene:
		return ReadSceneFile(ctx, r, path, filepath.Dir(path), rows, cols, o)
	case kindTable:
		s, err := ReadTable(ctx, r, path, o.Limits)
		if err != nil {
			return Scene{}, err
		}
		if s.Rows != rows || s.Cols != cols {
			return Scene{}, inputErrorf(path, "the frame table is for %d rows × %d columns, the grid has %d × %d", s.Rows, s.Cols, rows, cols)
		}
		return s, nil
	}
	return Scene{}, inputErrorf(path, "not a scene: want a GIF, a PNG or JPEG picture, a folder of those, a WAV file, a frame table, a level table ending in .csv, or a scene file ending in .toml")
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
	case ".toml":
		return kindScene
	}
	return ""
}
