package scope

import (
	"context"
	"math"

	"lodegrid/array/design"
	"lodegrid/scenes/player"
)

// TicksPerSecond is the number of ticks in a second at speed 1. The simulation
// moves on by ticks, never by a clock on the wall, so that what it shows can be
// shown again.
const TicksPerSecond = 60

// Shortest time in seconds the simulation is stepped by; what is less is owed to
// the next tick.
const shortest = 1e-4

// maxPieces bounds how many frames of a scene one tick plays; at high speeds, frames
// beyond it are skipped.
const maxPieces = 8

// Scope is a display being played. It is not safe for concurrent use.
type Scope struct {
	ctx context.Context // of what runs in the background
	end context.CancelFunc

	View
	*display
	owed    float64 // s of simulation not yet done
	played  float64 // s, all that was simulated
	pauseAt float64 // s of clock at which a single step ends; +Inf for none

	past    past
	traces  traces
	probed  []int // pixels with a probe
	canvas  canvas
	tuning  tuning
	judge   judge
	summed  int       // player.Live.Sums of the plane seen last
	covered []float64 // scratch
	unseen  bool      // levels have changed since field and hold were computed
}

// New builds a display at rest with a scene ready to play. A scene that does not
// fit the design's grid is an error. What runs in the background ends with ctx.
func New(ctx context.Context, d design.Design, s Pictures, m Model) (*Scope, error) {
	v, err := build(ctx, d, s.Scene, m)
	if err != nil {
		return nil, err
	}
	c := &Scope{View: View{playing: true, loop: true, speed: usualSpeed, lens: &lens{}}}
	c.ctx, c.end = context.WithCancel(ctx)
	c.tuning.model = m
	c.start(d)
	c.show(v, s)
	return c, nil
}

// show puts a display and a scene in place of what was shown.
func (c *Scope) show(v *display, s Pictures) {
	if n := v.made.grid.Design.Pixels(); n != len(c.levels) {
		c.levels = make([]float64, n)
		c.canvas = newCanvas(n)
		c.probed = nil
	}
	c.display, c.panel = v, v.made
	c.entry = c.unplayed()
	c.totals = totals{}
	c.untrace()
	c.play(s)
	c.remix()
	c.refer()
}

// unplayed is the entry of a display at rest.
func (c *Scope) unplayed() player.Entry {
	ambient := c.grid.Design.Heat.Ambient
	return player.Entry{Hottest: ambient, Touch: ambient, LeastHoldPixel: -1, GreatestFalsePixel: -1}
}

// play puts a scene on, from its start.
func (c *Scope) play(s Pictures) {
	c.scene = s
	c.starts = make([]float64, len(s.Frames)+1)
	c.lit = make([]float64, len(s.Frames))
	for i, f := range s.Frames {
		c.starts[i+1] = c.starts[i] + f.Duration
		for _, v := range f.Levels {
			c.lit[i] += math.Abs(v) / float64(len(f.Levels))
		}
	}
	c.clock, c.frame, c.owed, c.pauseAt, c.target = 0, 0, 0, math.Inf(1), math.NaN()
	c.forget()
	c.rejudge()
}

// Tick moves the simulation on by one tick when it plays, and takes over a finished
// computation. It reports whether anything changed. An error, such as a coil that
// runs away, stops the play.
func (c *Scope) Tick() (changed bool, err error) {
	changed, err = c.poll()
	if err != nil {
		return changed, err
	}
	changed = c.pollVerdict() || changed
	if c.Seeking() {
		if err := c.travel(); err != nil {
			c.playing, c.target = false, math.NaN()
			return true, err
		}
		if c.Seeking() || c.playing {
			return true, nil
		}
		changed = true
	}
	if !c.playing {
		return c.look(changed)
	}
	c.owed += c.Speed() / TicksPerSecond
	for piece := 1; c.owed > shortest; piece++ {
		c.remember()
		end := c.starts[c.frame+1]
		dt := min(c.owed, end-c.clock)
		switch {
		case piece == maxPieces:
			dt = c.owed
		case end-c.clock-dt < shortest:
			dt = end - c.clock
		}
		if err := c.step(dt); err != nil {
			c.playing, c.owed = false, 0
			return true, err
		}
		changed = true
		c.owed -= dt
		c.forward(dt)
		if !c.playing {
			c.owed = 0
		}
	}
	return changed, nil
}

// look computes field and hold for levels that changed while time stands still.
func (c *Scope) look(changed bool) (bool, error) {
	if !c.unseen {
		return changed, nil
	}
	c.unseen = false
	e, err := c.live.Look(c.levels)
	if err != nil {
		return true, err
	}
	c.entry = e
	c.version++
	c.refer()
	return true, nil
}

// step plays the present levels for dt seconds.
func (c *Scope) step(dt float64) error {
	c.mix()
	e, err := c.live.Tick(c.levels, dt)
	if err != nil {
		return err
	}
	c.unseen = false
	c.entry = e
	c.played += dt
	c.totals.add(e, dt)
	c.version++
	err = c.player.Move(0, dt, c.tank.Step)
	c.refer()
	c.trace(c.history.add(e, dt))
	return err
}

// remix is mix after something changed that must be seen.
func (c *Scope) remix() {
	c.mix()
	c.unseen = true
	c.version++
}

// mix lays what was painted over the scene's frame.
func (c *Scope) mix() {
	copy(c.levels, c.scene.Frames[c.frame].Levels)
	for i, v := range c.canvas.levels {
		if v == v {
			c.levels[i] = v
		}
	}
}

// forward moves the clock, over frames, round the loop or to a stop.
func (c *Scope) forward(dt float64) {
	c.clock += dt
	for c.starts[c.frame+1]-c.clock < shortest/2 {
		if c.starts[c.frame+1] >= c.pauseAt {
			c.playing, c.pauseAt = false, math.Inf(1)
			c.clock = c.starts[c.frame+1]
		}
		if c.frame+1 < len(c.scene.Frames) {
			c.frame++
			c.clock = max(c.clock, c.starts[c.frame])
			continue
		}
		if !c.loop {
			c.clock, c.playing = c.Length(), false
			return
		}
		c.frame = 0
		c.clock = max(c.clock-c.Length(), 0)
		if c.clock > c.Length() {
			c.clock = math.Mod(c.clock, c.Length())
		}
	}
}

// Design is the design being shown, changes included.
func (c *View) Design() design.Design { return c.grid.Design }

// Scene is the scene being played.
func (c *View) Scene() Pictures { return c.scene }

// Length is the scene's length in seconds.
func (c *View) Length() float64 { return c.starts[len(c.starts)-1] }

// Clock is the time into the scene in seconds, while Seeking the one that is sought.
func (c *View) Clock() float64 {
	if c.Seeking() {
		return c.target
	}
	return c.clock
}

// Version changes whenever what is seen through the same lens would look different.
func (c *View) Version() int { return c.version }

// Ratio is the tank's width over its height.
func (c *View) Ratio() float64 {
	return float64(c.grid.Raster.Cols) / float64(c.grid.Raster.Rows)
}
