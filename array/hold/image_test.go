package hold

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// Far from the mirror the image is a dipole, 2V/(4π(2h)³); on a mirror at its own face the
// image is the other half of a disc twice as deep.
func TestImageFactor(t *testing.T) {
	const h = 80e-3
	want := 2 * math.Pi / 4 * 8e-3 * 8e-3 * 2e-3 / (4 * math.Pi * 8 * h * h * h)
	if k := imageFactor(8e-3, 2e-3, h); trial.Off(k, want) > 0.01 {
		t.Errorf("far: %g, a dipole %g", k, want)
	}
	// N of a disc twice as deep by parts: its two halves each weaken themselves by their own
	// N and are strengthened by the other's field: N(2d) = N(d) − k. Magnetometric factors of
	// cylinders, D.-X. Chen, J. A. Brug and R. B. Goldfarb, IEEE Trans. Magn. 27 (1991) 3601,
	// from memory: 0.6344 at a depth of a quarter of the diameter, 0.4745 at a half.
	if k := imageFactor(8e-3, 2e-3, 1e-3); math.Abs(k-(0.6344-0.4745)) > 2e-3 {
		t.Errorf("touching: %g, by the factors of cylinders %g", k, 0.6344-0.4745)
	}
}

func TestImageBound(t *testing.T) {
	at := func(changes ...string) float64 { return ImageBound(trial.Build(t, grid.New, 4, changes...)) }
	none, sheet, near, core := at(), at("iron.model=slab", "iron.gap=1.3 mm"), at("iron.model=slab", "iron.gap=0.3 mm"), at("iron.model=fem", "iron.gap=0.3 mm", "iron.core_radius=0.6 mm", "coil.turns=6")
	if none != 0 || !(sheet > 0 && near > sheet && core > near && core < 0.5) {
		t.Errorf("no steel %g, sheet %g, nearer %g, core %g", none, sheet, near, core)
	}
	t.Logf("sheet %.3f, nearer %.3f, core %.3f", sheet, near, core)
}
