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
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
	"lodegrid/scenes/table"
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
			s, err := read.Folder(ctx, files, name, name, present.Grid.Rows, present.Grid.Cols, sceneOptions(present))
			return o.carried(ctx, present, s, err)
		}
		data, err := readDropped(files, name)
		if err != nil {
			return nil, scope.Pictures{}, err
		}
		if !strings.EqualFold(path.Ext(name), ".toml") {
			s, err := o.readScene(ctx, name, data, present)
			if strings.EqualFold(path.Ext(name), ".csv") { // levels are played as they stand
				o.Carry = nil
			}
			return o.carried(ctx, present, s, err)
		}
		d, err := o.readDesign(name, data)
		if err != nil {
			return nil, scope.Pictures{}, err
		}
		s, err := o.sceneFor(ctx, d)
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

func (o Options) readDesign(name string, data []byte) (design.Design, error) {
	if o.OpenDesign != nil {
		return o.OpenDesign(name, data)
	}
	return design.Read(name, bytes.NewReader(data))
}

func (o Options) readScene(ctx context.Context, name string, data []byte, d design.Design) (scenes.Scene, error) {
	if o.OpenScene != nil {
		return o.OpenScene(ctx, name, data, d)
	}
	r, rows, cols, options := bytes.NewReader(data), d.Grid.Rows, d.Grid.Cols, sceneOptions(d)
	switch strings.ToLower(path.Ext(name)) {
	case ".gif":
		return read.GIF(ctx, r, name, rows, cols, options)
	case ".png", ".jpg", ".jpeg":
		return read.Picture(ctx, r, name, rows, cols, options)
	case ".wav":
		return read.WAV(ctx, r, name, rows, cols, options)
	case ".csv":
		return table.ReadCSV(ctx, r, name, rows, cols, options.Limits)
	}
	return scenes.Scene{}, fmt.Errorf("%s cannot be opened; what can: a design (.toml), an animation (.gif), a picture (.png, .jpg), a folder of pictures, sound (.wav), a level table (.csv)", name)
}

// sceneFor is the scene that a design names itself.
func (o Options) sceneFor(ctx context.Context, d design.Design) (scope.Pictures, error) {
	if o.SceneFor != nil {
		return o.SceneFor(ctx, d)
	}
	s, err := usualScene(ctx, d)
	return scope.Pictures{Scene: s}, err
}

func usualScene(ctx context.Context, d design.Design) (scenes.Scene, error) {
	p, err := generate.Defaults(d.Scene.Kind, d.Grid.Rows, d.Grid.Cols)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("the scene of design %q: %w", d.Name, err)
	}
	if d.Scene.Duration > 0 {
		p.Duration = d.Scene.Duration
	}
	if d.Scene.FrameTime > 0 {
		p.FrameTime = d.Scene.FrameTime
	}
	if d.Scene.Text != "" {
		p.Text = d.Scene.Text
	}
	p.Seed = d.Scene.Seed
	s, err := generate.Scene(ctx, d.Scene.Kind, p)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("the scene of design %q: %w", d.Name, err)
	}
	return sceneOptions(d).Mapping.Scene(ctx, s)
}

// sceneOptions are what readers of pictures take from a design.
func sceneOptions(d design.Design) read.Options {
	o := read.DefaultOptions()
	if d.Scene.FrameTime > 0 {
		o.FrameTime = d.Scene.FrameTime
	}
	o.Mapping.Kind = scenes.MappingKind(d.Scene.Mapping)
	o.Mapping.Threshold = d.Scene.Threshold
	o.Mapping.Level = d.Scene.Level
	return o
}
