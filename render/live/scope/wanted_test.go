package scope

import (
	"context"
	"sync/atomic"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Where other frames are played than are to be seen, rings and the meter of what shows go by
// the pictures, a painted pixel by the hand, and another design has its moves planned anew.
func TestWantedPictures(t *testing.T) {
	d, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "3"}, design.Change{Key: "grid.rows", Value: "2"})
	if err != nil {
		t.Fatal(err)
	}
	frames := func(each float64, lit ...[]int) scenes.Scene {
		s := scenes.Scene{Name: "moves", Rows: 2, Cols: 3}
		for _, list := range lit {
			f := scenes.Frame{Levels: make([]float64, 6), Duration: each}
			for _, i := range list {
				f.Levels[i] = 1
			}
			s.Frames = append(s.Frames, f)
		}
		return s
	}
	pictures := frames(0.4, []int{0, 4}, []int{1, 4, 5})
	later := frames(0.2, []int{2}, []int{2}, []int{2}, []int{2})
	var seven atomic.Bool // the verdict's trials plan too, beside
	plan := func(_ context.Context, d design.Design) (*player.Player, scenes.Scene, scenes.Scene, error) {
		if d.Supply.Voltage == 7 {
			seven.Store(true)
		}
		return nil, later, later, nil
	}
	c, err := New(t.Context(), d, Pictures{Scene: frames(0.2, []int{0, 4}, []int{1}, nil, []int{5}), Wanted: &pictures, Plan: plan}, Fitting)
	if err != nil {
		t.Fatal(err)
	}
	v := &View{}
	wanted := func(when string, want ...int) {
		t.Helper()
		c.Copy(v)
		lit := map[int]bool{}
		for _, i := range want {
			lit[i] = true
		}
		for i, s := range v.wanted {
			if (s == grid.Lit) != lit[i] {
				t.Errorf("%s: pixel %d is wanted %v", when, i, s)
			}
		}
		if m := v.Meters(); m.Wanted != len(want) || m.Shown > m.Wanted {
			t.Errorf("%s: %d of %d shown, want %d", when, m.Shown, m.Wanted, len(want))
		}
	}
	ticks(t, c, 18) // 0.3 s: the moves' second frame
	wanted("first picture", 0, 4)
	ticks(t, c, 18)
	wanted("second picture", 1, 4, 5)
	c.Paint(4, 4, 0)
	c.Paint(2, 2, 1)
	tick(t, c)
	wanted("painted", 1, 2, 5)
	c.Unpaint()
	c.playing = false
	at := c.clock
	if err := c.Set(design.Change{Key: "supply.voltage", Value: "7 V"}); err != nil {
		t.Fatal(err)
	}
	settle(t, c)
	tick(t, c)
	if !seven.Load() || c.Design().Supply.Voltage != 7 {
		t.Errorf("the moves are planned for the 7 V: %v, the display has %g", seven.Load(), c.Design().Supply.Voltage)
	}
	wanted("planned anew", 2)
	if c.clock != at {
		t.Errorf("the clock went from %g to %g s", at, c.clock)
	}
}
