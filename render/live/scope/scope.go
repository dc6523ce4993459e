package scope

import (
	"fmt"
	"math"
	"sort"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// TicksPerSecond is the number of ticks in a second at speed 1. The simulation
// moves on by ticks, never by a clock on the wall, so that what it shows can be
// shown again.
const TicksPerSecond = 60

// Shortest time in seconds the simulation is stepped by; what is less is owed to
// the next tick.
const shortest = 1e-4

// Scope is a display being played. It is not safe for concurrent use.
type Scope struct {
	scene  scenes.Scene
	grid   *array.Grid
	player *player.Player
	basin  *player.Basin

	starts []float64 // s, of each frame and, last, the scene's end
	clock  float64   // s into the scene
	frame  int
	owed   float64 // s of simulation not yet done
	ended  bool    // the scene is over and does not repeat

	Playing bool
	Loop    bool
	speed   float64
	pauseAt float64 // s of clock at which a single step ends; NaN for none

	levels []float64
	paint  []float64 // NaN where the scene decides

	entry   player.Entry
	meters  running
	changes int // counts what a picture depends on
}

// New builds a display at rest with a scene ready to play. A scene that does not
// fit the design's grid is an error.
func New(d design.Design, s scenes.Scene) (*Scope, error) {
	g, err := array.Build(d, 0)
	if err != nil {
		return nil, err
	}
	return newScope(g, s)
}

func newScope(g *array.Grid, s scenes.Scene) (*Scope, error) {
	d := g.Design.Grid
	if s.Rows != d.Rows || s.Cols != d.Cols {
		return nil, fmt.Errorf("scene %q is for %d × %d pixels, the grid has %d × %d", s.Name, s.Cols, s.Rows, d.Cols, d.Rows)
	}
	if err := s.Validate(); err != nil {
		return nil, err
	}
	p, err := player.New(g)
	if err != nil {
		return nil, err
	}
	b, err := player.NewBasin(g)
	if err != nil {
		return nil, err
	}
	if _, err := b.FillFor(s); err != nil {
		return nil, err
	}
	n := g.Design.Pixels()
	c := &Scope{
		grid: g, player: p, basin: b, Playing: true, Loop: true, speed: 1, pauseAt: math.NaN(),
		levels: make([]float64, n), paint: make([]float64, n),
	}
	for i := range c.paint {
		c.paint[i] = math.NaN()
	}
	c.setScene(s)
	return c, nil
}

func (c *Scope) setScene(s scenes.Scene) {
	c.scene = s
	c.starts = make([]float64, len(s.Frames)+1)
	for i, f := range s.Frames {
		c.starts[i+1] = c.starts[i] + f.Duration
	}
	c.clock, c.frame, c.owed, c.ended = 0, 0, 0, false
}

// Length is the scene's length in seconds.
func (c *Scope) Length() float64 { return c.starts[len(c.starts)-1] }

// Clock is the time into the scene in seconds.
func (c *Scope) Clock() float64 { return c.clock }

// Tick moves the simulation on by one tick when it plays. It reports whether
// anything changed. An error, such as a coil that runs away, stops the play.
func (c *Scope) Tick() (bool, error) {
	if !c.Playing {
		return false, nil
	}
	c.owed += c.speed / TicksPerSecond
	changed := false
	for c.owed > shortest {
		end := c.starts[c.frame+1]
		dt := min(c.owed, end-c.clock)
		if end-c.clock-dt < shortest {
			dt = end - c.clock
		}
		if err := c.step(dt); err != nil {
			c.Playing, c.owed = false, 0
			return true, err
		}
		changed = true
		c.owed -= dt
		c.forward(dt)
		if !c.Playing {
			c.owed = 0
		}
	}
	return changed, nil
}

// forward moves the clock, into the next frame, round the loop or to a stop.
func (c *Scope) forward(dt float64) {
	c.clock += dt
	if c.starts[c.frame+1]-c.clock >= shortest/2 {
		return
	}
	c.clock = c.starts[c.frame+1]
	if c.clock >= c.pauseAt {
		c.Playing, c.pauseAt = false, math.NaN()
	}
	c.frame++
	if c.frame < len(c.scene.Frames) {
		return
	}
	c.frame = 0
	c.clock = 0
	if !c.Loop {
		c.frame, c.clock = len(c.scene.Frames)-1, c.starts[len(c.scene.Frames)-1]
		c.Playing = false
	}
}

// step plays the present levels for dt seconds.
func (c *Scope) step(dt float64) error {
	c.mix()
	e, err := c.player.Show(scenes.Frame{Levels: c.levels, Duration: dt})
	if err != nil {
		return err
	}
	c.entry = e
	c.meters.add(e, dt)
	c.changes++
	return c.basin.Step(dt, c.player.Plane())
}

// mix lays what was painted over the scene's frame.
func (c *Scope) mix() {
	copy(c.levels, c.scene.Frames[c.frame].Levels)
	for i, v := range c.paint {
		if v == v {
			c.levels[i] = v
		}
	}
}

// Seek puts the scene's clock to a time. Heat and fluid go on from where they are.
func (c *Scope) Seek(t float64) {
	t = min(max(t, 0), c.Length())
	c.frame = min(max(sort.SearchFloat64s(c.starts, t+shortest)-1, 0), len(c.scene.Frames)-1)
	c.clock = max(t, c.starts[c.frame])
	c.pauseAt = math.NaN()
	c.changes++
}

// StepFrame plays to the end of the present frame and stops there.
func (c *Scope) StepFrame() {
	c.pauseAt = c.starts[c.frame+1]
	c.Playing = true
}

// Toggle plays or pauses.
func (c *Scope) Toggle() { c.Playing, c.pauseAt = !c.Playing, math.NaN() }

// Paint sets a pixel's level by hand until Unpaint. A negative level needs a bridge
// that can reverse the current and is taken as 0 without one.
func (c *Scope) Paint(pixel int, level float64) {
	if c.grid.Design.Drive.Bridge != design.BridgeFull {
		level = max(level, 0)
	}
	if c.paint[pixel] != level {
		c.paint[pixel] = level
		c.changes++
	}
}

// Unpaint gives all pixels back to the scene.
func (c *Scope) Unpaint() {
	for i := range c.paint {
		c.paint[i] = math.NaN()
	}
	c.changes++
}

// Ratio is the tank's width over its height.
func (c *Scope) Ratio() float64 {
	return float64(c.grid.Raster.Cols) / float64(c.grid.Raster.Rows)
}
