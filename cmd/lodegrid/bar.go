//go:build !js

package main

import (
	"time"

	"github.com/schollz/progressbar/v3"
)

// bar is a progress bar on a terminal, and nothing elsewhere.
type bar struct{ b *progressbar.ProgressBar }

// newBar starts a bar of n steps; n = −1 counts without an end.
func newBar(s streams, what string, n int) bar {
	if !s.terminal {
		return bar{}
	}
	return bar{progressbar.NewOptions(n,
		progressbar.OptionSetWriter(s.err), progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetWidth(30), progressbar.OptionShowCount(),
	)}
}

func (b bar) step() {
	if b.b != nil {
		b.b.Add(1)
	}
}

func (b bar) done() {
	if b.b != nil {
		b.b.Finish()
	}
}
