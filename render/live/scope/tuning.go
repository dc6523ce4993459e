package scope

import (
	"context"
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// tuning is the design that was opened, what was changed about it, and the computation that
// follows behind on a goroutine of its own.
type tuning struct {
	base    design.Design
	model   Model           // that was asked for
	set     []design.Change // by sliders and otherwise, each key once
	retune  bool            // it changed since the last computation began
	scenes  Scenes          // nil for none
	alien   bool            // the scene shown was opened by itself
	opened  int             // files
	load    Loader          // a file that waits to be opened, nil for none
	running bool
	done    chan outcome // holds one
}

// Loader reads a design and a scene for it, or with a nil design a scene for the
// present one. It runs beside the window, on another goroutine.
type Loader func() (*design.Design, Pictures, error)

// outcome is what a computation made.
type outcome struct {
	display *display       // nil to keep the present one
	base    *design.Design // of an opened file, nil to keep the present one
	scene   *Pictures      // of an opened file or another design, nil to keep the present one
	anew    bool           // it begins at its start
	err     error
}

// start begins with a design as it was opened.
func (c *Scope) start(d design.Design) {
	t := &c.tuning
	t.base = d
	c.controls = controls(d)
	t.set = nil
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
		t.change(c.controls[i].change())
	}
}

// change makes a change that is to be computed.
func (t *tuning) change(n design.Change) {
	t.set = append(slices.DeleteFunc(slices.Clone(t.set), func(o design.Change) bool { return o.Key == n.Key }), n)
	t.retune = true
}

// Set changes keys of the design, written as in the design file. The display follows
// once it is computed; see Stale. The error says what of it cannot be, and nothing is
// changed then.
func (c *Scope) Set(changes ...design.Change) error {
	t := &c.tuning
	before, retune := t.set, t.retune
	for _, n := range changes {
		t.change(n)
	}
	d, err := t.base.With(t.set...)
	if err != nil {
		t.set, t.retune = before, retune
		return err
	}
	c.controls = controls(d) // of another magnet or steel, too
	return nil
}

// SetNow is Set with no other changes left and the display computed before it returns.
func (c *Scope) SetNow(changes ...design.Change) error {
	t := &c.tuning
	before := t.set
	t.set = nil
	err := c.Set(changes...)
	if err == nil {
		t.retune = false
		done := make(chan outcome, 1)
		compute(done, c.tune())
		o := <-done
		if err = o.err; err == nil {
			return c.take(o)
		}
	}
	t.set, c.controls = before, controls(c.grid.Design)
	return err
}

// Scenes makes the scene that goes with a design.
type Scenes func(ctx context.Context, d design.Design) (Pictures, error)

// SetScenes tells where scenes come from when a change of the design asks for another.
func (c *Scope) SetScenes(s Scenes) { c.tuning.scenes = s }

// Untune puts every slider back to the value of the design as it was opened.
func (c *Scope) Untune() {
	if c.Tuned() {
		c.start(c.tuning.base)
		c.tuning.retune = true
	}
}

// Tuned reports whether the design was changed.
func (c *Scope) Tuned() bool {
	return len(c.tuning.set) > 0
}

// Open loads a file in the background and shows what it holds once it is ready.
func (c *Scope) Open(load Loader) { c.tuning.load = load }

// Await is Open of what is shown from the beginning: until then nothing is played or judged.
func (c *Scope) Await(load Loader) {
	c.Open(load)
	c.playing = false
	c.StopJudging()
	c.judge.done = nil
	c.judged, c.known = noVerdict("the moves are not planned"), true
}

// Stale is View.Stale at this moment.
func (c *Scope) Stale() bool { return c.tuning.running || c.tuning.retune || c.tuning.load != nil }

// Changes are what differs from the design as it was opened.
func (c *View) Changes() []design.Change { return c.changes }

// Opened is how many files were opened so far, and whether the scene shown is one that was
// opened by itself: it stays whatever the design says.
func (c *View) Opened() (n int, alone bool) { return c.opened, c.alone }

// Base is the design as it was opened.
func (c *View) Base() design.Design { return c.base }

// Reopen takes what is shown as a design with changes, and the scene perhaps as one that was
// opened by itself.
func (c *Scope) Reopen(base design.Design, set []design.Change, alone bool) {
	c.tuning.base, c.tuning.set, c.tuning.alien = base, set, alone
}

// Problem says in words why what was asked for last is not shown; empty when it is.
func (c *View) Problem() string { return c.problem }

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
		go compute(t.done, load(c.ctx, t.load, t.model))
		t.load = nil
	case t.retune:
		t.running, t.retune = true, false
		go compute(t.done, c.tune())
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
		c.tuning.alien = false
		c.tuning.opened++
		c.tuning.retune = false
		c.show(o.display, *o.scene)
		c.history = History{}
		c.untrace()
	case o.display != nil && o.anew:
		c.show(o.display, *o.scene)
	case o.display == nil:
		d := c.grid.Design.Grid
		if o.scene.Rows != d.Rows || o.scene.Cols != d.Cols {
			c.problem = fmt.Sprintf("the scene is for %d × %d pixels, the grid has %d × %d by now; open it again", o.scene.Cols, o.scene.Rows, d.Cols, d.Rows)
			return nil
		}
		c.tuning.alien = true
		c.tuning.opened++
		c.play(*o.scene)
		if _, err := c.tank.Refill(c.scene.Scene); err != nil {
			return err
		}
		c.totals = totals{}
		c.remix()
	default:
		o.display.inherit(c.display)
		clock, s := c.Clock(), c.scene
		if o.scene != nil {
			s = *o.scene
		}
		c.show(o.display, s)
		c.jump(min(clock, c.Length()))
	}
	return nil
}

// tune computes the design with what was changed. A scene of its own follows where the
// grid or the scene's keys changed.
func (c *Scope) tune() func() outcome {
	t, shown, s := c.tuning, c.grid.Design, c.scene
	inner := c.ctx
	return func() (o outcome) {
		ctx := Breathe(inner)
		d, err := t.base.With(t.set...)
		o.anew = err == nil && t.scenes != nil && !t.alien && (d.Grid.Rows != s.Rows || d.Grid.Cols != s.Cols || d.Scene != shown.Scene)
		switch {
		case o.anew:
			s, err = t.scenes(ctx, d)
			o.scene = &s
		case err == nil && s.Plan != nil: // moves are planned for a design
			var wanted scenes.Scene
			_, s.Scene, wanted, err = s.Plan(ctx, d)
			s.Wanted, o.scene = &wanted, &s
		}
		if o.err = err; err == nil {
			o.display, o.err = build(ctx, d, s.Scene, t.model)
		}
		return o
	}
}

// load computes what a file holds.
func load(inner context.Context, read Loader, m Model) func() outcome {
	return func() (o outcome) {
		ctx := Breathe(inner)
		d, s, err := read()
		switch {
		case err != nil:
			o.err = err
		case d == nil:
			o.scene, o.err = &s, s.Validate()
		default:
			o.base, o.scene = d, &s
			o.display, o.err = build(ctx, *d, s.Scene, m)
		}
		return o
	}
}

// compute makes an outcome and sends it, whatever happens.
func compute(done chan<- outcome, make func() outcome) {
	var o outcome
	defer func() {
		if r := recover(); r != nil {
			o = outcome{err: fmt.Errorf("computing the display failed: %v", r)}
		}
		done <- o
	}()
	o = make()
}
