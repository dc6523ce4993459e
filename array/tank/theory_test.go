package tank

import (
	"math"
	"testing"

	"lodegrid/field"
)

// The speed of a drop in a liquid of its own viscosity is ½ − I₁K₁ of the open one's;
// I₁K₁ is scipy.special.ive(1, x)*kve(1, x), SciPy 1.10.1.
func TestSinkSpeedOfOneViscosity(t *testing.T) {
	for _, c := range [][2]float64{{0.1, 0.4933083610063432}, {0.5, 0.4271867320641695},
		{1, 0.34017335090486744}, {3, 0.15875323885938197}, {10, 0.0498106557735426}, {50, 0.009998499436511724},
		{300, 0.0016666597221798807}, {2000, 0.0002499999765624945}} {
		p := base()
		open := p.DensityDifference * field.Gravity * p.Gap * p.Gap / (12 * p.Viscosity)
		if got, want := p.SinkSpeed(c[0]*p.Gap/math.Sqrt(12))/open, 0.5-c[1]; math.Abs(got-want) > 1e-9 {
			t.Errorf("mR %g: %.12g of the open speed, want %.12g", c[0], got, want)
		}
	}
}

// A wide drop moves as in a porous body: Δρ g b²/12(η1+η2), the shear layer being nothing to
// it; and a drop of any viscosity moves faster the thinner either liquid is.
func TestSinkSpeedOfTwoViscosities(t *testing.T) {
	p := base()
	for _, ratio := range []float64{0.01, 0.1, 1, 10, 100} {
		p.OuterViscosity = p.Viscosity * ratio
		want := p.DensityDifference * field.Gravity * p.Gap * p.Gap / (12 * (p.Viscosity + p.OuterViscosity))
		if got := p.SinkSpeed(1e3); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("ratio %g: a wide drop sinks at %g m/s, want %g", ratio, got, want)
		}
		q := p
		q.OuterViscosity *= 1.1
		if a, b := p.SinkSpeed(0.003), q.SinkSpeed(0.003); !(b < a && b > a/1.1) {
			t.Errorf("ratio %g: %g m/s, in a liquid a tenth thicker %g", ratio, a, b)
		}
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
