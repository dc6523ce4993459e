package live

import (
	"math"
	"testing"
)

// What is under the pointer stays there while the tank is enlarged, and the part shown
// never leaves the tank.
func TestZoom(t *testing.T) {
	z := zoom{factor: 1}
	for n := range 40 {
		u, v := 0.2+0.015*float64(n), 0.7
		x, y := z.share(u, v)
		before := z
		z = z.by(1.25, u, v)
		if a, b := z.share(u, v); math.Abs(a-x) > 1e-12 || math.Abs(b-y) > 1e-12 {
			t.Errorf("at %g times what was at (%g, %g) moves to (%g, %g)", z.factor, x, y, a, b)
		}
		if a, b := z.part(z.share(u, v)); math.Abs(a-u) > 1e-12 || math.Abs(b-v) > 1e-12 {
			t.Errorf("(%g, %g) comes back as (%g, %g)", u, v, a, b)
		}
		if z.factor > mostZoom || z.factor < before.factor {
			t.Errorf("from %g times to %g", before.factor, z.factor)
		}
	}
	for range 40 {
		z = z.by(0.8, 0.9, 0.1)
		if side := 1 / z.factor; z.x < 0 || z.y < 0 || z.x+side > 1+1e-12 || z.y+side > 1+1e-12 {
			t.Fatalf("%+v leaves the tank", z)
		}
	}
	if z != (zoom{factor: 1}) {
		t.Errorf("made small again it shows %+v", z)
	}
}
