package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// streams are where results and talk go: results to out, everything else to err.
type streams struct {
	out, err io.Writer
	// terminal is true when err is a terminal, so that a progress bar may be drawn.
	terminal bool
}

func standardStreams() streams {
	return streams{out: os.Stdout, err: os.Stderr, terminal: term.IsTerminal(int(os.Stderr.Fd()))}
}
