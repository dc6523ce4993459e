package read

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
	"lodegrid/scenes"
	"lodegrid/scenes/table"
)

// Kind is what a file is taken for.
type Kind string

// The kinds of files.
const (
	KindGIF     Kind = "GIF"
	KindPicture Kind = "picture"
	KindTable   Kind = "frame table"
	KindCSV     Kind = "level table"
	KindWAV     Kind = "WAV"
	KindScene   Kind = "scene file" // read by package compose
)

// Open reads the file or folder at path as a scene on a grid of rows × cols, and tells
// what the file was taken for, "" for a folder. A folder is read by Folder. What a file is
// Identify tells. A scene file is not read: the kind alone is returned.
func Open(ctx context.Context, path string, rows, cols int, o Options) (s scenes.Scene, kind Kind, err error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, "", fmt.Errorf("opening scene %s: %w", path, err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return scenes.Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	if info.IsDir() {
		s, err := Folder(ctx, regularfile.Folder(path), ".", path, rows, cols, o)
		return s, "", err
	}
	f, err := regularfile.Open(path)
	if err != nil {
		return scenes.Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return File(ctx, f, path, rows, cols, o)
}

// File is Open of a file that is open already; path serves its ending and errors.
func File(ctx context.Context, f io.ReadSeeker, path string, rows, cols int, o Options) (s scenes.Scene, kind Kind, err error) {
	head := make([]byte, 16)
	n, short := io.ReadFull(f, head)
	if short != nil && short != io.EOF && short != io.ErrUnexpectedEOF {
		return scenes.Scene{}, "", fmt.Errorf("opening scene: %w", short)
	}
	if n == 0 {
		return scenes.Scene{}, "", scenes.InputErrorf(path, "the file is empty")
	}
	kind = Identify(head[:n], path)
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return scenes.Scene{}, "", fmt.Errorf("opening scene: %w", err)
	}
	switch kind {
	case KindGIF:
		s, err = GIF(ctx, f, path, rows, cols, o)
	case KindPicture:
		s, err = Picture(ctx, f, path, rows, cols, o)
	case KindWAV:
		s, err = WAV(ctx, f, path, rows, cols, o)
	case KindCSV:
		s, err = table.ReadCSV(ctx, f, path, rows, cols, o.Limits)
	case KindScene:
	case KindTable:
		if s, err = table.ReadBinary(ctx, f, path, o.Limits); err == nil && (s.Rows != rows || s.Cols != cols) {
			return scenes.Scene{}, kind, scenes.InputErrorf(path, "the frame table is for %d rows × %d columns, the grid has %d × %d", s.Rows, s.Cols, rows, cols)
		}
	default:
		err = scenes.InputErrorf(path, "not a scene: want a GIF, a PNG or JPEG picture, a folder of those, a WAV file, a frame table, a level table ending in .csv, or a scene file ending in .toml")
	}
	return s, kind, err
}

// Identify tells what a file is from how it begins (GIF, PNG, JPEG, WAV, binary frame
// table) or else by its ending (.csv for a level table, .toml for a scene file); "" if
// nothing fits. Twelve bytes are enough.
func Identify(head []byte, name string) Kind {
	begins := func(mark string) bool { return bytes.HasPrefix(head, []byte(mark)) }
	switch {
	case begins("GIF8"):
		return KindGIF
	case begins("\x89PNG\r\n\x1a\n"), begins("\xff\xd8\xff"):
		return KindPicture
	case begins("RIFF") && len(head) >= 12 && string(head[8:12]) == "WAVE":
		return KindWAV
	case table.IsBinary(head):
		return KindTable
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv":
		return KindCSV
	case ".toml":
		return KindScene
	}
	return ""
}
