// Package trial has for tests a small display of no special merit, so that the demo may
// change without the tests noticing, and what makes grids of it short to write.
package trial

import (
	"context"
	"math"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"lodegrid/array/design"
)

const file = `
name = "test"
[board]
layers = 4
thickness = "1.6 mm"
[coil]
shape = "round"
outer = "9 mm"
turns = 10
track = "5 mil"
gap = "5 mil"
[iron]
model = "none"
[magnet]
kind = "none"
[grid]
cols = 4
rows = 3
pitch = "10 mm"
[drive]
bridge = "h-bridge"
max_duty = "100 %"
[supply]
voltage = "12 V"
[fluid]
kind = "oil-medium"
height = "2 mm"
tank_gap = "2 mm"
density_difference = "50 kg/m3"
contact_line = "0 mN/m"
drop_diameter = "7 mm"
[heat]
orientation = "vertical"
[limits]
hold = 2
false_on = 0.5
`

// Magnets are the changes that give each pixel a small bias magnet.
var Magnets = []string{"magnet.kind=pixel", "magnet.diameter=2 mm", "magnet.length=1 mm", "magnet.depth=1 mm"}

// Design is the display with changes, KEY=VALUE each.
func Design(t testing.TB, changes ...string) design.Design {
	t.Helper()
	d, err := design.Read("test.toml", strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return With(t, d, changes...)
}

// Lit is the tide sign of testdata/command/lit.toml, whose pixels are just switched.
var Lit = sync.OnceValue(func() design.Design {
	_, here, _, _ := runtime.Caller(0)
	d, err := design.ReadFile(filepath.Join(filepath.Dir(here), "../../../testdata/command/lit.toml"))
	if err != nil {
		panic(err) // the file is part of the source
	}
	d.Folder = "" // as one built in
	return d
})

// Sign is that sign with changes.
func Sign(t testing.TB, changes ...string) design.Design {
	t.Helper()
	return With(t, Lit(), changes...)
}

// With is a design with changes.
func With(t testing.TB, d design.Design, changes ...string) design.Design {
	t.Helper()
	var list []design.Change
	for _, c := range changes {
		p, err := design.ParseChange(c)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
	d, err := d.With(list...)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Build is what build, which is grid.New, makes of the changed display with so many
// samples per pitch.
func Build[G any](t testing.TB, build func(context.Context, design.Design, int) (G, error), samples int, changes ...string) G {
	t.Helper()
	g, err := build(t.Context(), Design(t, changes...), samples)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Off is by what share of b the numbers a and b differ.
func Off(a, b float64) float64 { return math.Abs(a/b - 1) }
