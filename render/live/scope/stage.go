package scope

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"time"
)

// Stage plays a scope beside whoever draws it. All but Play are for the goroutine that
// draws, which owns the view it gets; the scope is touched by the simulation alone, and by
// what Do hands to it.
type Stage struct {
	scope *Scope

	mu     sync.Mutex
	beside bool // Play was called
	asked  []func(*Scope)
	due    int           // ticks that are to be played
	wake   chan struct{} // holds one
	ready  *View         // the newest
	fresh  bool          // nobody has taken it

	front *View // taken by Look
	back  *View // being written
	pace  pace
}

// mostDue is how many ticks may wait: after a hitch they are made up for, a simulation that
// is too slow falls behind.
const mostDue = 6

// longestSearch is how much of a pulse a search for a time takes in the drawing's loop.
const longestSearch = 20 * time.Millisecond

// NewStage puts a scope on a stage. Until Play is called, Pulse does the simulation's work
// itself.
func NewStage(c *Scope) *Stage {
	s := &Stage{scope: c, wake: make(chan struct{}, 1), front: &View{}, ready: &View{}, back: &View{}}
	c.Copy(s.front)
	s.front.rate = math.NaN()
	return s
}

// Play moves the simulation to a goroutine of its own until the scope's context is done. A
// browser has one thread for all, which the simulation shares with the drawing.
func (s *Stage) Play() {
	if runtime.GOOS == "js" {
		return
	}
	s.beside = true
	go s.play()
}

// Do lets the simulation do something between two ticks. Without Play it is done at once.
func (s *Stage) Do(what func(*Scope)) {
	if !s.beside {
		s.try(what)
		s.show()
		return
	}
	s.mu.Lock()
	s.asked = append(s.asked, what)
	s.mu.Unlock()
	s.rouse()
}

// Pulse tells the simulation that the time of a tick has passed on the wall.
func (s *Stage) Pulse() {
	if !s.beside {
		changed := s.tick()
		for end := time.Now().Add(longestSearch); s.scope.Seeking() && time.Now().Before(end); {
			s.tick()
		}
		if changed {
			s.show()
		}
		return
	}
	s.mu.Lock()
	s.due = min(s.due+1, mostDue)
	s.mu.Unlock()
	s.rouse()
}

func (s *Stage) rouse() {
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// Reach plays to a time of the scene in seconds, at most its length, as fast as it goes and
// before it returns; not after Play. step is called for each tick.
func (s *Stage) Reach(ctx context.Context, t float64, step func()) error {
	s.scope.Seek(t)
	for s.scope.Seeking() {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("playing to %g s: %w", t, err)
		}
		s.tick()
		step()
	}
	s.show()
	return nil
}

// Look is the newest view. It does not change before the next Look.
func (s *Stage) Look() *View {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fresh {
		s.front, s.ready, s.fresh = s.ready, s.front, false
	}
	return s.front
}

// show makes what the simulation has come to the newest view.
func (s *Stage) show() {
	s.scope.Copy(s.back)
	s.back.rate = s.pace.rate
	s.mu.Lock()
	s.back, s.ready, s.fresh = s.ready, s.back, true
	s.mu.Unlock()
}

// play is the simulation's goroutine.
func (s *Stage) play() {
	for shown := true; ; {
		s.mu.Lock()
		asked, due, taken := s.asked, s.due > 0 || s.scope.Seeking(), !s.fresh
		s.asked = nil
		s.due = max(s.due-1, 0)
		s.mu.Unlock()
		for _, what := range asked {
			s.try(what)
		}
		if due && s.tick() || len(asked) > 0 {
			shown = false
		}
		// A view that nobody looked at is not made anew before there is time for it.
		if !shown && (taken || !due) {
			s.show()
			shown = true
		}
		if due || len(asked) > 0 {
			continue
		}
		select {
		case <-s.wake:
		case <-s.scope.ctx.Done():
			return
		}
	}
}

// tick plays a tick and reports whether anything changed.
func (s *Stage) tick() (changed bool) {
	version := s.scope.version
	s.try(func(c *Scope) {
		before := c.played
		var err error
		if changed, err = c.Tick(); err != nil {
			c.failure = err.Error()
		}
		s.pace.add(c.played-before, c.playing && !c.Seeking(), time.Now())
	})
	return changed || s.scope.version != version
}

// try has the scope do something. Should it panic, the play stops and the view says so.
func (s *Stage) try(what func(*Scope)) {
	defer func() {
		if r := recover(); r != nil {
			s.scope.playing, s.scope.failure = false, fmt.Sprintf("the simulation failed: %v", r)
			s.scope.version++
		}
	}()
	what(s.scope)
}

// pace is how fast a simulation comes on.
type pace struct {
	rate   float64   // see View.Rate
	since  time.Time // zero while it stands
	played float64   // s of the scene since then
}

// paceTime is how long the rate is measured over.
const paceTime = time.Second

func (p *pace) add(played float64, playing bool, now time.Time) {
	switch {
	case !playing:
		*p = pace{rate: math.NaN()}
	case p.since.IsZero():
		*p = pace{rate: math.NaN(), since: now}
	default:
		p.played += played
		if d := now.Sub(p.since); d >= paceTime {
			*p = pace{rate: p.played / d.Seconds(), since: now}
		}
	}
}
