package scope

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"
)

// A simulation beside the drawing comes to the same as one in the drawing's loop.
func TestStageBeside(t *testing.T) {
	var got [2]Meters
	for i := range got {
		s := NewStage(newScope(t, 6, 4))
		if i == 1 {
			s.Play()
		}
		s.Do(func(c *Scope) { c.Paint(0, 8, 1) })
		for n := 1; n <= 50; n++ {
			s.Pulse()
			for s.Look().Clock() < (float64(n)-0.5)/TicksPerSecond {
				time.Sleep(time.Millisecond)
			}
		}
		got[i] = s.Look().Meters()
	}
	if got[0] != got[1] {
		t.Errorf("in the loop and beside it the meters differ:\n%+v\n%+v", got[0], got[1])
	}
	if got[0].Lit < 3 {
		t.Errorf("%d pixels are lit, three were painted", got[0].Lit)
	}
}

// A time that is played to at once shows what it shows when it is played tick by tick.
func TestStageReaches(t *testing.T) {
	ticked, reached := NewStage(newScope(t, 6, 4)), NewStage(newScope(t, 6, 4))
	for range 50 {
		ticked.Pulse()
	}
	if err := reached.Reach(t.Context(), 50.0/TicksPerSecond, func() {}); err != nil {
		t.Fatal(err)
	}
	want, got := ticked.Look().Meters(), reached.Look().Meters()
	if math.Abs(got.Clock-want.Clock) > 1e-9 || math.Abs(got.AveragePower/want.AveragePower-1) > 1e-6 || math.Abs(got.Hottest-want.Hottest) > 1e-6 || got.Frame != want.Frame {
		t.Errorf("tick by tick %+v, at once %+v", want, got)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := reached.Reach(ctx, 10, func() {}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// Whoever draws does not wait for the simulation, and what it holds does not change.
func TestStageDoesNotWait(t *testing.T) {
	s := NewStage(newScope(t, 4, 3))
	s.Play()
	at, held := make(chan bool), make(chan bool)
	s.Do(func(*Scope) { at <- true; <-held })
	<-at
	v := s.Look()
	before, fluid := v.Meters(), v.fluid[len(v.fluid)/2]
	for range 100 {
		s.Pulse() // would hang if it waited
		s.Do(func(c *Scope) { c.Paint(0, 0, 1) })
	}
	if s.Look() != v || v.Painted() != 0 {
		t.Error("a simulation that is held up has a new view")
	}
	close(held)
	for range 3 {
		s.Do(func(*Scope) { at <- true })
		<-at
		s.Pulse()
	}
	if v.Meters() != before || v.fluid[len(v.fluid)/2] != fluid {
		t.Error("a view that somebody holds has changed")
	}
	for v = s.Look(); v.Painted() == 0 || v.Clock() == 0; v = s.Look() {
		time.Sleep(time.Millisecond)
	}
}

// A simulation that panics stops and says so.
func TestStageTellsOfPanic(t *testing.T) {
	s := NewStage(newScope(t, 4, 3))
	s.scope.live = nil
	defer func() {
		if r := recover(); r != nil {
			t.Errorf("the panic reaches whoever draws: %v", r)
		}
	}()
	s.Pulse()
	if v := s.Look(); v.Failure() == "" || v.Playing() {
		t.Errorf("after a panic it plays on: %v, %q", v.Playing(), v.Failure())
	}
}

func TestPace(t *testing.T) {
	var p pace
	now := time.Unix(0, 0)
	for range 300 { // half as fast as real time
		p.add(1.0/TicksPerSecond, true, now)
		now = now.Add(2 * time.Second / TicksPerSecond)
	}
	if math.Abs(p.rate-0.5) > 0.02 {
		t.Errorf("half of real time is measured as %g", p.rate)
	}
	if p.add(0, false, now); !math.IsNaN(p.rate) {
		t.Errorf("a scene that stands has the rate %g", p.rate)
	}
}
