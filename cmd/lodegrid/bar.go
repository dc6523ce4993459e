//go:build !js

package main

import (
	"sync/atomic"
	"time"

	"github.com/schollz/progressbar/v3"
)

// bar is a progress bar on a terminal, and nothing elsewhere. While that of a part is open over
// it, it is not drawn.
type bar struct {
	b      *progressbar.ProgressBar
	part   *bar
	hidden atomic.Bool
}

// newBar starts a bar of n steps; n = −1 counts without an end.
func newBar(s streams, what string, n int) *bar {
	b := &bar{}
	if !s.terminal {
		return b
	}
	b.b = progressbar.NewOptions(n,
		progressbar.OptionSetWriter(s.err), progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetWidth(30), progressbar.OptionShowCount(),
	)
	return b
}

// doing says what the work is at; its steps are the looks at the context.
func (s streams) doing(what string) {
	if s.bar == nil {
		return
	}
	if s.bar.whole(); s.bar.b != nil {
		s.bar.b.Describe(what)
	}
}

// progress begins a part of the work, in the place of the part before, and returns what is
// called after each of its n steps.
func (s streams) progress(what string, n int) (step func()) {
	if s.bar == nil {
		return func() {}
	}
	s.bar.whole()
	s.bar.hidden.Store(true)
	s.bar.part = newBar(s, what, n)
	return s.bar.part.step
}

// whole ends the part that is open, if any.
func (b *bar) whole() {
	if b != nil && b.part != nil {
		b.part.done()
		b.part = nil
		b.hidden.Store(false)
	}
}

func (b *bar) step() {
	if b.b != nil && !b.hidden.Load() {
		b.b.Add(1)
	}
}

// done ends the bar.
func (b *bar) done() {
	b.whole()
	if b.b != nil {
		b.b.Finish()
	}
}
