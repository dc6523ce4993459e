package scenes

import "fmt"

// InputError says which file, and where in it, could not be used. Line and
// Column count from 1; both are 0 for a file that is not text.
type InputError struct {
	Name         string
	Line, Column int
	Err          error
}

func (e *InputError) Error() string {
	switch {
	case e.Line > 0 && e.Column > 0:
		return fmt.Sprintf("%s:%d:%d: %v", e.Name, e.Line, e.Column, e.Err)
	case e.Line > 0:
		return fmt.Sprintf("%s:%d: %v", e.Name, e.Line, e.Err)
	}
	return fmt.Sprintf("%s: %v", e.Name, e.Err)
}

func (e *InputError) Unwrap() error { return e.Err }

// InputErrorf is an error of a whole file.
func InputErrorf(name, format string, args ...any) error {
	return &InputError{Name: name, Err: fmt.Errorf(format, args...)}
}
