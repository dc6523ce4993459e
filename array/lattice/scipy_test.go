package lattice

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// TestAgainstSciPy holds the yardstick against values of
// scipy.signal.fftconvolve on the fine raster, kept in testdata/superpose with
// their origin; .ci/checks/superpose_scipy.py computes them afresh.
func TestAgainstSciPy(t *testing.T) {
	data, err := os.ReadFile("../../testdata/superpose/scipy.json")
	if err != nil {
		t.Fatal(err)
	}
	var stored struct {
		Values  [][4]float64 // component, raster row, raster column, value
		Largest []float64    // magnitude of each component
	}
	if err := json.Unmarshal(data, &stored); err != nil {
		t.Fatal(err)
	}
	if len(stored.Values) == 0 || len(stored.Largest) != 3 {
		t.Fatalf("%d values and %d largest magnitudes stored", len(stored.Values), len(stored.Largest))
	}
	// The levels of testdata/rivals/superpose_problem.py.
	levels := make([]float64, yardstick.Pixels())
	for p := range levels {
		levels[p] = 2*math.Mod(float64(p+1)*0.6180339887498949, 1) - 1
	}
	e := mustNew(t, yardstick, square, Field())
	p := rasters(yardstick)
	e.Superpose(p, levels)
	worst := 0.0
	for _, v := range stored.Values {
		c, i, j := int(v[0]), int(v[1]), int(v[2])
		got := p[c][i*yardstick.RasterCols()+j]
		d := math.Abs(got-v[3]) / stored.Largest[c]
		worst = max(worst, d)
		if !(d <= 1e-12) {
			t.Errorf("component %d, sample (%d, %d): %.17g, SciPy %.17g", c, i, j, got, v[3])
		}
	}
	for c, want := range stored.Largest {
		if got := largest(p[c]); !(math.Abs(got-want) <= 1e-12*want) {
			t.Errorf("largest magnitude of component %d: %.17g, SciPy %.17g", c, got, want)
		}
	}
	t.Logf("largest difference %.1e of the largest value", worst)
}
