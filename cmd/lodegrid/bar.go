//go:build !js

package main

import (
	"sync/atomic"
	"time"

	"github.com/schollz/progressbar/v3"
)

// bar is a progress bar on a terminal, and nothing elsewhere. While another is open over it, it
// is not drawn.
type bar struct {
	b      *progressbar.ProgressBar
	under  *bar
	hidden atomic.Int32
}

// newBar starts a bar of n steps; n = −1 counts without an end.
func newBar(s streams, what string, n int) *bar {
	b := &bar{under: s.bar}
	if !s.terminal {
		return b
	}
	if b.under != nil {
		b.under.hidden.Add(1)
	}
	b.b = progressbar.NewOptions(n,
		progressbar.OptionSetWriter(s.err), progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetWidth(30), progressbar.OptionShowCount(),
	)
	return b
}

func (b *bar) step() {
	if b.b != nil && b.hidden.Load() == 0 {
		b.b.Add(1)
	}
}

// done ends the bar; once more does nothing.
func (b *bar) done() {
	if b.b == nil {
		return
	}
	b.b.Finish()
	if b.b = nil; b.under != nil {
		b.under.hidden.Add(-1)
	}
}
