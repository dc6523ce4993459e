package tomlplace

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
)

// Table is a table of a text. Its methods put the value of a key, if the
// table has it, in place of the one that is there; the first mistake is kept, and
// nothing is read after it.
type Table struct {
	Values map[string]any
	Wrong  *Fault

	doc  *Document
	path string // such as clip[2], empty for the file itself
}

// Root is the table of a whole text.
func (d *Document) Root() *Table { return &Table{doc: d, Values: d.Values} }

// Fault is what is wrong with a value, and where it stands.
type Fault struct {
	Place
	Err error
}

func (f *Fault) Error() string { return f.Err.Error() }
func (f *Fault) Unwrap() error { return f.Err }

// Fail keeps the first mistake, at the value of a key of the table, or at the table
// itself for an empty key.
func (t *Table) Fail(key string, err error) {
	path := t.path
	if key != "" {
		path = Join(path, key)
	}
	t.failAt(t.doc.Value(path), path, err)
}

// Refuse keeps the mistake of having a key at all.
func (t *Table) Refuse(key, format string, args ...any) {
	path := Join(t.path, key)
	t.failAt(t.doc.Key(path), path, fmt.Errorf(format, args...))
}

func (t *Table) failAt(at Place, path string, err error) {
	if t.Wrong == nil {
		t.Wrong = &Fault{Place: at, Err: fmt.Errorf("%s: %w", path, err)}
	}
}

// Has tells whether the table has a key.
func (t *Table) Has(key string) bool { _, ok := t.Values[key]; return ok }

// Keys returns the keys of the table in the order of the file.
func (t *Table) Keys() []string {
	at := func(key string) Place { return t.doc.Key(Join(t.path, key)) }
	var keys []string
	for key := range t.Values {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int {
		x, y := at(a), at(b)
		return cmp.Or(x.Line-y.Line, x.Column-y.Column, strings.Compare(a, b))
	})
	return keys
}

// Known refuses keys that are not among the accepted ones.
func (t *Table) Known(accepted ...string) {
	for _, key := range t.Keys() {
		if !slices.Contains(accepted, key) {
			hint := ""
			if near := spelling.Nearest(key, accepted); near != "" {
				hint = fmt.Sprintf(" (did you mean %q?)", near)
			}
			t.Refuse(key, "unknown key%s; accepted: %s", hint, strings.Join(accepted, ", "))
			return
		}
	}
}

// Take hands over the value of a key if it is a T.
func Take[T any](t *Table, key, want string, use func(T)) {
	v, ok := t.Values[key]
	if !ok || t.Wrong != nil {
		return
	}
	if x, ok := v.(T); ok {
		use(x)
	} else {
		t.Fail(key, fmt.Errorf("this is %s, want %s", Describe(v), want))
	}
}

// Name reads a text of a type of its own.
func Name[S ~string](t *Table, key string, into *S) {
	Take(t, key, "text in quotes", func(v string) { *into = S(v) })
}

// Flag reads true or false.
func (t *Table) Flag(key string, into *bool) {
	Take(t, key, "true or false", func(v bool) { *into = v })
}

// Number reads a number, whole or not.
func (t *Table) Number(key string, into *float64) {
	if v, ok := t.Values[key].(int64); ok {
		*into = float64(v)
		return
	}
	Take(t, key, "a number without quotes", func(v float64) { *into = v })
}

// Whole reads a whole number.
func (t *Table) Whole(key string, into *int) {
	Take(t, key, "a whole number", func(v int64) { *into = int(v) })
}

// Quantity reads a number with a unit.
func (t *Table) Quantity(key string, d quantity.Dimension, into *float64) {
	Take(t, key, fmt.Sprintf("text in quotes with a unit: %s", strings.Join(d.Units(), ", ")), func(v string) {
		x, err := quantity.Parse(v, d)
		if *into = x; err != nil {
			t.Fail(key, err)
		}
	})
}

// Tables returns the tables of a list of tables.
func (t *Table) Tables(key string) (list []*Table) {
	want := fmt.Sprintf("one [[%s]] or more", key)
	Take(t, key, want, func(items []any) {
		for i, item := range items {
			path := Element(Join(t.path, key), i+1)
			values, ok := item.(map[string]any)
			if !ok {
				t.failAt(t.doc.Value(path), path, fmt.Errorf("this is %s, want %s", Describe(item), want))
			}
			list = append(list, &Table{doc: t.doc, path: path, Values: values})
		}
	})
	return list
}

// Within hands over a table within the table, if there is one, and keeps its mistake.
func (t *Table) Within(key string, use func(in *Table)) {
	Take(t, key, fmt.Sprintf("a table: [%s]", Join(strings.TrimRight(t.path, "[]0123456789"), key)), func(v map[string]any) {
		in := &Table{doc: t.doc, path: Join(t.path, key), Values: v}
		use(in)
		t.Wrong = in.Wrong
	})
}

// List hands over the values of a list one by one, each as the value of a key of a table
// that read reads.
func (t *Table) List(key, want string, read func(in *Table, key string)) {
	Take(t, key, "a list: ["+want+", …]", func(items []any) {
		for _, v := range items {
			in := &Table{doc: t.doc, path: t.path, Values: map[string]any{key: v}}
			if read(in, key); t.Wrong == nil {
				t.Wrong = in.Wrong
			}
		}
	})
}

// Quantities reads a list of numbers with units.
func (t *Table) Quantities(key string, d quantity.Dimension, into *[]float64) {
	var list []float64
	t.List(key, fmt.Sprintf("%q", "1 "+d.Units()[0]), func(in *Table, k string) {
		var v float64
		in.Quantity(k, d, &v)
		list = append(list, v)
	})
	if t.Has(key) {
		*into = list
	}
}
