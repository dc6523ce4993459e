package scope

import (
	"context"
	"fmt"
	"runtime/debug"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// tuning is the design that was opened, what the sliders changed about it, and the
// computation that follows behind on a goroutine of its own.
type tuning struct {
	base    design.Design
	moved   []bool // per control
	retune  bool   // sliders moved since the last computation began
	load    Loader // a file that waits to be opened, nil for none
	running bool
	done    chan outcome // holds one
}

// Loader reads a design and a scene for it, or with a nil design a scene for the
// present one. It runs beside the window, on another goroutine.
type Loader func() (*design.Design, scenes.Scene, error)

// outcome is what a computation made.
type outcome struct {
	display *display       // nil to keep the present one
	base    *design.Design // of an opened file, nil to keep the present one
	scene   *scenes.Scene  // of an opened file, nil to keep the present one
	err     error
}

// start begins with a design as it was opened.
func (c *Scope) start(d design.Design) {
	t := &c.tuning
	t.base = d
	c.controls = controls(d)
	t.moved = make([]bool, len(c.controls))
	if t.done == nil {
		t.done = make(chan outcome, 1)
	}
}

// Controls are the design's sliders, for reading.
func (c *View) Controls() []Control { return c.controls }

// SetControl moves a slider to a share 0…1 of its way. The display follows once it
// is computed; see Stale.
func (c *Scope) SetControl(i int, share float64) {
	t := &c.tuning
	if c.controls[i].Off != "" {
		return
	}
	before := c.controls[i].Value
	if c.controls[i].at(share); c.controls[i].Value != before {
		t.moved[i], t.retune = true, true
	}
}

// Untune puts every slider back to the value of the design as it was opened.
func (c *Scope) Untune() {
	if c.Tuned() {
		c.start(c.tuning.base)
		c.tuning.retune = true
	}
}

// Tuned reports whether a slider was moved.
func (c *Scope) Tuned() bool {
	for _, m := range c.tuning.moved {
		if m {
			return true
		}
	}
	return false
}

// Open loads a file in the background and shows what it holds once it is ready.
func (c *Scope) Open(load Loader) { c.tuning.load = load }

// Stale is View.Stale at this moment.
func (c *Scope) Stale() bool { return c.tuning.running || c.tuning.retune || c.tuning.load != nil }

// Problem says in words why what was asked for last is not shown; empty when it is.
func (c *View) Problem() string { return c.problem }

// changes are the sliders that were moved, as changes of the design.
func (c *Scope) changes() []design.Change {
	var list []design.Change
	for i, m := range c.tuning.moved {
		if m {
			list = append(list, c.controls[i].change())
		}
	}
	return list
}

// poll takes over a finished computation and starts the next.
func (c *Scope) poll() (changed bool, err error) {
	t := &c.tuning
	select {
	case o := <-t.done:
		t.running = false
		c.version++
		if err := c.take(o); err != nil {
			return true, err
		}
		changed = true
	default:
	}
	switch {
	case t.running:
	case t.load != nil:
		t.running = true
		go compute(t.done, load(c.ctx, t.load))
		t.load = nil
	case t.retune:
		t.running, t.retune = true, false
		go compute(t.done, tune(c.ctx, t.base, c.changes(), c.scene))
	}
	return changed, nil
}

// take shows what a computation made, or says why it made nothing.
func (c *Scope) take(o outcome) error {
	if o.err != nil {
		c.problem = o.err.Error()
		return nil
	}
	c.problem = ""
	switch {
	case o.base != nil:
		c.start(*o.base)
		c.tuning.retune = false
		c.show(o.display, *o.scene)
		c.history = History{}
	case o.scene != nil:
		d := c.grid.Design.Grid
		if o.scene.Rows != d.Rows || o.scene.Cols != d.Cols {
			c.problem = fmt.Sprintf("the scene is for %d × %d pixels, the grid has %d × %d by now; open it again", o.scene.Cols, o.scene.Rows, d.Cols, d.Rows)
			return nil
		}
		c.play(*o.scene)
		if _, err := c.tank.Refill(c.scene); err != nil {
			return err
		}
		c.totals = totals{}
		c.remix()
	default:
		if err := o.display.inherit(c.display); err != nil {
			return err
		}
		clock := c.clock
		c.show(o.display, c.scene)
		c.jump(clock)
	}
	return nil
}

// tune computes the design with the sliders' changes.
func tune(ctx context.Context, base design.Design, changes []design.Change, s scenes.Scene) func() outcome {
	return func() (o outcome) {
		var d design.Design
		if d, o.err = base.With(changes...); o.err == nil {
			o.display, o.err = build(ctx, d, s)
		}
		return o
	}
}

// load computes what a file holds.
func load(ctx context.Context, read Loader) func() outcome {
	return func() (o outcome) {
		d, s, err := read()
		switch {
		case err != nil:
			o.err = err
		case d == nil:
			o.scene, o.err = &s, s.Validate()
		default:
			o.base, o.scene = d, &s
			o.display, o.err = build(ctx, *d, s)
		}
		return o
	}
}

// compute makes an outcome and sends it, whatever happens.
func compute(done chan<- outcome, make func() outcome) {
	var o outcome
	defer func() {
		if r := recover(); r != nil {
			o = outcome{err: fmt.Errorf("computing the display failed: %v\n%s", r, debug.Stack())}
		}
		done <- o
	}()
	o = make()
}
