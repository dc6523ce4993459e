package live

import (
	"maps"
	"slices"
	"testing"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/render/live/scope"
)

// settle lets a window play until what was asked is computed.
func settle(t *testing.T, w *window) {
	t.Helper()
	for range 2000 {
		if advance(t, w, 1); !w.view.Stale() {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatal("the display is still being computed")
}

// What was changed, painted and reached is there again, on a grid that was changed too, and so
// is a file that was opened.
func TestKeptComesBack(t *testing.T) {
	o := Options{Design: trial.Design(t), SceneFor: usual}
	var err error
	if o.Scene, err = usual(t.Context(), o.Design); err != nil {
		t.Fatal(err)
	}
	state, files := map[Part][]byte{}, 0
	keep := func(p Part, data []byte) bool {
		state = maps.Clone(state)
		if state[p] = slices.Clone(data); p == Opened {
			files++
		}
		return true
	}
	o.Keep = keep
	o.Paused = true
	w := play(t, o, 1)
	set := design.Change{Key: "grid.cols", Value: "5"}
	w.do(func(c *scope.Scope) {
		if err := c.Set(set); err != nil {
			t.Error(err)
		}
	})
	settle(t, w)
	w.do(func(c *scope.Scope) { c.Paint(3, 3, 0.5); c.Seek(0.5) })
	advance(t, w, 40)
	w.keep()
	if state[Done] == nil || files > 0 {
		t.Fatal("nothing is kept")
	}

	again := o
	again.Keep, again.Kept = nil, state
	b := play(t, again, 40)
	if got := b.view.Changes(); !slices.Equal(got, []design.Change{set}) || b.view.Design().Grid.Cols != 5 {
		t.Errorf("changes %v, %d columns", got, b.view.Design().Grid.Cols)
	}
	if got := b.view.Hands(); len(got) != 1 || got[3] != 0.5 {
		t.Errorf("painted %v", got)
	}
	if got, want := b.view.Clock(), w.view.Clock(); got != want || got == 0 {
		t.Errorf("at %g s, want %g", got, want)
	}

	// A design that was dropped, then a scene on it, painted and probed: all of it again, and
	// the way back to what the window began with.
	w.do(func(c *scope.Scope) {
		c.Open(func() (*design.Design, scope.Pictures, error) {
			d := trial.Design(t, "name=another")
			s, err := usual(t.Context(), d)
			return &d, s, err
		})
	})
	w.page = savePage
	before := w.asked()
	settle(t, w)
	if w.asked() == before {
		t.Error("the page of files stays without its way back")
	}
	own := w.view.Design().Supply.Voltage
	w.do(func(c *scope.Scope) { _ = c.Set(design.Change{Key: "supply.voltage", Value: "9 V"}) })
	settle(t, w)
	still := w.view.Picture(2)
	still.Name = "still"
	w.do(func(c *scope.Scope) {
		c.Open(func() (*design.Design, scope.Pictures, error) {
			return nil, scope.Pictures{Scene: still, Wanted: &still}, nil
		})
	})
	settle(t, w)
	w.keep()
	kept := files
	w.do(func(c *scope.Scope) { c.Paint(1, 1, 1); c.Probe(2) })
	advance(t, w, 2)
	if w.keep(); files != kept || files == 0 {
		t.Errorf("what was opened is kept %d times, %d times before it was painted on", files, kept)
	}
	again.Kept = state
	again.Keep = keep
	for range 2 { // a reload of a reload too
		b = play(t, again, 2)
		b.do(func(c *scope.Scope) { _ = c.Set(design.Change{Key: "scene.kind", Value: "walk"}) })
		settle(t, b)
		v := b.view
		if n, _ := v.Opened(); n != 0 || v.Design().Name != "another" || v.Scene().Name != "still" || v.Scene().Wanted == nil || v.Length() != 2 || v.Hands()[1] != 1 || len(v.Probes()) != 1 {
			t.Errorf("after the reload: %d opened, design %q, scene %q of %g s, painted %v, probes %v", n, v.Design().Name, v.Scene().Name, v.Length(), v.Hands(), v.Probes())
		}
		b.keep()
		again.Kept = state
	}
	// What was changed before the scene was opened is still a change.
	if v := b.view; own == 9 || v.Design().Supply.Voltage != 9 || v.Base().Supply.Voltage != own {
		t.Errorf("after the reload %g V of %g V, want 9 V of %g V", v.Design().Supply.Voltage, v.Base().Supply.Voltage, own)
	}
	b.do((*scope.Scope).Untune)
	settle(t, b)
	b.keep()
	again.Kept = state
	b = play(t, again, 2)
	if v := b.view; v.Design().Supply.Voltage != own || len(v.Changes()) != 0 {
		t.Errorf("put back to %g V before a reload, %g V after it", own, v.Design().Supply.Voltage)
	}
	b.words = ""
	b.options.Keep = func(p Part, data []byte) bool { return keep(p, data) && p != Opened } // as a full store
	b.back()
	settle(t, b)
	if b.keep(); b.words != "" {
		t.Errorf("back at what the window began with: %q", b.words)
	}
	again.Kept = state
	b = play(t, again, 2)
	if v := b.view; v.Design().Name != o.Design.Name || v.Scene().Name != o.Scene.Name {
		t.Errorf("the way back leads to %q with %q", v.Design().Name, v.Scene().Name)
	}
	again.Kept = map[Part][]byte{Done: []byte(`{"File":true}`), Opened: []byte(`{"Design":"nonsense"}`)}
	if b = play(t, again, 1); !b.wrong || b.view.Design().Name != o.Design.Name {
		t.Errorf("what cannot be read gives %q, %q", b.words, b.view.Design().Name)
	}
}
