package scope

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sort"

	"lodegrid/scenes/player"
)

// past keeps how the display was, so that its clock can be put back with fluid and heat:
// the newest of what was played, one instant to each stretch of the scene.
type past struct {
	stretch  float64    // s
	instants []*instant // nil where there is none
	bytes    int        // all of them
	last     int        // stretch that the clock was in, −1 for none
}

// instant is the display at one time of the scene.
type instant struct {
	clock   float64 // s
	frame   int
	entry   player.Entry
	totals  totals
	history History
	moment  *player.Moment
}

// The most memory that a past takes, bytes, and the shortest of its stretches, s.
const (
	mostPast     = 192 << 20
	mostPastWeb  = 48 << 20
	leastStretch = 0.25
	mostInstants = 240
)

func pastRoom() int {
	if runtime.GOOS == "js" {
		return mostPastWeb
	}
	return mostPast
}

func newPast(length float64) past {
	stretch := max(leastStretch, length/mostInstants)
	return past{stretch: stretch, instants: make([]*instant, int(length/stretch)+1), last: -1}
}

// of is the stretch that a time of the scene lies in.
func (p *past) of(clock float64) int {
	return min(max(int((clock+shortest/2)/p.stretch), 0), len(p.instants)-1)
}

// before is the last instant that is not after a time, nil for none.
func (p *past) before(clock float64) *instant {
	for k := p.of(clock); k >= 0; k-- {
		if i := p.instants[k]; i != nil && i.clock <= clock+shortest {
			return i
		}
	}
	return nil
}

// keep takes an instant, and makes room by longer stretches where it has to.
func (p *past) keep(i *instant, room int) {
	k := p.of(i.clock)
	if old := p.instants[k]; old != nil {
		p.bytes -= old.moment.Bytes()
	}
	p.instants[k] = i
	p.bytes += i.moment.Bytes()
	for p.bytes > room && len(p.instants) > 1 {
		half := make([]*instant, (len(p.instants)+1)/2)
		p.stretch *= 2
		p.bytes = 0
		for k, i := range p.instants {
			// The earlier of two serves for both.
			if i != nil && half[k/2] == nil {
				half[k/2] = i
				p.bytes += i.moment.Bytes()
			}
		}
		p.instants = half
		p.last /= 2
	}
}

// remember keeps the present when the clock has come into another stretch.
func (c *Scope) remember() {
	k := c.past.of(c.clock)
	if k == c.past.last {
		return
	}
	c.past.last = k
	i := &instant{clock: c.clock, frame: c.frame, entry: c.entry, totals: c.totals, history: c.history, moment: c.live.Moment(c.tank)}
	i.entry.Failing = append([]int(nil), c.entry.Failing...)
	i.entry.FalseOn = append([]int(nil), c.entry.FalseOn...)
	c.past.keep(i, pastRoom())
	c.kept = c.past.lengths(c.kept[:0])
}

// lengths are the starts of the stretches that there is an instant of, s.
func (p *past) lengths(to []float64) []float64 {
	for _, i := range p.instants {
		if i != nil {
			to = append(to, i.clock)
		}
	}
	return to
}

// forget begins a past anew: what was played before is of another display, or of another
// heat.
func (c *Scope) forget() {
	c.past = newPast(c.Length())
	c.kept = c.kept[:0]
}

// Seek puts the scene's clock to a time in seconds, with fluid and heat as they were when
// it was played. Ticks compute what lies between the last instant kept and that time, or
// between the present and a time not yet played; see Seeking.
func (c *Scope) Seek(t float64) {
	c.target = min(max(t, 0), c.Length())
	c.pauseAt = math.Inf(1)
	c.owed = 0
	c.version++
}

// Seeking tells whether what is shown is on its way to the time sought.
func (c *View) Seeking() bool { return !math.IsNaN(c.target) }

// Halt ends a search where it is.
func (c *Scope) Halt() {
	if c.Seeking() {
		c.target = math.NaN()
		c.version++
	}
}

// Progress says what is being computed while Seeking.
func (c *View) Progress() string {
	return fmt.Sprintf("recomputing from %.1f s to %.1f s", c.clock, c.target)
}

// travel goes on to the time sought, by a tick at most.
func (c *Scope) travel() error {
	if i := c.past.before(c.target); i != nil && (c.clock > c.target+shortest || i.clock > c.clock+shortest) {
		if err := c.live.Resume(c.tank, i.moment); err != nil {
			return err
		}
		c.clock, c.frame, c.entry, c.totals, c.history = i.clock, i.frame, i.entry, i.totals, i.history
		c.past.last = c.past.of(c.clock)
		clear(c.traces.most)
		copy(c.levels, i.moment.Levels)
		c.version++
		c.refer()
	} else if i == nil && c.clock > c.target {
		c.jump(c.target)
		c.Tell("nothing before is of this display: heat and fluid go on from where they are", false)
		return nil
	}
	dt := min(c.target-c.clock, c.starts[c.frame+1]-c.clock, 1.0/TicksPerSecond)
	if dt > shortest {
		c.remember()
		if err := c.step(dt); err != nil {
			return err
		}
		c.clock += dt
		for c.frame+1 < len(c.scene.Frames) && c.starts[c.frame+1]-c.clock < shortest/2 {
			c.frame++
		}
	} else if dt < c.target-c.clock {
		c.clock = c.starts[c.frame+1]
		c.frame = min(c.frame+1, len(c.scene.Frames)-1)
	}
	if c.target-c.clock <= shortest {
		before := append([]float64(nil), c.levels...)
		c.frame = c.frameAt(c.target)
		c.clock, c.target = max(c.target, c.starts[c.frame]), math.NaN()
		c.mix()
		c.unseen = !slices.Equal(before, c.levels)
		c.version++
	}
	return nil
}

// frameAt is the frame that stands at a time of the scene.
func (c *View) frameAt(t float64) int {
	return min(max(sort.SearchFloat64s(c.starts, t+shortest)-1, 0), len(c.scene.Frames)-1)
}

// jump puts the clock to a time while heat and fluid go on from where they are.
func (c *Scope) jump(t float64) {
	c.frame = c.frameAt(t)
	c.clock = max(t, c.starts[c.frame])
	c.pauseAt, c.target, c.past.last = math.Inf(1), math.NaN(), -1
	c.owed = 0
	c.remix()
}
