package tank

import (
	"math"
	"testing"

	"lodegrid/field"
)

// Over a floor the fluid moves as in a tank that ends there, of one viscosity and of two.
func TestFloorIsWhereTheTankEnds(t *testing.T) {
	for _, outer := range []float64{0, 0.0045} {
		p := demo(t, 3, 3, 1, 8)
		p.GravityY, p.OuterViscosity = -field.Gravity, outer
		short := p
		strip := 5 * p.Height / float64(p.Rows)
		p.Floor = strip * 1.04 // to whole cells
		short.Rows -= 5
		short.Height -= strip
		var tanks [2]*Tank
		for n, q := range []Params{p, short} {
			tk := newTank(t, q)
			up := float64(1-n) * strip / 2
			disc(t, tk, 0.003, 0.006+up, 0.004)
			disc(t, tk, -0.009, -0.014+up, 0.004)
			tk.FillBelow(0.004)
			step(t, tk, 0.5, nil)
			tanks[n] = tk
		}
		a, b := tanks[0].Fraction(), tanks[1].Fraction()
		if len(a) != p.Rows*p.Cols || len(b) != len(a)-5*p.Cols {
			t.Fatalf("%d and %d cells", len(a), len(b))
		}
		for k, c := range a {
			want := 0.0
			if k < len(b) {
				want = b[k]
			}
			if math.Abs(c-want) > 1e-7 { // the pressure of two is found to a part in a million
				t.Fatalf("outer %g, cell %d: share %g, in the tank that ends there %g", outer, k, c, want)
			}
		}
	}
}
