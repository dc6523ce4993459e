package table

import (
	"fmt"
	"io"

	"lodegrid/scenes"
)

// csvLines passes a level table on to the CSV decoder, which takes in whole lines,
// and refuses a line as soon as it is longer than the grid's.
type csvLines struct {
	in         io.Reader
	rows, cols int
	line       int // that is being read, from 1
	bytes      int // of it so far
	fields     int
	quoted     bool // within quotes, where a line's end and commas are text
	comment    bool
	failed     *scenes.InputError
}

// Bytes of a line, for each field and besides: numbers with every digit, names of
// columns, spaces, and comments.
const (
	csvFieldBytes = 64
	csvLineBytes  = 4096
)

func (l *csvLines) Read(p []byte) (int, error) {
	if l.failed != nil {
		return 0, l.failed
	}
	n, err := l.in.Read(p)
	for i, c := range p[:n] {
		if l.bytes == 0 {
			l.line++
			l.fields, l.comment = 1, c == '#'
		}
		l.bytes++
		switch {
		case c == '\n' && !l.quoted:
			l.bytes = 0
		case l.comment:
		case c == '"':
			l.quoted = !l.quoted
		case c == ',' && !l.quoted:
			l.fields++
		}
		want := l.rows*l.cols + 1
		switch most := csvLineBytes + csvFieldBytes*want; {
		case l.fields > want:
			l.fail(fmt.Errorf("more than %d fields: want %d, the duration and %d rows × %d columns of levels", want, want, l.rows, l.cols))
		case l.bytes > most:
			l.fail(fmt.Errorf("a line of more than %d bytes: want %d numbers of up to %d bytes", most, want, csvFieldBytes))
		default:
			continue
		}
		return i, l.failed
	}
	return n, err
}

func (l *csvLines) fail(err error) {
	l.failed = &scenes.InputError{Line: l.line, Column: l.bytes, Err: err}
}
