package render

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
)

// How near holes at the edge stand, and the first of them in their order.
func TestNameless(t *testing.T) {
	way := func(kind artwork.HoleKind, row, col int, x, y float64) artwork.Way {
		return artwork.Way{Row: row, Col: col, From: kind, End: artwork.Hole{At: r2.Vec{X: x, Y: y}}}
	}
	const in, out = artwork.WireIn, artwork.WireOut
	for _, c := range []struct {
		ways      []artwork.Way
		near, end string
	}{
		{[]artwork.Way{way(in, 5, 0, -87e-3, -60e-3), way(in, 6, 0, -85.5e-3, -58e-3), way(in, 7, 0, -87e-3, -56e-3), way(in, 5, 1, -76e-3, -60e-3)}, "as near as 2.5 mm", "the first are r6c1, r7c1, r8c1."},
		// Pairs of one column: the second hole of a pixel beside the first of the next.
		{[]artwork.Way{way(in, 0, 0, -7e-3, 35e-3), way(in, 1, 0, -7e-3, 23e-3), way(out, 0, 0, -7e-3, 25e-3)}, "as near as 2 mm", "beside them."},
		{[]artwork.Way{way(in, 0, 0, -7e-3, 35e-3), way(out, 0, 0, -7e-3, 33e-3)}, "as near as 2 mm", "beside them."},
		{[]artwork.Way{way(in, 0, 0, -7e-3, 35e-3), way(in, 0, 1, 4e-3, 35e-3)}, "not printed", "Their names are not printed."},
		{[]artwork.Way{way(in, 0, 0, -7e-3, 35e-3)}, "not printed", "Their names are not printed."},
	} {
		if got := nameless(c.ways); !strings.Contains(got, c.near) || !strings.HasSuffix(got, c.end) {
			t.Error(got)
		}
	}
}
