package scope

import (
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// View is what is to be seen of a display at one moment. A Scope's own one follows its
// simulation; Copy makes one that stands still.
type View struct {
	*panel
	scene  Pictures
	starts []float64 // s, of each frame and, last, the scene's end
	lit    []float64 // mean of the levels' magnitudes in each frame

	playing bool
	loop    bool
	speed   int     // index into speeds
	clock   float64 // s into the scene
	frame   int
	target  float64   // s, the clock that is sought; NaN for none
	kept    []float64 // s, see past.lengths

	levels  []float64
	hands   []float64 // painted levels, NaN where the scene decides
	entry   player.Entry
	totals  totals
	history History
	probing []Probe
	version int // counts what a picture depends on
	lens    *lens

	plane  *grid.Plane
	sums   int       // counts the fields computed
	fluid  []float64 // share of each of the tank's cells
	holds  []float64
	coils  []float64 // K
	pixels []drive.PixelState
	states []grid.State
	wanted []grid.State // what is to be seen, painted pixels included
	want   int          // how many of them are to be lit
	shown  int          // of those, the ones that the fluid is on

	controls []Control
	base     design.Design   // as it was opened
	changes  []design.Change // of it
	opened   int             // files
	alone    bool            // the scene was opened by itself
	stale    bool
	note     note
	failure  string  // why the play stopped
	rate     float64 // seconds of the scene per second on the wall of late, NaN while not known
	problem  string
	judged   judged
	judging  string
	known    bool // judged is of the present display and scene
}

// lens is how a view is looked at: it belongs to whoever draws, not to the simulation.
type lens struct {
	overlay Overlay
	panel   *panel            // that tops are of
	tops    [overlays]float64 // largest magnitude each overlay has shown
	outline bool              // of the pixels that are to hold fluid
}

// refer lets the view see what the simulation has come to.
func (c *Scope) refer() {
	p := c.player.Plane()
	if n := c.live.Sums(); n != c.summed || p != c.plane || c.grid.Design.Drive.Mode == design.DriveKick {
		c.summed = n
		c.sums++
	}
	c.plane, c.holds, c.coils = p, c.player.Holds(), c.player.Coils()
	if !c.quick { // drops are drawn when they are looked at
		c.fluid = c.tank.Fraction()
	}
	c.pixels, c.states, c.hands = c.player.Pixels(), c.player.States(), c.canvas.levels
	c.wanted = append(c.wanted[:0], c.states...)
	if w := c.scene.Wanted; w != nil {
		for i, v := range w.Frames[max(w.At(c.clock+shortest), 0)].Levels {
			if c.hands[i] != c.hands[i] {
				c.wanted[i] = c.grid.StateOf(v)
			}
		}
	}
}

// Copy makes to a view that does not change while the simulation goes on. It uses to's
// memory where it can.
func (c *Scope) Copy(to *View) {
	c.stale, c.base, c.changes = c.Stale(), c.tuning.base, c.tuning.set
	c.opened, c.alone = c.tuning.opened, c.tuning.alien
	c.count(c.wanted)
	if c.quick {
		c.fluid = c.tank.Fraction()
	}
	old := *to
	*to = c.View
	to.levels = append(old.levels[:0], c.levels...)
	to.hands = append(old.hands[:0], c.hands...)
	to.fluid = append(old.fluid[:0], c.fluid...)
	to.kept = append(old.kept[:0], c.kept...)
	to.holds = append(old.holds[:0], c.holds...)
	to.coils = append(old.coils[:0], c.coils...)
	to.pixels = append(old.pixels[:0], c.pixels...)
	to.states = append(old.states[:0], c.states...)
	to.wanted = append(old.wanted[:0], c.wanted...)
	to.controls = append(old.controls[:0], c.controls...)
	to.probing = c.probes(old.probing)
	to.entry.Failing = append(old.entry.Failing[:0], c.entry.Failing...)
	to.entry.FalseOn = append(old.entry.FalseOn[:0], c.entry.FalseOn...)
	to.plane = old.plane
	if to.plane == nil || old.panel != c.panel {
		to.plane = grid.NewPlane(c.grid.Raster)
	} else if old.sums == c.sums {
		return
	}
	copy(to.plane.Bx, c.plane.Bx)
	copy(to.plane.By, c.plane.By)
	copy(to.plane.Bz, c.plane.Bz)
	copy(to.plane.Abs, c.plane.Abs)
	copy(to.plane.Pi, c.plane.Pi)
}

// count counts the pixels that states call lit, and of these the ones that the fluid is on.
func (c *Scope) count(states []grid.State) {
	c.covered = slices.Grow(c.covered[:0], len(states))[:len(states)]
	c.tank.Cover(c.covered, nil)
	c.shown, c.want = 0, 0
	for i, s := range states {
		if s == grid.Lit {
			c.want++
			if c.covered[i] >= shown.Full {
				c.shown++
			}
		}
	}
}

// Stale reports whether a computation is under way, so that what is shown is not yet
// what was asked for.
func (c *View) Stale() bool { return c.stale }

// Failure says why the simulation stopped, such as a coil that runs away; empty when it
// did not.
func (c *View) Failure() string { return c.failure }

// Rate is how many seconds of the scene have passed in a second on the wall of late, NaN
// while that is not known.
func (c *View) Rate() float64 { return c.rate }

// note is what became of something that the simulation was to do.
type note struct {
	words string
	wrong bool
	n     int // counts them
}

// Tell leaves word of what became of something.
func (c *Scope) Tell(words string, wrong bool) { c.note = note{words, wrong, c.note.n + 1} }

// Note is what was told last, wrong when something failed, and the number of it.
func (c *View) Note() (words string, wrong bool, n int) { return c.note.words, c.note.wrong, c.note.n }
