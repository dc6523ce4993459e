package tank

import (
	"math"
	"testing"
)

// scipy.special.ive(1, x)*kve(1, x), SciPy 1.10.1.
func TestBesselProduct(t *testing.T) {
	for _, c := range [][2]float64{{0.001, 0.4999981815778101}, {0.1, 0.4933083610063432}, {0.5, 0.4271867320641695},
		{1, 0.34017335090486744}, {3, 0.15875323885938197}, {10, 0.0498106557735426}, {50, 0.009998499436511724},
		{300, 0.0016666597221798807}, {2000, 0.0002499999765624945}} {
		if got := besselProduct(c[0]); math.Abs(got/c[1]-1) > 1e-10 {
			t.Errorf("I1(%g)K1(%g) = %.16g, want %.16g", c[0], c[0], got, c[1])
		}
	}
	if a, b := besselProduct(0.9999e3), besselProduct(1.0001e3); math.Abs(a/b-1.0002) > 1e-7 {
		t.Errorf("jump at the asymptote: %g, %g", a, b)
	}
}

func TestSinkSpeed(t *testing.T) {
	p := base()
	// The worked case of a wide drop: ½·50·9.80665·(4 mm)²/(12·10 mPa·s) = 32.7 mm/s.
	if got := p.SinkSpeed(10); math.Abs(got/0.0326888-1) > 2e-4 {
		t.Errorf("wide drop sinks at %g m/s, want 0.03269", got)
	}
	if a, b := p.SinkSpeed(0.003), p.SinkSpeed(0.006); !(a > 0 && a < b && b < 0.0327) {
		t.Errorf("small drops sink at %g and %g m/s", a, b)
	}
	if p.SinkSpeed(0) != 0 || p.SinkSpeed(math.NaN()) != 0 {
		t.Error("no radius, yet a speed")
	}
	if got, want := p.DragTime(), 1000*16e-6/0.12; math.Abs(got/want-1) > 1e-14 {
		t.Errorf("drag time %g s, want %g", got, want)
	}
}
