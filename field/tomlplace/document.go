package tomlplace

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// This is the only file of the project that knows the TOML library. The library decodes
// into plain maps, never into typed fields: its version 2.4.3 fills a named scalar type
// without calling its UnmarshalText, so that a bare number would pass for a quantity.
// Places come from the library's parser, whose interface is not promised to stay;
// nothing of it leaves this file.

// Document is a text taken apart.
type Document struct {
	Values map[string]any   // string, int64, float64, bool, map[string]any, []any, dates and times
	keys   map[string]Place // where each key stands, by its path: coil.outer, board.rule[2].gap
	texts  map[string]Place // where each value stands
	names  map[Place]string // the path of the key that stands at a place
	again  Place            // of the first key that is given a value twice
}

// decode fills the values; the first mistake ends it.
func decode(data []byte, values *map[string]any) error { return toml.Unmarshal(data, values) }

// position returns the line and the byte column of a mistake, 0 when unknown, and the
// library's words for it.
func position(err error) (row, column int, problem string) {
	var d *toml.DecodeError
	if errors.As(err, &d) {
		row, column = d.Position()
	}
	return row, column, strings.TrimPrefix(err.Error(), "toml: ")
}

// maxDepth is how many key parts places are kept for; deeper ones have that of the
// table around them.
const maxDepth = 4

// locate records where keys and values stand, up to a mistake of syntax, if there is one.
func (doc *Document) locate(data []byte, lines index) (well bool) {
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
				prefix = Join(prefix, string(it.Node().Data))
				at := lines.place(int(it.Node().Raw.Offset))
				doc.note(prefix, at)
				if e.Kind == unstable.ArrayTable && it.IsLast() {
					counts[prefix]++
				}
				if n := counts[prefix]; n > 0 {
					prefix = Element(prefix, n)
					doc.note(prefix, at)
				}
			}
		}
	}
	return p.Error() == nil
}

// keyValue records a key, its value and what lies inside the value.
func (doc *Document) keyValue(p *unstable.Parser, e *unstable.Node, prefix string, depth int, lines index) {
	path, end := prefix, 0
	var key Place
	for it := e.Key(); it.Next(); {
		raw := it.Node().Raw
		end = int(raw.Offset + raw.Length)
		if depth++; depth <= maxDepth {
			path, key = Join(path, string(it.Node().Data)), lines.place(int(raw.Offset))
			doc.note(path, key)
		}
	}
	if depth > maxDepth {
		return
	}
	rest := bytes.TrimLeft(p.Data()[end:], " \t")
	rest = bytes.TrimLeft(bytes.TrimPrefix(rest, []byte("=")), " \t")
	at := lines.place(len(p.Data()) - len(rest))
	if _, seen := doc.texts[path]; seen && doc.again.Line == 0 {
		doc.again = key
	}
	doc.texts[path] = at
	doc.inside(p, e.Value(), path, depth, at, lines)
}

// inside records what an array or an inline table holds.
func (doc *Document) inside(p *unstable.Parser, v *unstable.Node, path string, depth int, at Place, lines index) {
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
			item := Element(path, i+1)
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

// note keeps the first place a key is seen at, and what each place is.
func (doc *Document) note(path string, at Place) {
	doc.names[at] = path
	if _, seen := doc.keys[path]; !seen {
		doc.keys[path] = at
	}
}

// Join extends a path by a key, in quotes where TOML would need them.
func Join(path, key string) string {
	if !bareKey.MatchString(key) {
		key = Clip(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

var bareKey = regexp.MustCompile(`^[A-Za-z0-9_-]{1,60}$`)

// Element is the path of one element of a list, from 1.
func Element(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }
