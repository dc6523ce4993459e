package tank

import (
	"math"
	"os"
	"testing"

	"lodegrid/field"
)

// sinking is how fast drops of radius r side by side fall in the demo's liquids, m/s, in a
// tank of such cells; between is the liquid between them, a wall's mirror as far beside the
// outer two as their halves.
func sinking(t *testing.T, drops int, r, between, cell, off float64) (got float64, p Params) {
	p = demo(t, 4, 4, 2, 8)
	w := float64(drops) * (2*r + between)
	n := int(w/cell + 0.5)
	p.Width, p.Height = w, max(w, 10*r)
	p.Cols, p.Rows = n, int(p.Height/w*float64(n)+0.5)
	p.GravityX, p.GravityY, p.MergeGap = 0, -field.Gravity, 0.1e-3
	tk := newTank(t, p)
	for k := range drops {
		disc(t, tk, (float64(k)-float64(drops-1)/2)*(2*r+between)+off, 1.5*r+off, r)
	}
	step(t, tk, 0.6, nil)
	_, y0 := centroid(t, tk)
	const long = 1.0
	step(t, tk, long, nil)
	_, y1 := centroid(t, tk)
	return (y0 - y1) / long, p
}

// What CellError says of lone drops, against the closed form, and of drops in a row, against
// cells of a quarter of a millimetre.
func TestCellError(t *testing.T) {
	all := os.Getenv("LODEGRID_CI") != ""
	radii, sizes := []float64{0.003, 0.004}, []float64{2.67, 4}
	if all {
		radii, sizes = []float64{0.002, 0.005}, []float64{2, 2.67, 4, 5.33, 8}
	}
	for _, r := range radii {
		for _, cells := range sizes {
			for _, off := range []float64{0, 0.37} {
				got, p := sinking(t, 1, r, 10*r, r/cells, off*r/cells)
				open := 0.5 * p.DensityDifference * field.Gravity * p.Gap * p.Gap / (12 * p.Viscosity)
				want := p.SinkSpeed(r) + open*(imageFactor(p, r)-1)
				t.Logf("R %g mm, %g cells, off %g: %+.2f %%, told %.2f %%", r*1e3, cells, off, 100*(got/want-1), 100*CellError(cells))
				if math.Abs(got/want-1) > CellError(cells) {
					t.Errorf("R %g m of %g cells: %g m/s, want %g to %.1f %%", r, cells, got, want, 100*CellError(cells))
				}
			}
		}
	}
	if !all {
		return
	}
	const between = 2e-3
	want, _ := sinking(t, 3, 0.004, between, 0.25e-3, 0)
	for _, cells := range []float64{2, 2.67, 4} {
		got, _ := sinking(t, 3, 0.004, between, between/cells, 0)
		t.Logf("%g mm between drops, %g cells: %+.2f %%, told %.2f %%", between*1e3, cells, 100*(got/want-1), 100*CellError(cells))
		if math.Abs(got/want-1) > CellError(cells) {
			t.Errorf("%g cells between drops: %g m/s, want %g to %.1f %%", cells, got, want, 100*CellError(cells))
		}
	}
}

// More cells where drops are small, close or merge late, none between 5-smooth counts.
func TestCellsPerPitch(t *testing.T) {
	for _, c := range []struct {
		pitch, narrowest, merge, within float64
		want                            int
	}{
		{12e-3, 4e-3, 0.43e-3, 0.04, 12},
		{12e-3, 4e-3, 0.43e-3, 0.01, 24},
		{12e-3, 2e-3, 0.43e-3, 0.04, 24},
		{12e-3, 2.4e-3, 0.43e-3, 0.04, 18},
		{12e-3, 8e-3, 0.43e-3, 0.04, 8},
		{12e-3, 4e-3, 0.12e-3, 0.04, 20},
		{12e-3, 1e-4, 0.12e-3, 0.04, 48},
	} {
		if got := CellsPerPitch(c.pitch, c.narrowest, c.merge, c.within, 8, 48); got != c.want {
			t.Errorf("%+v: %d cells", c, got)
		}
	}
	if e := CellError(1.9); e != 1 {
		t.Errorf("below two cells it tells %g", e)
	}
}
