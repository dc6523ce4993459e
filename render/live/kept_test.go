package live

import (
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

// What was changed, painted and reached is there again, on a grid that was changed too; of a
// file that is opened then nothing is kept, since it is not what the window begins with.
func TestKeptComesBack(t *testing.T) {
	o := Options{Design: trial.Design(t)}
	var err error
	if o.Scene, err = o.sceneFor(t.Context(), o.Design); err != nil {
		t.Fatal(err)
	}
	var state []byte
	o.Keep = func(s []byte) { state = slices.Clone(s) }
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
	if state == nil {
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

	before := slices.Clone(state)
	w.do(func(c *scope.Scope) {
		c.Open(func() (*design.Design, scope.Pictures, error) {
			d := trial.Design(t, "name=another")
			s, err := o.sceneFor(t.Context(), d)
			return &d, s, err
		})
	})
	settle(t, w)
	w.do(func(c *scope.Scope) { c.Paint(1, 1, 1) })
	advance(t, w, 2)
	w.keep()
	if !w.view.Opened() || !slices.Equal(state, before) {
		t.Errorf("opened %v, and kept is %s, was %s", w.view.Opened(), state, before)
	}
}
