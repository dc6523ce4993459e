package quantity

import "testing"

// Every spelling of every unit reads as that unit, at its factor, and no spelling
// stands for two units of one dimension.
func TestSpellings(t *testing.T) {
	if len(all) < 25 {
		t.Fatalf("only %d dimensions", len(all))
	}
	names := map[string]bool{}
	for _, d := range all {
		if d.Name() == "" || names[d.Name()] {
			t.Errorf("dimension name %q is empty or taken", d.Name())
		}
		names[d.Name()] = true
		seen := map[string]string{}
		hasSI := false
		for i := range d.d.units {
			u := &d.d.units[i]
			hasSI = hasSI || u.symbol == d.SI()
			for _, s := range append([]string{u.symbol}, u.also...) {
				if first, twice := seen[normal(s)]; twice && first != u.symbol {
					t.Errorf("%s: %q stands for %s and %s", d, s, first, u.symbol)
				}
				seen[normal(s)] = u.symbol
				v, err := Parse("300 "+s, d)
				if err != nil {
					t.Errorf("%s: %v", d, err)
				} else if v != 300*u.scale && u.offset == nil && (v/(300*u.scale)-1 > 1e-15 || v/(300*u.scale)-1 < -1e-15) {
					t.Errorf("%s: 300 %s = %v, want %v", d, s, v, 300*u.scale)
				}
			}
		}
		if !hasSI && d != Ratio {
			t.Errorf("%s: the SI unit %s is not accepted", d, d.SI())
		}
	}
}
