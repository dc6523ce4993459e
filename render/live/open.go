package live

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/design"
	"lodegrid/field/regularfile"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
	"lodegrid/scenes/read"
)

// maxDropped is the largest file read from a drop, bytes.
const maxDropped = 512 << 20

// open takes a file that was dropped on the window.
func (w *window) open() {
	files := ebiten.DroppedFiles()
	if files == nil {
		return
	}
	entries, err := fs.ReadDir(files, ".")
	if err != nil || len(entries) == 0 {
		w.tell(fmt.Sprintf("what was dropped cannot be read: %v", err), true)
		return
	}
	if len(entries) > 1 {
		w.tell("one file at a time can be opened; a folder of pictures counts as one", true)
		return
	}
	name := entries[0].Name()
	w.tell("Opening "+name, false)
	load := w.loader(files, name, entries[0].IsDir())
	w.do(func(c *scope.Scope) { c.Open(load) })
}

// loader reads a dropped file as a design with its scene, or as a scene for the
// present design.
func (w *window) loader(files fs.FS, name string, folder bool) scope.Loader {
	o, present := w.options, w.view.Design()
	return func() (*design.Design, scope.Pictures, error) {
		ctx := scope.Breathe(w.ctx)
		if folder {
			s, err := read.Folder(ctx, files, name, name, present.Grid.Rows, present.Grid.Cols, read.OptionsOf(present.Scene))
			return o.carried(ctx, present, s, err)
		}
		data, err := readDropped(files, name)
		if err != nil {
			return nil, scope.Pictures{}, err
		}
		if !strings.EqualFold(path.Ext(name), ".toml") {
			s, levels, err := readScene(ctx, name, data, present)
			if levels {
				o.Carry = nil
			}
			return o.carried(ctx, present, s, err)
		}
		d, err := design.Read(name, bytes.NewReader(data))
		if err != nil {
			return nil, scope.Pictures{}, err
		}
		s, err := o.SceneFor(ctx, d)
		return &d, s, err
	}
}

// carried is a scene that was read for a design, as a loader gives it.
func (o Options) carried(ctx context.Context, d design.Design, s scenes.Scene, err error) (*design.Design, scope.Pictures, error) {
	if err != nil || o.Carry == nil {
		return nil, scope.Pictures{Scene: s}, err
	}
	p, err := o.Carry(ctx, d, s)
	return nil, p, err
}

func readDropped(files fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(files, name)
	if err == nil {
		err = regularfile.Want(info)
	}
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", name, err)
	}
	f, err := files.Open(name)
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", name, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxDropped+1))
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	if len(data) > maxDropped {
		return nil, fmt.Errorf("reading %s: the file is larger than %d MiB", name, maxDropped>>20)
	}
	return data, nil
}

// readScene reads a dropped file for a design, and tells whether it holds levels, which are
// played as they stand.
func readScene(ctx context.Context, name string, data []byte, d design.Design) (s scenes.Scene, levels bool, err error) {
	s, kind, err := read.File(ctx, bytes.NewReader(data), name, d.Grid.Rows, d.Grid.Cols, read.OptionsOf(d.Scene))
	if kind == "" && len(data) > 0 {
		err = fmt.Errorf("%s cannot be opened; what can: a design (.toml), an animation (GIF), a picture (PNG, JPEG), a folder of pictures, sound (WAV), a frame table, a level table (.csv)", name)
	}
	return s, kind == read.KindCSV || kind == read.KindTable, err
}
