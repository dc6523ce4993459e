package design

import (
	"fmt"
	"sort"
	"strings"
)

// Error is one thing wrong with a design file, or with a value set by other means.
type Error struct {
	File         string // name of the file; empty for a value that came from none
	Line, Column int    // from 1, in characters; 0 when the file does not mention the key
	Key          string // such as coil.pitch; empty for a mistake of syntax
	Problem      string // what is wrong, with the value
	Accept       string // what would be accepted; empty when Problem says it all
}

// Error returns one line such as
//
//	design.toml:12:9: coil.track: unknown unit "mn"; accepted: mm, mil (did you mean "mm"?)
func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File)
		if e.Line > 0 {
			fmt.Fprintf(&b, ":%d:%d", e.Line, e.Column)
		}
		b.WriteString(": ")
	}
	if e.Key != "" {
		b.WriteString(e.Key + ": ")
	}
	b.WriteString(e.Problem)
	if e.Accept != "" {
		b.WriteString("; accepted: " + e.Accept)
	}
	return b.String()
}

// Errors is everything found wrong with a design, in the order of the file.
type Errors []*Error

// most is how many errors are printed; the rest are counted.
const most = 20

// Error returns one line per error.
func (l Errors) Error() string {
	var lines []string
	for i, e := range l {
		if i == most {
			lines = append(lines, fmt.Sprintf("and %d more", len(l)-most))
			break
		}
		lines = append(lines, e.Error())
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the single errors.
func (l Errors) Unwrap() []error {
	out := make([]error, len(l))
	for i, e := range l {
		out[i] = e
	}
	return out
}

// err returns the list, sorted, as an error; nil when it is empty.
func (l Errors) err() error {
	if len(l) == 0 {
		return nil
	}
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i], l[j]
		switch {
		case a.Line != b.Line:
			return a.Line < b.Line
		case a.Column != b.Column:
			return a.Column < b.Column
		}
		return a.Key < b.Key
	})
	return l
}

// fault is what is wrong with a value, before it is known where it stands.
type fault struct{ problem, accept string }

// did returns the question that goes behind a list of what is accepted.
func did(name string) string {
	if name == "" {
		return ""
	}
	return fmt.Sprintf(" (did you mean %q?)", name)
}
