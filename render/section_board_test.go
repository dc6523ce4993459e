package render

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
)

// How near holes at the edge stand, and the first of them in their order.
func TestNameless(t *testing.T) {
	way := func(row, col int, x, y float64) artwork.Way {
		return artwork.Way{Row: row, Col: col, End: artwork.Hole{At: r2.Vec{X: x, Y: y}}}
	}
	ways := []artwork.Way{way(5, 0, -87e-3, -60e-3), way(6, 0, -85.5e-3, -58e-3), way(7, 0, -87e-3, -56e-3), way(5, 1, -76e-3, -60e-3)}
	if got := nameless(ways); !strings.Contains(got, "2.5 mm apart") || !strings.HasSuffix(got, "the first are r6c1, r7c1, r8c1.") {
		t.Error(got)
	}
	if got := nameless(ways[:1]); strings.Contains(got, "apart") {
		t.Error(got)
	}
}
