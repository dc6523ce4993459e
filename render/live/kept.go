package live

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/render/live/scope"
)

// kept is what a window is put back to after it was closed: all that was done to the
// design and the scene that it starts with.
type kept struct {
	Set     []design.Change
	Clock   float64 // s
	Playing bool
	Loop    bool
	Speed   float64
	Overlay string
	Outline bool
	Dark    bool
	Page    page
	Hands   map[int]float64 // painted levels
	Probes  []int
	File    bool // a file was opened since, the other part
}

// file is a design with its scene as text, levels and pictures as tables.
type file struct {
	Design, Name, Levels, Wanted string

	Base  string          // the design as it was opened
	Set   []design.Change // of it that made the design
	Alone bool            // the scene was opened by itself
}

// mostKept is the longest of a file's texts that is kept, bytes: a browser keeps some 5 MB.
const mostKept = 1 << 20

// fileOf is what a view shows as a file, nil where it is too large.
func (w *window) fileOf(v *scope.View) *file {
	levels, wanted, err := v.Scene().Tables(w.ctx)
	d, base := v.Design(), v.Base()
	f := &file{Design: string(d.Marshal()), Name: v.Scene().Name, Levels: string(levels), Wanted: string(wanted), Base: string(base.Marshal()), Set: v.Changes()}
	if err != nil || max(len(f.Design), len(f.Levels), len(f.Wanted)) > mostKept {
		return nil
	}
	_, f.Alone = v.Opened()
	return f
}

// open is the inverse of fileOf.
func (f *file) open(ctx context.Context, m scope.Model) (*scope.Scope, error) {
	d, err := design.Read("the design opened before", strings.NewReader(f.Design))
	if err != nil {
		return nil, err
	}
	base, err := design.Read("the design opened before", strings.NewReader(f.Base))
	if err != nil {
		return nil, err
	}
	s, err := scope.ReadPictures(ctx, f.Name, f.Levels, f.Wanted, d.Grid.Rows, d.Grid.Cols)
	if err != nil {
		return nil, err
	}
	c, err := scope.New(ctx, d, s, m)
	if err == nil {
		c.Reopen(base, f.Set, f.Alone)
	}
	return c, err
}

// left tells whether another file is shown than the window began with.
func (w *window) left() bool {
	n, _ := w.view.Opened()
	return n > 0 && n != w.backTo || w.file != nil
}

// back opens what the window began with.
func (w *window) back() {
	n, _ := w.view.Opened()
	w.backTo = n + 1
	d, s, load := w.options.Design, w.options.Scene, w.options.Later
	if load == nil {
		load = func() (*design.Design, scope.Pictures, error) { return &d, s, nil }
	}
	w.do(func(c *scope.Scope) { c.Open(load) })
}

// keep gives the state to whoever keeps it, when it is another one.
func (w *window) keep() {
	v := w.view
	if w.options.Keep == nil || v.Stale() {
		return
	}
	if n, _ := v.Opened(); n != w.opened {
		if w.opened, w.file = n, nil; n != w.backTo { // what the window began with is there by itself
			w.file = w.fileOf(v)
		}
		data, err := json.Marshal(w.file)
		if !w.options.Keep(Opened, data) || err != nil {
			w.file = nil
		}
		if w.file == nil && n != w.backTo {
			w.tell("what was opened is too large to be there again after a reload", false)
		}
	}
	k := kept{
		File: w.file != nil,
		Set:  v.Changes(), Clock: v.Clock(), Playing: v.Playing(), Loop: v.Loop(), Speed: v.Speed(),
		Overlay: v.Overlay().String(), Outline: v.Outline(), Dark: w.dark, Page: w.page, Hands: v.Hands(),
	}
	for _, p := range v.Probes() {
		k.Probes = append(k.Probes, p.Pixel)
	}
	if data, err := json.Marshal(k); err == nil && !bytes.Equal(data, w.keptAs) {
		w.keptAs = data
		w.options.Keep(Done, data)
	}
}

// begin makes the scope of what the window begins with, or of the file that was open when it
// was closed.
func (w *window) begin(k kept) (*scope.Scope, error) {
	if k.File {
		var c *scope.Scope
		f := &file{}
		err := json.Unmarshal(w.options.Kept[Opened], f)
		if err == nil {
			c, err = f.open(w.ctx, w.options.Fluid)
		}
		if err == nil {
			w.file = f
			return c, nil
		}
		w.tell("what was opened before cannot be shown: "+err.Error(), true)
	}
	return scope.New(w.ctx, w.options.Design, w.options.Scene, w.options.Fluid)
}

// restore puts the window to a state that was kept; what does not fit is left out.
func (w *window) restore(c *scope.Scope, k kept) {
	if len(w.options.Kept[Done]) == 0 {
		return
	}
	var set []design.Change
	if w.file != nil {
		set = w.file.Set
	}
	if !slices.Equal(k.Set, set) {
		if err := c.SetNow(k.Set...); err != nil {
			w.tell("what was changed before cannot be taken up: "+err.Error(), true)
		}
	}
	for i, level := range k.Hands {
		if i >= 0 && i < c.Design().Pixels() && !math.IsNaN(level) {
			c.Paint(i, i, level)
		}
	}
	for _, i := range k.Probes {
		if i >= 0 && i < c.Design().Pixels() {
			c.Probe(i)
		}
	}
	c.SetLoop(k.Loop)
	c.SetSpeed(k.Speed)
	if k.Clock > 0 {
		c.Seek(k.Clock)
	}
	if c.Playing() != k.Playing {
		c.Toggle()
		if k.Clock > 0 {
			c.Seek(k.Clock)
		}
	}
	if o, err := scope.ParseOverlay(k.Overlay); err == nil {
		c.SetOverlay(o)
	}
	c.SetOutline(k.Outline)
	w.dark = k.Dark
	if k.Page >= 0 && k.Page < pages {
		w.page = k.Page
	}
}
