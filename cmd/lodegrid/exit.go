package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/render/output"
	"lodegrid/scenes"
)

// The exit codes. They are part of the command's contract and never change their
// meaning.
const (
	exitOK          = 0
	exitFailure     = 1
	exitUsage       = 2
	exitInput       = 3
	exitLimit       = 4
	exitInterrupted = 130
)

// exitMeanings are the codes in the words of the help and of README.md.
var exitMeanings = []struct {
	code    int
	meaning string
}{
	{exitOK, "done; where the command judges the display, every limit kept"},
	{exitFailure, "failure: a file could not be written, no display, …"},
	{exitUsage, "wrong usage"},
	{exitInput, "design or scene file missing or invalid"},
	{exitLimit, "done and written, but the display breaks a limit"},
	{exitInterrupted, "interrupted"},
}

func writeExitCodes(w io.Writer) error {
	for _, e := range exitMeanings {
		if _, err := fmt.Fprintf(w, "%5d  %s\n", e.code, e.meaning); err != nil {
			return err
		}
	}
	_, err := fmt.Fprint(w, `
report, heat, supply, drives, faults, film, frames, carry, order, choose and compare judge the display. coil,
crosstalk and design look at a part of it, and play and web show it: their 0 says nothing about limits.
`)
	return err
}

// usageError is a mistake on the command line.
type usageError struct{ text string }

func (e usageError) Error() string { return e.text }

// inputError is a design or a scene that reads well but cannot be computed.
type inputError struct{ err error }

func (e inputError) Error() string { return e.err.Error() }
func (e inputError) Unwrap() error { return e.err }

// build makes a design computable.
func build(ctx context.Context, d design.Design) (*grid.Grid, error) {
	g, err := grid.New(ctx, d, 0)
	if err != nil {
		return nil, inputError{err}
	}
	return g, nil
}

// errLimit says that the work is done but a limit is broken.
var errLimit = errors.New("a limit is broken")

// exitCode maps an error to the code above.
func exitCode(err error) int {
	var usage usageError
	var mistake output.Mistake
	var list design.Errors
	var one *design.Error
	var input *scenes.InputError
	var uncomputable inputError
	var level *drive.LevelError // a scene that reverses a current the bridge cannot
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &usage), errors.As(err, &mistake):
		return exitUsage
	case errors.Is(err, errLimit):
		return exitLimit
	case errors.As(err, &list), errors.As(err, &one), errors.As(err, &input),
		errors.As(err, &uncomputable), errors.As(err, &level):
		return exitInput
	}
	return exitFailure
}

// patience is how long work may go on after a signal before the process ends without it.
const patience = 400 * time.Millisecond
