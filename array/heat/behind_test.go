package heat

import (
	"math"
	"testing"
)

// Limits and tabled points of the published formulas, worked by hand; the formulas are
// from memory, so these hold the code to them and to what they must go over into.
func TestBehindFormulas(t *testing.T) {
	for _, c := range []struct {
		what            string
		got, want, part float64
	}{
		// A wide gap is a plate alone: h = 0.59 k/L Ra^(1/4), the laminar plate's constant.
		{"wide channel", NusseltChannel(1e8) / math.Pow(1e8, 0.25), 0.59, 0.002},
		// A narrow one carries off what air in fully developed flow can: El/12.
		{"narrow channel", NusseltChannel(0.01), 0.01 / 12, 1e-3},
		// 144/100² + 2.873/10 = 0.3017.
		{"channel at 100", NusseltChannel(100), 1.8206, 1e-4},
		// By hand: 0.104·1e5^0.293 = 3.033, over 1 + 0.0631^1.36 = 1.0234 gives 2.964;
		// (1 + 26.03)^(1/3) = 3.001; 0.0605·46.42 = 2.808; 0.242·(1e4)^0.272 = 2.963.
		{"cavity at 1e5, aspect 10", NusseltCavity(1e5, 10), 3.001, 1e-3},
		{"cavity at rest", NusseltCavity(10, 40), 1, 1e-3},
		{"layer at its onset", NusseltLayer(1708), 1, 1e-9},
		// 1 + 1.44·(1 − 0.1708) + (10000/5830)^(1/3) − 1 = 1 + 1.194 + 0.197.
		{"layer at 1e4", NusseltLayer(1e4), 2.391, 1e-3},
	} {
		if math.Abs(c.got/c.want-1) > c.part {
			t.Errorf("%s: %g, want %g", c.what, c.got, c.want)
		}
	}
}

// The less air behind it, the less a face loses; far off a wall does not matter to
// convection, and a case as large as the room is a free face with a gap before it.
func TestBehindOrder(t *testing.T) {
	free := Film{Length: 0.12, Emissivity: 0.9}
	with := func(b Behind) float64 {
		f := free
		b.Width, b.Height = 0.192, 0.12
		f.Behind = &b
		q, _ := f.Flux(340, 300, 300)
		return q
	}
	alone, _ := free.Flux(340, 300, 300)
	still := with(Behind{Kind: Wall, Gap: 0.01})
	last := alone * 1.0001
	for _, gap := range []float64{0.5, 0.05, 0.01, 0.004, 0.001} {
		q := with(Behind{Kind: Wall, Gap: gap})
		if !(q > 0 && q < last) {
			t.Errorf("a gap of %g m: %g W/m², after %g with a wider one", gap, q, last)
		}
		last = q
	}
	sealed := with(Behind{Kind: Sealed, Gap: 0.01, CaseArea: 0.006, CaseLength: 0.12, CaseEmissivity: 0.9})
	closed := with(Behind{Kind: Case, Gap: 0.01, CaseArea: 0.03, CaseLength: 0.12, CaseEmissivity: 0.9})
	vented := with(Behind{Kind: Case, Gap: 0.01, CaseArea: 0.03, CaseLength: 0.12, CaseEmissivity: 0.9, Vents: 2e-4})
	if !(sealed < closed && closed < vented && vented < alone) {
		t.Errorf("sealed %g, closed %g, vented %g, free %g W/m²", sealed, closed, vented, alone)
	}
	// Blown through a narrow gap the air leaves nearly as warm as the face: 0.2 m/s through
	// 2 mm along 192 mm carries off ρ c v gap/width = 1.11·1007·0.2·0.002/0.192 = 2.33 W/m²K
	// at 320 K and no more; the draught and radiation from a gap so narrow add little.
	free.AirSpeed, free.FlowLength, free.Emissivity = 0.2, 0.192, 0
	if q := with(Behind{Kind: Wall, Gap: 2e-3}); !(q > 0.95*2.33*40 && q < 1.02*2.33*40) {
		t.Errorf("blown through 2 mm: %g W/m²K", q/40)
	}
	free.AirSpeed = 2
	if slow, fast := still, with(Behind{Kind: Wall, Gap: 0.01}); !(fast > 1.5*slow) {
		t.Errorf("a gap of 10 mm: %g W/m² still, %g blown at 2 m/s", slow, fast)
	}
	free.AirSpeed = 0
	if q := with(Behind{Kind: Clamped, Contact: 1e-3}); math.Abs(q-40e3) > 1e-6 {
		t.Errorf("clamped: %g W/m²", q)
	}
}

// What goes into a case without vents comes out of it.
func TestCaseGivesOffWhatItGets(t *testing.T) {
	f := Film{Length: 0.12, Emissivity: 0.9, Behind: &Behind{
		Kind: Case, Gap: 0.01, Width: 0.192, Height: 0.12, CaseArea: 0.03, CaseLength: 0.13, CaseWall: 0.02, CaseEmissivity: 0.8}}
	outside := Film{Orientation: Vertical, Length: 0.13, Emissivity: 0.8}
	for _, rise := range []float64{-60, -1, 1e-3, 1, 40, 250} {
		for _, walls := range []float64{300, 290, 315} {
			flux, outer := f.intoCase(rise, 300, walls)
			if out := outside.bare(outer, 300, walls) * 0.03 / (0.192 * 0.12); math.Abs(out-flux) > 1e-8*(math.Abs(flux)+1) {
				t.Errorf("rise %g K, walls %g K: %g W/m² in, %g out", rise, walls, flux, out)
			}
		}
	}
}
