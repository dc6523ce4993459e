package compose

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/field/tomlplace"
	"lodegrid/scenes"
)

// sceneTable is a table of a scene file. Its methods put the value of a key, if the
// table has it, in place of the one that is there; the first mistake is kept, and
// nothing is read after it.
type sceneTable struct {
	doc    *tomlplace.Document
	path   string // such as clip[2], empty for the file itself
	values map[string]any
	wrong  *scenes.InputError // without the name of the file
}

// fail keeps the first mistake, at the value of a key of the table, or at the table
// itself for an empty key.
func (t *sceneTable) fail(key string, err error) {
	path := t.path
	if key != "" {
		path = tomlplace.Join(path, key)
	}
	t.failAt(t.doc.Value(path), path, err)
}

// refuse keeps the mistake of having a key at all.
func (t *sceneTable) refuse(key, format string, args ...any) {
	path := tomlplace.Join(t.path, key)
	t.failAt(t.doc.Key(path), path, fmt.Errorf(format, args...))
}

func (t *sceneTable) failAt(at tomlplace.Place, path string, err error) {
	if t.wrong == nil {
		t.wrong = &scenes.InputError{Line: at.Line, Column: at.Column, Err: fmt.Errorf("%s: %w", path, err)}
	}
}

func (t *sceneTable) has(key string) bool { _, ok := t.values[key]; return ok }

// keys returns the keys of the table in the order of the file.
func (t *sceneTable) keys() []string {
	at := func(key string) tomlplace.Place { return t.doc.Key(tomlplace.Join(t.path, key)) }
	var keys []string
	for key := range t.values {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int {
		x, y := at(a), at(b)
		return cmp.Or(x.Line-y.Line, x.Column-y.Column, strings.Compare(a, b))
	})
	return keys
}

// known refuses keys that are not among the accepted ones.
func (t *sceneTable) known(accepted ...string) {
	for _, key := range t.keys() {
		if !slices.Contains(accepted, key) {
			hint := ""
			if near := spelling.Nearest(key, accepted); near != "" {
				hint = fmt.Sprintf(" (did you mean %q?)", near)
			}
			t.refuse(key, "unknown key%s; accepted: %s", hint, strings.Join(accepted, ", "))
			return
		}
	}
}

// take hands over the value of a key if it is a T.
func take[T any](t *sceneTable, key, want string, use func(T)) {
	v, ok := t.values[key]
	if !ok || t.wrong != nil {
		return
	}
	if x, ok := v.(T); ok {
		use(x)
	} else {
		t.fail(key, fmt.Errorf("this is %s, want %s", tomlplace.Describe(v), want))
	}
}

// name reads a text of a type of its own.
func name[S ~string](t *sceneTable, key string, into *S) {
	take(t, key, "text in quotes", func(v string) { *into = S(v) })
}

func (t *sceneTable) flag(key string, into *bool) {
	take(t, key, "true or false", func(v bool) { *into = v })
}

func (t *sceneTable) number(key string, into *float64) {
	if v, ok := t.values[key].(int64); ok {
		*into = float64(v)
		return
	}
	take(t, key, "a number without quotes", func(v float64) { *into = v })
}

func (t *sceneTable) whole(key string, into *int) {
	take(t, key, "a whole number", func(v int64) { *into = int(v) })
}

func (t *sceneTable) seed(key string, into *uint64) {
	take(t, key, "a whole number", func(v int64) {
		if *into = uint64(v); v < 0 {
			t.fail(key, fmt.Errorf("%d: want 0 or more", v))
		}
	})
}

// quantity reads a number with a unit.
func (t *sceneTable) quantity(key string, d quantity.Dimension, into *float64) {
	take(t, key, fmt.Sprintf("text in quotes with a unit: %s", strings.Join(d.Units(), ", ")), func(v string) {
		x, err := quantity.Parse(v, d)
		if *into = x; err != nil {
			t.fail(key, err)
		}
	})
}

// timeOfDay reads hours and minutes, and seconds if there are any, as 7:05 or
// 23:59:59.
func (t *sceneTable) timeOfDay(key string, into *float64) {
	take(t, key, `text in quotes such as "7:05"`, func(v string) {
		x, err := parseTimeOfDay(v)
		if *into = x; err != nil {
			t.fail(key, err)
		}
	})
}

// tables returns the tables of a list of tables.
func (t *sceneTable) tables(key string) (list []*sceneTable) {
	want := fmt.Sprintf("one [[%s]] or more", key)
	take(t, key, want, func(items []any) {
		for i, item := range items {
			path := tomlplace.Element(tomlplace.Join(t.path, key), i+1)
			values, ok := item.(map[string]any)
			if !ok {
				t.failAt(t.doc.Value(path), path, fmt.Errorf("this is %s, want %s", tomlplace.Describe(item), want))
			}
			list = append(list, &sceneTable{doc: t.doc, path: path, values: values})
		}
	})
	return list
}

// table hands over a table within the table, if there is one, and keeps its mistake.
func (t *sceneTable) table(key string, use func(in *sceneTable)) {
	take(t, key, fmt.Sprintf("a table: [%s]", tomlplace.Join(strings.TrimRight(t.path, "[]0123456789"), key)), func(v map[string]any) {
		in := &sceneTable{doc: t.doc, path: tomlplace.Join(t.path, key), values: v}
		use(in)
		t.wrong = in.wrong
	})
}
