package iron

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rings and fans that stand for a disc from afar keep its field, also where its middle is
// magnetised against its rim so that hardly any moment is left.
func TestStandInKeepsTheField(t *testing.T) {
	const radius, height, away = 9e-3, 2e-3, 11e-3
	for order := 1; order <= 4; order++ {
		for _, opposed := range []float64{0, 0.5, 1.999, 2, 2.001, 4} {
			var rings Rings
			round := fans{order: order}
			for i := range 40 {
				for k := range 8 {
					u := (float64(i) + 0.5) / 40
					r, z := radius*u, height*(float64(k)+0.5)/8
					m := 1 - opposed*u*u // without moment at opposed = 2
					rings = append(rings, ring{r, z, 0.2 * m * u, m})
					round.list = append(round.list, fan{r, z, m, -m * u, 0.1 * m})
				}
			}
			near, far := rings.From(away), round.from(away)
			if len(near) >= len(rings)/4 || len(far.list) >= len(round.list)/4 {
				t.Errorf("%d of %d rings and %d of %d fans are left", len(near), len(rings), len(far.list), len(round.list))
			}
			// What the same matter gives if nothing cancels.
			size, broad := make(Rings, len(rings)), fans{order, make([]fan, len(round.list))}
			for i, g := range rings {
				size[i] = ring{g.r, g.z, 0, math.Abs(g.mz)}
				broad.list[i] = fan{g.r, g.z, math.Abs(round.list[i].mr), -math.Abs(round.list[i].mp), 0}
			}
			for _, p := range []r3.Vec{{X: radius + away}, {X: 1.5*radius + away, Z: 1e-3}, {X: 40e-3, Z: -2e-3}, {Y: radius + away, Z: 3e-3}} {
				for _, c := range []struct {
					name             string
					got, want, whole r3.Vec
				}{
					{"rings", near.B(p), rings.B(p), size.B(p)},
					{"fans", far.B(p), round.B(p), broad.B(p)},
				} {
					if off := r3.Norm(r3.Sub(c.got, c.want)) / r3.Norm(c.whole); !(off < 0.02) {
						t.Errorf("%s, order %d, rim at %g: %g off at %v, want within 0.02 of what the matter gives", c.name, order, 1-opposed, off, p)
					}
				}
			}
		}
	}
}
