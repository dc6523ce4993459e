package scope

import (
	"strconv"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// newScope plays the demo's coil in a grid of another size with the tide.
func newScope(tb testing.TB, cols, rows int, changes ...design.Change) *Scope {
	tb.Helper()
	d, err := design.Demo().With(append([]design.Change{
		{Key: "grid.cols", Value: strconv.Itoa(cols)}, {Key: "grid.rows", Value: strconv.Itoa(rows)},
	}, changes...)...)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := scenes.Defaults("tide", rows, cols)
	if err != nil {
		tb.Fatal(err)
	}
	s, err := scenes.Generate("tide", p)
	if err != nil {
		tb.Fatal(err)
	}
	m := scenes.DefaultMapping()
	m.Kind = scenes.Threshold
	if s, err = m.Scene(s); err != nil {
		tb.Fatal(err)
	}
	c, err := New(d, s)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}
