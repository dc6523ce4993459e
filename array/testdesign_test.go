package array

import (
	"strings"
	"testing"

	"lodegrid/array/design"
)

// testFile is a small display of no special merit, so that the demo may change
// without these tests noticing.
const testFile = `
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

func testDesign(t testing.TB, changes ...string) design.Design {
	t.Helper()
	d, err := design.Read("test.toml", strings.NewReader(testFile))
	if err != nil {
		t.Fatal(err)
	}
	var list []design.Change
	for _, c := range changes {
		p, err := design.ParseChange(c)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
	if d, err = d.With(list...); err != nil {
		t.Fatal(err)
	}
	return d
}

func testGrid(t testing.TB, samples int, changes ...string) *Grid {
	t.Helper()
	g, err := Build(t.Context(), testDesign(t, changes...), samples)
	if err != nil {
		t.Fatal(err)
	}
	return g
}
