// Package tomlplace reads TOML texts into plain values and tells where each of them
// stands. What the values mean is the caller's business.
package tomlplace

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// MaxBytes is the largest text that is read.
const MaxBytes = 128 << 10

// Place is a position in a text, line and column in characters from 1; zero when
// unknown.
type Place struct{ Line, Column int }

// Error is what is wrong with a text, before anyone asks what it means.
type Error struct {
	Place
	Key     string // where the mistake is one of keys
	Problem string // what is wrong
	Accept  string // what would be accepted; empty when Problem says it all
}

func (e *Error) Error() string {
	text := e.Problem
	if e.Key != "" {
		text = e.Key + ": " + text
	}
	if e.Accept != "" {
		text += "; accepted: " + e.Accept
	}
	return text
}

// Read reads a text: strict TOML 1.0 in UTF-8, with or without the mark that some
// editors put before it, within the bounds of this package. The first mistake is
// returned as an *Error; other errors come from r.
func Read(r io.Reader) (Document, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Document{}, err
	}
	if len(data) > MaxBytes {
		return Document{}, &Error{Problem: fmt.Sprintf("the file is larger than %d bytes", MaxBytes), Accept: fmt.Sprintf("up to %d bytes", MaxBytes)}
	}
	return parse(bytes.TrimPrefix(data, []byte("\ufeff")))
}

// Key returns where a key or a table stands, or the nearest table around it that the
// text mentions. Paths are such as coil.outer or board.rule[2].gap, elements counted
// from 1.
func (d Document) Key(path string) Place {
	for path != "" {
		if at, ok := d.keys[path]; ok {
			return at
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return Place{}
}

// Value returns where the value of a key stands, or what Key returns when the text
// does not give one.
func (d Document) Value(path string) Place {
	if at, ok := d.texts[path]; ok {
		return at
	}
	return d.Key(path)
}

// Bounds of a text, far above what a person writes. What is nested in a dozen bytes a
// level, or repeated in three bytes a time, costs far more memory and time than text,
// in the library as well as in whoever walks the values.
const (
	maxNesting = 8      // parts of a dotted key; arrays and inline tables in each other
	maxNames   = 10_000 // keys and tables; the library's search for keys given twice takes time with their square
)

// overBounds looks once over the bytes of a text, which need not be right, for what
// is over the bounds. It counts on any text at least as much as the library has
// parsed of it when it finds a mistake.
func overBounds(data []byte) (at int, err *Error) {
	depth, dots, names := 0, 0, 0
	for i := 0; i < len(data); i++ {
		switch data[i] {
		case '#':
			if n := bytes.IndexByte(data[i:], '\n'); n >= 0 {
				i += n - 1
			} else {
				i = len(data)
			}
		case '"', '\'':
			i = stringEnd(data, i) - 1
		case '.':
			if dots++; dots >= maxNesting {
				return i, &Error{Problem: fmt.Sprintf("a key of more than %d parts", maxNesting), Accept: fmt.Sprintf("up to %d parts between dots", maxNesting)}
			}
		case '[', '{':
			if dots = 0; depth == 0 {
				names++
			}
			if depth++; depth > maxNesting {
				return i, &Error{Problem: fmt.Sprintf("lists and tables nested more than %d deep", maxNesting), Accept: fmt.Sprintf("up to %d levels", maxNesting)}
			}
		case ']', '}':
			dots, depth = 0, max(0, depth-1)
		case '=':
			dots = 0
			if names++; names > maxNames {
				return i, &Error{Problem: fmt.Sprintf("more than %d keys and sections", maxNames), Accept: fmt.Sprintf("up to %d", maxNames)}
			}
		case ',', '\n':
			dots = 0
		}
	}
	if names > maxNames {
		return len(data), &Error{Problem: fmt.Sprintf("more than %d keys and sections", maxNames), Accept: fmt.Sprintf("up to %d", maxNames)}
	}
	return 0, nil
}

// stringEnd returns the offset behind the string that begins at i.
func stringEnd(data []byte, i int) int {
	quote := data[i : i+1]
	if three := bytes.Repeat(quote, 3); bytes.HasPrefix(data[i:], three) {
		quote = three
	}
	for i += len(quote); i < len(data); i++ {
		switch {
		case quote[0] == '"' && data[i] == '\\':
			i++
		case len(quote) == 1 && data[i] == '\n':
			return i // a mistake; the library stops here
		case bytes.HasPrefix(data[i:], quote):
			i += len(quote)
			for n := 0; len(quote) == 3 && n < 2 && i < len(data) && data[i] == quote[0]; n++ {
				i++ // one or two quotes may stand before the closing three
			}
			return i
		}
	}
	return len(data)
}

// parse takes a text apart.
func parse(data []byte) (Document, error) {
	lines := lineIndex(data)
	if !utf8.Valid(data) {
		return Document{}, &Error{Place: lines.place(firstInvalid(data)), Problem: "the file is not UTF-8 text", Accept: "a text file saved as UTF-8"}
	}
	if at, err := overBounds(data); err != nil {
		err.Place = lines.place(at)
		return Document{}, err
	}
	doc := Document{keys: map[string]Place{}, texts: map[string]Place{}, names: map[Place]string{}}
	wrong := decode(data, &doc.Values)
	well := doc.locate(data, lines)
	if wrong == nil {
		return doc, nil
	}
	return doc, doc.mistake(wrong, well, lines)
}

// mistake says what is wrong with a text the library refuses; well tells whether its
// syntax is right.
func (d Document) mistake(err error, well bool, lines index) *Error {
	row, column, problem := position(err)
	out := &Error{Problem: problem}
	if row < 1 || row > len(lines.starts) {
		return out
	}
	out.Place = lines.place(min(lines.starts[row-1]+max(column-1, 0), len(lines.data)))
	at := out.Place
	if well && d.again.Line > 0 {
		at = d.again // the library may point to a table around it
	}
	if key, ok := d.names[at]; ok && well { // a key that is right by itself
		out.Place, out.Key, out.Problem, out.Accept = at, key, "given twice", "each key and each section once"
	} else if m := unquoted.FindStringSubmatch(lines.line(row)); m != nil {
		out.Problem = fmt.Sprintf("a quantity without quotes: %s", m[2])
		out.Accept = fmt.Sprintf("%s = \"%s\"", m[1], m[2])
	}
	return out
}

func firstInvalid(data []byte) int {
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n <= 1 {
			return i
		}
		i += n
	}
	return 0
}
