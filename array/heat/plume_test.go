package heat

import (
	"math"
	"testing"
)

// A face of one temperature keeps its mean and loses by ¾ (x/H)^(−1/4) over its height;
// rows over a warm one are warmed, ever less the higher; no level face has a plume, no
// sealed one.
func TestPlume(t *testing.T) {
	const rows, area = 10, 1.44e-4
	p := Params{Rows: rows, Cols: 1, Ambient: 300, Layers: []Layer{{Capacity: 1, Lateral: 0.01, Front: area, Back: area}},
		Front: Film{Length: 0.12, Coefficient: 8}, Back: Film{Orientation: FaceUp, Length: 0.12}}
	n := mustNew(t, p)
	warm := func(at func(row int) float64) []float64 {
		list := make([]float64, rows)
		for r := range list {
			list[r] = 300 + at(r)
		}
		return n.plume([][]float64{list})
	}
	even := warm(func(int) float64 { return 20 })
	sum := 0.0
	for r, w := range even {
		sum += w
		a, b := float64(rows-1-r)/rows, float64(rows-r)/rows
		want := 8 * area * 20 * (1 - rows*(math.Pow(b, 0.75)-math.Pow(a, 0.75)))
		if math.Abs(w-want) > 1e-12 {
			t.Errorf("row %d keeps %g W more than its film says, want %g", r, w, want)
		}
	}
	if math.Abs(sum) > 1e-12 {
		t.Errorf("a face of one temperature loses %g W less as a whole", sum)
	}
	one := warm(func(r int) float64 {
		if r == rows-2 {
			return 20
		}
		return 0
	})
	if one[rows-1] != 0 {
		t.Errorf("the row below a warm one gets %g W", one[rows-1])
	}
	for r := range rows - 3 {
		if !(one[r] > 0 && one[r] < one[r+1]) {
			t.Errorf("over a warm row, row %d gets %g W and the one below it %g", r, one[r], one[r+1])
		}
	}
	p.Front.Behind = &Behind{Kind: Sealed, Gap: 0.01, Width: 0.12, Height: 0.12, CaseArea: 0.01, CaseLength: 0.12, CaseEmissivity: 0.9}
	n = mustNew(t, p)
	for r, w := range warm(func(int) float64 { return 20 }) {
		if w != 0 {
			t.Errorf("sealed, row %d: %g W", r, w)
		}
	}
}
