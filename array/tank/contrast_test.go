package tank

import (
	"math"
	"testing"
)

// A drop in a carrier of another viscosity, against SinkSpeed, the shear layer included;
// far off, where the walls are, it is a dipole that is as strong as it is fast. Liquids that
// are all but alike go the same way.
func TestSinkInAnotherLiquid(t *testing.T) {
	for _, ratio := range []float64{1.0000001, 3, 10} {
		for cells, most := range map[int]float64{8: 0.04, 12: 0.03} {
			p := demo(t, 4, 4, 2, cells)
			p.OuterViscosity = ratio * p.Viscosity
			tk := newTank(t, p)
			disc(t, tk, 0.0002, 0.0003, 0.004)
			step(t, tk, 0.6, nil)
			_, y0 := centroid(t, tk)
			rounds := tk.contrast.rounds
			st := step(t, tk, 0.6, nil)
			_, y1 := centroid(t, tk)
			got, want := (y0-y1)/0.6, p.SinkSpeed(0.004)*imageFactor(p, 0.004)
			t.Logf("carrier %.3g times as viscous, %d cells: %.4g m/s, theory %.4g: %+.2f %%; %.1f rounds a step, mass %.1g", p.OuterViscosity/p.Viscosity, cells, got, want, (got/want-1)*100,
				float64(tk.contrast.rounds-rounds)/float64(st.Substeps), st.MassError)
			if math.Abs(got/want-1) > most || math.Abs(st.MassError) > 1e-12 {
				t.Errorf("ratio %g, %d cells: sinks at %g m/s, want %g; mass is off by %g", ratio, cells, got, want, st.MassError)
			}
		}
	}
}
