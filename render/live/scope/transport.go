package scope

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/scenes"
)

// speeds are what a second on the wall may be in the scene, in seconds.
var speeds = [...]float64{0.1, 0.25, 0.5, 1, 2, 4, 8}

const usualSpeed = 3

// Playing reports whether ticks move the simulation on.
func (c *View) Playing() bool { return c.playing }

// Toggle plays or pauses. At the end of a scene that does not repeat it starts over.
func (c *Scope) Toggle() {
	c.playing, c.pauseAt, c.failure = !c.playing, math.Inf(1), ""
	if c.playing && c.Clock() >= c.Length()-shortest {
		c.Seek(0)
	}
}

// StepFrame plays to the end of the present frame and pauses there.
func (c *Scope) StepFrame() {
	if c.Clock() >= c.Length()-shortest {
		c.Seek(0)
	}
	c.pauseAt = c.starts[c.frameAt(c.Clock())+1]
	c.playing = true
}

// BackFrame pauses and puts the clock back to the start of the frame, or of the one
// before when it stands there.
func (c *Scope) BackFrame() {
	c.playing = false
	f := c.frameAt(c.Clock())
	if c.Clock()-c.starts[f] < 2.0/TicksPerSecond {
		f--
	}
	if f < 0 {
		f = len(c.scene.Frames) - 1
	}
	c.Seek(c.starts[f])
}

// Loop reports whether the scene repeats.
func (c *View) Loop() bool { return c.loop }

// SetLoop sets whether the scene repeats.
func (c *Scope) SetLoop(on bool) { c.loop = on }

// Speed is how many seconds of the scene pass in one.
func (c *View) Speed() float64 { return speeds[c.speed] }

// SetSpeed takes the least speed that is at least v, or the highest.
func (c *Scope) SetSpeed(v float64) {
	c.speed, _ = slices.BinarySearch(speeds[:len(speeds)-1], v)
}

// Faster takes the next higher speed, or with −1 the next lower one.
func (c *Scope) Faster(by int) { c.speed = min(max(c.speed+by, 0), len(speeds)-1) }

// Rest starts over: the scene at its start, every coil at ambient temperature, the
// tank filled anew, the meters at zero.
func (c *Scope) Rest() error {
	c.player.Reset()
	if _, err := c.tank.Refill(c.scene.Scene); err != nil {
		return err
	}
	c.totals, c.history, c.entry = totals{}, History{}, c.unplayed()
	c.untrace()
	c.failure = ""
	c.forget()
	c.jump(0)
	return nil
}

// Warm puts the heat to where it settles when the scene has been looping for hours.
// When it never settles, the error says so and nothing changes but the temperatures,
// which start at ambient.
func (c *Scope) Warm(ctx context.Context) error {
	if _, err := c.player.Warm(ctx, c.scene.Scene); err != nil {
		c.player.Network().Start(c.grid.Design.Heat.Ambient)
		return fmt.Errorf("warming up: %w", err)
	}
	c.forget()
	c.remix()
	return nil
}

// Refill empties the tank and fills it as the scene's start needs.
func (c *Scope) Refill() error {
	_, err := c.tank.Refill(c.scene.Scene)
	c.version++
	return err
}

// Picture returns the levels shown now, what was painted included, as a scene of
// one frame that stands for a time in seconds.
func (c *View) Picture(seconds float64) scenes.Scene {
	d := c.grid.Design.Grid
	return scenes.Scene{Name: "painted", Rows: d.Rows, Cols: d.Cols, Frames: []scenes.Frame{
		{Levels: append([]float64(nil), c.levels...), Duration: seconds},
	}}
}
