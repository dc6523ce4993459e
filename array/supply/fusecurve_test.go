package supply

import (
	"math"
	"testing"
)

// The limits of IEC 60127-2 as quoted by a secondary source (sheet 2: 125 mA to 10 A) and
// from memory (sheet 3), and between them what follows from a greater current opening a
// fuse sooner.
func TestFuseOpens(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		kind             FuseKind
		ratio            float64
		earliest, latest float64
	}{
		{QuickActing, 1, 3600, inf}, {QuickActing, 1.5, 3600, inf}, {QuickActing, 2, 0.05, inf},
		{QuickActing, 2.1, 0.05, 1800}, {QuickActing, 2.75, 0.05, 2}, {QuickActing, 3, 0.01, 2}, {QuickActing, 4, 0.01, 0.3},
		{QuickActing, 10, 0, 0.02}, {QuickActing, 50, 0, 0.02},
		{TimeLag, 1.2, 3600, inf}, {TimeLag, 2.1, 0.6, 120}, {TimeLag, 2.75, 0.6, 10}, {TimeLag, 4, 0.15, 3},
		{TimeLag, 10, 0.02, 0.3}, {TimeLag, 11, 0, 0.3},
	} {
		if a, b := c.kind.Opens(c.ratio); a != c.earliest || b != c.latest {
			t.Errorf("%s at %g times its rating: %g to %g s, want %g to %g", c.kind, c.ratio, a, b, c.earliest, c.latest)
		}
	}
	for _, k := range []FuseKind{QuickActing, TimeLag} {
		last, first := inf, inf
		for r := 1.0; r < 20; r *= 1.01 {
			a, b := k.Opens(r)
			if a > b || a > first || b > last {
				t.Fatalf("%s at %g times its rating opens between %g and %g s, with less current between %g and %g", k, r, a, b, first, last)
			}
			first, last = a, b
		}
	}
}

func TestFuseFor(t *testing.T) {
	for _, c := range []struct{ current, rating float64 }{{0.01, 0.125}, {0.2, 0.25}, {0.21, 0.315}, {0.7, 1}, {1.6, 2}} {
		if got, ok := FuseFor(c.current); !ok || got != c.rating {
			t.Errorf("for %g A: %g A, %v; want %g A", c.current, got, ok, c.rating)
		}
	}
	if _, ok := FuseFor(1e4); ok {
		t.Error("a fuse of more than is sold")
	}
}
