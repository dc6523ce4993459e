package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"

	"golang.org/x/term"
)

// streams are where results and talk go: results to out, everything else to err.
type streams struct {
	out, err io.Writer
	// terminal is true when err is a terminal, so that a progress bar may be drawn.
	terminal bool
	// columns are those of the terminals that out and err are, 0 where they are none.
	columns, errColumns int
	bar                 *bar // of the whole run, nil where there is none
}

// watched is a context that tells of every look at it. Whatever takes time looks at its context
// at each step to see whether it is to end, so that this is its progress.
type watched struct {
	context.Context
	step func()
}

func (w watched) Err() error {
	w.step()
	return w.Context.Err()
}

// columnsOf is how many letters a line of a terminal has, 0 of anything else.
func columnsOf(f *os.File) int {
	n, _, err := term.GetSize(int(f.Fd()))
	if err != nil || n < 1 {
		return 0
	}
	return max(n, leastColumns)
}

// leastColumns is the least width of text that is written.
const leastColumns = 60

func standardStreams() streams {
	s := streams{out: os.Stdout, err: os.Stderr, terminal: term.IsTerminal(int(os.Stderr.Fd())), columns: columnsOf(os.Stdout), errColumns: columnsOf(os.Stderr)}
	if err := preparePipes(); err != nil {
		s.out = closed{err}
	}
	return s
}

// closed is a standard output that nothing can be written to.
type closed struct{ err error }

func (c closed) Write([]byte) (int, error) { return 0, c.err }

// checked remembers the first error of a writer, so that no result is lost unnoticed.
type checked struct {
	io.Writer
	err error
}

func (c *checked) Write(p []byte) (int, error) {
	if c.err != nil {
		return 0, c.err
	}
	n, err := c.Writer.Write(p)
	c.err = err
	return n, err
}

// Stat tells of the file that is written to, if it is one.
func (c *checked) Stat() (fs.FileInfo, error) {
	if f, ok := c.Writer.(*os.File); ok {
		return f.Stat()
	}
	return nil, fmt.Errorf("the standard output is no file: %w", fs.ErrInvalid)
}
