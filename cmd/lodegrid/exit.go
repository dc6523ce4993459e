package main

import (
	"context"
	"errors"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// The exit codes. They are part of the command's contract and never change their
// meaning.
const (
	exitOK          = 0   // done, every limit kept
	exitFailure     = 1   // something failed: a file could not be written, no display, …
	exitUsage       = 2   // the command line is wrong
	exitInput       = 3   // the design or scene file is invalid
	exitLimit       = 4   // done and written, but the design breaks a limit
	exitInterrupted = 130 // stopped by the user
)

// usageError is a mistake on the command line.
type usageError struct{ text string }

func (e usageError) Error() string { return e.text }

// errLimit says that the work is done but a limit is broken.
var errLimit = errors.New("a limit is broken")

// exitCode maps an error to the code above.
func exitCode(err error) int {
	var usage usageError
	var list design.Errors
	var one *design.Error
	var input *scenes.InputError
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &usage):
		return exitUsage
	case errors.Is(err, errLimit):
		return exitLimit
	case errors.As(err, &list), errors.As(err, &one), errors.As(err, &input):
		return exitInput
	}
	return exitFailure
}
