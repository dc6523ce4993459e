package design

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// This is the only file that knows the TOML library. The library decodes into plain
// maps, never into typed fields: its version 2.4.3 fills a named scalar type without
// calling its UnmarshalText, so that a bare number would pass for a quantity. Lines
// and columns come from the library's parser, whose interface is not promised to
// stay; nothing of it leaves this file.

// place is a position in the file, from 1; zero when unknown.
type place struct{ line, column int }

// document is a TOML file taken apart.
type document struct {
	values map[string]any   // string, int64, float64, bool, map[string]any, []any, dates
	keys   map[string]place // where each key stands, by its path: coil.outer, board.rule[1].gap
	texts  map[string]place // where each value stands
}

// maxDepth is how many key parts positions are kept for; a design has three.
const maxDepth = 4

// parse takes a file apart. The error is the first breach of the TOML syntax, a key
// given twice included.
func parse(data []byte) (document, *Error) {
	lines := lineIndex(data)
	doc := document{keys: map[string]place{}, texts: map[string]place{}}
	if !utf8.Valid(data) {
		at := lines.place(firstInvalid(data))
		return doc, &Error{Line: at.line, Column: at.column, Problem: "the file is not UTF-8 text", Accept: "a text file saved as UTF-8"}
	}
	if err := toml.Unmarshal(data, &doc.values); err != nil {
		return doc, lines.syntax(err)
	}
	doc.locate(data, lines)
	return doc, nil
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

// locate records where keys and values stand.
func (doc *document) locate(data []byte, lines index) {
	var p unstable.Parser
	p.Reset(data)
	counts := map[string]int{} // elements so far of each array of tables
	prefix, depth := "", 0
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			doc.keyValue(&p, e, prefix, depth, lines)
		case unstable.Table, unstable.ArrayTable:
			prefix, depth = "", 0
			for it := e.Key(); it.Next(); {
				if depth++; depth > maxDepth {
					continue
				}
				prefix = join(prefix, string(it.Node().Data))
				doc.note(prefix, lines.place(int(it.Node().Raw.Offset)))
				switch {
				case e.Kind == unstable.ArrayTable && it.IsLast():
					prefix = element(prefix, counts[prefix])
					counts[prefix[:strings.LastIndexByte(prefix, '[')]]++
					doc.note(prefix, lines.place(int(it.Node().Raw.Offset)))
				case counts[prefix] > 0:
					prefix = element(prefix, counts[prefix]-1)
				}
			}
		}
	}
}

// keyValue records a key, its value and what lies inside the value.
func (doc *document) keyValue(p *unstable.Parser, e *unstable.Node, prefix string, depth int, lines index) {
	path, end := prefix, 0
	for it := e.Key(); it.Next(); {
		raw := it.Node().Raw
		end = int(raw.Offset + raw.Length)
		if depth++; depth <= maxDepth {
			path = join(path, string(it.Node().Data))
			doc.note(path, lines.place(int(raw.Offset)))
		}
	}
	if depth > maxDepth {
		return
	}
	rest := bytes.TrimLeft(p.Data()[end:], " \t")
	rest = bytes.TrimLeft(bytes.TrimPrefix(rest, []byte("=")), " \t")
	at := lines.place(len(p.Data()) - len(rest))
	doc.texts[path] = at
	doc.inside(p, e.Value(), path, depth, at, lines)
}

// inside records what an array or an inline table holds.
func (doc *document) inside(p *unstable.Parser, v *unstable.Node, path string, depth int, at place, lines index) {
	if depth >= maxDepth {
		return
	}
	switch v.Kind {
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				doc.keyValue(p, it.Node(), path, depth, lines)
			}
		}
	case unstable.Array:
		i := 0
		for it := v.Children(); it.Next(); i++ {
			item := element(path, i)
			here := at
			if it.Node().Raw.Length > 0 {
				here = lines.place(int(it.Node().Raw.Offset))
			}
			doc.note(item, here)
			doc.texts[item] = here
			doc.inside(p, it.Node(), item, depth+1, here, lines)
		}
	}
}

// note keeps the first place a key is seen at.
func (doc *document) note(path string, at place) {
	if _, seen := doc.keys[path]; !seen {
		doc.keys[path] = at
	}
}

// join extends a path by a key, in quotes where TOML would need them.
func join(path, key string) string {
	if !bareKey.MatchString(key) {
		key = clip(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

var bareKey = regexp.MustCompile(`^[A-Za-z0-9_-]{1,60}$`)

// element is the path of one element of a list.
func element(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }

// index finds lines and columns.
type index struct {
	data   []byte
	starts []int // offset of each line
}

func lineIndex(data []byte) index {
	starts := []int{0}
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return index{data, starts}
}

func (x index) place(offset int) place {
	i := sort.SearchInts(x.starts, offset+1) - 1
	return place{i + 1, utf8.RuneCount(x.data[x.starts[i]:offset]) + 1}
}

// line returns the text of a line, without its end.
func (x index) line(n int) string {
	if n < 1 || n > len(x.starts) {
		return ""
	}
	text, _, _ := strings.Cut(string(x.data[x.starts[n-1]:]), "\n")
	return strings.TrimSuffix(text, "\r")
}

// sectionAt returns the section a line that sets a key stands in; empty for a line
// that opens a section itself.
func (x index) sectionAt(n int) string {
	if header.MatchString(x.line(n)) {
		return ""
	}
	for ; n > 0; n-- {
		if m := header.FindStringSubmatch(x.line(n)); m != nil {
			return m[1]
		}
	}
	return ""
}

var header = regexp.MustCompile(`^\s*\[+\s*([A-Za-z0-9_.-]+)\s*\]`)

// syntax turns the library's error into ours.
func (x index) syntax(err error) *Error {
	out := &Error{Problem: strings.TrimPrefix(err.Error(), "toml: ")}
	var d *toml.DecodeError
	if !errors.As(err, &d) {
		return out
	}
	row, column := d.Position()
	if row >= 1 && row <= len(x.starts) {
		at := x.place(min(x.starts[row-1]+max(column-1, 0), len(x.data)))
		out.Line, out.Column = at.line, at.column
	}
	for _, k := range d.Key() {
		out.Key = join(out.Key, k)
	}
	switch {
	case strings.HasSuffix(out.Problem, "already defined"), strings.HasSuffix(out.Problem, "already exists"):
		out.Problem = "given twice"
		if section := x.sectionAt(row); section != "" && out.Key != "" {
			out.Key = section + "." + out.Key
		}
		out.Accept = "each key and each section once"
	default:
		if m := unquoted.FindStringSubmatch(x.line(row)); m != nil {
			out.Problem = fmt.Sprintf("a quantity without quotes: %s", m[2])
			out.Accept = fmt.Sprintf("%s = \"%s\"", m[1], m[2])
		}
	}
	return out
}

// unquoted matches the commonest slip: pitch = 12 mm.
var unquoted = regexp.MustCompile(`^\s*([A-Za-z0-9_.-]+)\s*=\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?\s*[^\s0-9"'#,\]}][^"'#]*?)\s*(?:#.*)?$`)
