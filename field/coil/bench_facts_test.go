package coil

import "testing"

// A twelve-layer coil as it lay on a bench (common practice, no source): round, 4 mil
// track and gap, 1 oz copper, about 9.3 mm outside, board of 2 mm; about 19 Ω and
// 255 µH. Turns and inner size are not known. Picked once: 0.2 mm drills with the
// usual ring, and as many whole turns as the ring of six vias in the middle leaves.
//
// The resistance agrees. The inductance does not, and no choice of turns makes it:
// the second test shows that nothing of this outline reaches it in air. Standing on a
// thick steel plate it would. The numbers are reported, not adjusted.
func benchCoil(t *testing.T, turns float64) *Coil {
	return build(t, Spec{
		Shape: Round, Outer: 9.3e-3, Turns: turns, Track: 4 * mil, Gap: 4 * mil,
		Layers: board(t, 12), ViaDrill: 0.2e-3, ViaPlating: 20e-6,
	})
}

const (
	benchResistance = 19.0
	benchInductance = 255e-6
)

func TestBenchCoil(t *testing.T) {
	c := benchCoil(t, 18)
	r, l := c.Resistance(293.15), c.Inductance()
	steel := c.InductanceOnSteel(-2e-3, 1)
	off := func(v, bench float64) float64 { return 100 * (v/bench - 1) }
	t.Logf("18 turns per layer, inner %.3g mm: %.4g Ω, %+.1f %% of the bench's 19 Ω", c.Spec().Inner*1e3, r, off(r, benchResistance))
	t.Logf("in air %.4g µH, %+.1f %% of the bench's 255 µH; on perfect steel %.4g µH, %+.1f %%", l*1e6, off(l, benchInductance), steel*1e6, off(steel, benchInductance))
	if e := relative(r, benchResistance); e > 0.15 {
		t.Errorf("resistance %g Ω is %.0f %% off the bench", r, 100*e)
	}
	if d := off(l, benchInductance); d < -40 || d > -35 {
		t.Errorf("inductance %g µH in air is %.1f %% off the bench; what is written above no longer holds", l*1e6, d)
	}
}

// Whatever the turns and the vias, this outline holds less than 170 µH in air: the
// simple rule for a short multilayer coil (H. A. Wheeler 1928, from memory),
// L = 31.6 µH/m N² a²/(6a + 9l + 10b) with a the mean radius, l the length and b the
// depth of the winding, agrees with the sums at every number of turns.
func TestBenchInductanceBound(t *testing.T) {
	for turns := 8.0; turns <= 21; turns++ {
		s := Spec{
			Shape: Round, Outer: 9.3e-3, Turns: turns, Track: 4 * mil, Gap: 4 * mil,
			Layers: board(t, 12), ViaDrill: 1e-6, ViaPlating: 0.1e-6, ViaRing: 1e-6,
		}
		c, err := New(s, Rules{})
		if err != nil {
			t.Fatal(err)
		}
		depth := turns * s.pitch()
		n, a := 12*turns, s.Outer/2-depth/2
		rule := 31.6e-6 * n * n * a * a / (6*a + 9*2e-3 + 10*depth)
		l := c.Inductance()
		if e := relative(rule, l); e > 0.06 {
			t.Errorf("%g turns: %g µH, Wheeler's rule %g µH", turns, l*1e6, rule*1e6)
		}
		if l > 170e-6 {
			t.Errorf("%g turns: %g µH; the bound in this test's comment is wrong", turns, l*1e6)
		}
	}
}
