package scenes

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"lodegrid/field/quantity/spelling"
)

// This is the only file of the package that knows the TOML library. Its parser,
// whose interface is not promised to stay, gives the places of keys. Quantities
// are decoded as plain text and parsed later: version 2.4.3 of the library fills
// a named type without calling its UnmarshalText.

// place is a line and a column, counted in characters, both from 1.
type place struct{ line, column int }

// places holds where keys stand, by a path such as clip[2].period.
type places map[string]place

// near returns the place of a key, or of the nearest table it stands in.
func (p places) near(path string) place {
	for path != "" {
		if at, ok := p[path]; ok {
			return at
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return place{}
}

// key returns the key that stands at a place, without the numbers of tables.
func (p places) key(at place) []string {
	longest := ""
	for path, stands := range p {
		if stands == at && len(path) > len(longest) {
			longest = path
		}
	}
	if longest == "" {
		return nil
	}
	return strings.Split(tableNumber.ReplaceAllString(longest, ""), ".")
}

var tableNumber = regexp.MustCompile(`\[\d+\]`)

// decodeTOML fills a struct from a TOML text and finds the places of its keys.
// Keys the struct does not have are errors. An error is an *InputError.
func decodeTOML(data []byte, name string, into any) (places, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors write this mark
	if !utf8.Valid(data) {
		return nil, inputErrorf(name, "not UTF-8 text")
	}
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return nil, tomlError(data, name, into, err)
	}
	return tomlPlaces(data), nil
}

// wrongKind matches what the library says of a value of the wrong TOML type.
var wrongKind = regexp.MustCompile(`cannot decode TOML ([a-z ]+) into .* of type \**([a-z0-9]+|.*)$`)

// wanted says what a Go type takes, in the words of a scene file's author.
var wanted = map[string]string{
	"string":  `text in quotes, such as "5 s"`,
	"float64": "a number without quotes",
	"int":     "a whole number",
	"uint64":  "a whole number, 0 or more",
	"bool":    "true or false",
}

func tomlError(data []byte, name string, into any, err error) error {
	at := func(row, column int, format string, args ...any) error {
		return &InputError{Name: name, Line: row, Column: characters(data, row, column), Err: fmt.Errorf(format, args...)}
	}
	var missing *toml.StrictMissingError
	if errors.As(err, &missing) && len(missing.Errors) > 0 {
		first := missing.Errors[0]
		row, column := first.Position()
		// The library leaves the names of inline tables out of the key.
		key := tomlPlaces(data).key(place{row, characters(data, row, column)})
		if len(key) == 0 {
			key = first.Key()
		}
		if len(key) == 0 {
			return at(row, column, "unknown key")
		}
		known := tomlKeys(reflect.TypeOf(into), key[:len(key)-1])
		hint := ""
		if near := spelling.Nearest(key[len(key)-1], known); near != "" {
			hint = fmt.Sprintf(" (did you mean %q?)", near)
		}
		return at(row, column, "unknown key %q%s; accepted: %s", strings.Join(key, "."), hint, strings.Join(known, ", "))
	}
	var syntax *toml.DecodeError
	if errors.As(err, &syntax) {
		row, column := syntax.Position()
		key := strings.Join(syntax.Key(), ".")
		if m := wrongKind.FindStringSubmatch(err.Error()); m != nil {
			want := wanted[m[2]]
			if want == "" {
				want = "a table in brackets"
			}
			return at(row, column, "%s: found a TOML %s, want %s", key, m[1], want)
		}
		return at(row, column, "%s", strings.TrimPrefix(err.Error(), "toml: "))
	}
	return inputErrorf(name, "%s", strings.TrimPrefix(err.Error(), "toml: "))
}

// characters turns a column counted in bytes into one counted in characters.
func characters(data []byte, row, column int) int {
	for ; row > 1; row-- {
		i := bytes.IndexByte(data, '\n')
		if i < 0 {
			return column
		}
		data = data[i+1:]
	}
	return utf8.RuneCount(data[:min(max(column-1, 0), len(data))]) + 1
}

// tomlKeys returns the keys the table at path takes, from the tags of the struct.
func tomlKeys(t reflect.Type, path []string) []string {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return nil
	}
	var keys []string
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("toml")
		if len(path) > 0 && key == path[0] {
			return tomlKeys(f.Type, path[1:])
		}
		keys = append(keys, key)
	}
	if len(path) > 0 {
		return nil
	}
	slices.Sort(keys)
	return keys
}

// tomlPlaces finds where tables and keys stand in a text that was decoded without
// error.
func tomlPlaces(data []byte) places {
	found := places{}
	line, begin, seen := 1, 0, 0 // keys come in the order of the text
	note := func(path string, n *unstable.Node) {
		offset := max(seen, min(int(n.Raw.Offset), len(data)))
		line += bytes.Count(data[seen:offset], []byte("\n"))
		if i := bytes.LastIndexByte(data[seen:offset], '\n'); i >= 0 {
			begin = seen + i + 1
		}
		seen = offset
		if _, twice := found[path]; !twice {
			found[path] = place{line, utf8.RuneCount(data[begin:offset]) + 1}
		}
	}
	var p unstable.Parser
	p.Reset(data)
	table, counts := "", map[string]int{}
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = ""
			for it := e.Key(); it.Next(); {
				table = joinKey(table, string(it.Node().Data))
				if e.Kind == unstable.ArrayTable && it.IsLast() {
					counts[table]++
				}
				if n := counts[table]; n > 0 {
					table = fmt.Sprintf("%s[%d]", table, n)
				}
				note(table, it.Node())
			}
		case unstable.KeyValue:
			noteKeyValue(e, table, note)
		}
	}
	return found
}

func noteKeyValue(e *unstable.Node, table string, note func(string, *unstable.Node)) {
	path := table
	for it := e.Key(); it.Next(); {
		path = joinKey(path, string(it.Node().Data))
		note(path, it.Node())
	}
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				noteKeyValue(it.Node(), path, note)
			}
		}
	}
}

func joinKey(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
