package verdict

import (
	"math"
	"slices"
	"testing"

	"lodegrid/scenes/player"
)

// The hold as cold and as warm as the liquids get is that of a display whose liquids are so,
// but for the place of the weakest drop.
func TestHoldByTemperature(t *testing.T) {
	d := small(t, "heat.ambient=0 degC to 40 degC", "fluid.density_difference=30 kg/m3", "drive.max_duty=12 %", "fluid.density_drift=-0.3 kg/m³/K")
	v := judged(t, d, marching())
	for _, end := range v.Liquids {
		so := d
		so.Fluid = end.Fluid
		so.Fluid.Relaxation = d.Fluid.Relaxation
		if got := judged(t, so, marching()).Summary.LeastHold; math.Abs(end.Hold/got-1) > 0.04 {
			t.Errorf("at %.1f °C: hold %.4g, played %.4g (%.4g as designed)", end.Fluid.Temperature-273.15, end.Hold, got, v.Summary.LeastHold)
		}
	}
	if cold, warm := v.Liquids[0].Fluid, v.Liquids[1].Fluid; cold.Temperature != 273.15 || !(warm.Temperature > 313.15) || warm.Temperature > slices.Max(v.Ledger.PixelPeak) {
		t.Errorf("from %g K to %g K", cold.Temperature, warm.Temperature)
	}
}

// Liquids whose difference turns between cold and warm are told, and so is a hold that the
// cold takes; every remedy mends it when it is played, and states what it was said to.
func TestDriftIsMended(t *testing.T) {
	keep := []string{"limits.touch=200 degC", "limits.board=300 degC", "limits.false_on=100", "supply.power=100 W", "fluid.temperature=20 degC", "heat.ambient=0 degC to 40 degC"}
	for _, c := range []struct {
		changes []string
		limit   Limit
	}{
		{[]string{"fluid.density_difference=10 kg/m3", "fluid.density_drift=-0.5 kg/m³/K", "limits.hold=0.1"}, Turned},
		{[]string{"fluid.density_difference=-10 kg/m3", "fluid.density_drift=-0.7 kg/m³/K", "limits.hold=0.1"}, Turned},
		{[]string{"fluid.density_difference=20 kg/m3", "fluid.density_drift=-0.15 kg/m³/K", "limits.hold=0.315"}, Drift},
	} {
		d := small(t, append(c.changes, keep...)...)
		v := judged(t, d, marching())
		if got := limits(v); !slices.Equal(got, []Limit{c.limit}) {
			t.Errorf("%v: broken are %v at a hold of %.3g, %+v", c.changes, got, v.Summary.LeastHold, v.Liquids)
			continue
		}
		if len(v.Problems[0].Remedies) == 0 {
			t.Errorf("%v: no remedy", c.changes)
		}
		for _, r := range v.Problems[0].Remedies {
			mended, err := d.With(r.Set...)
			if err != nil {
				t.Fatal(err)
			}
			if again := judged(t, mended, marching()); len(again.Problems) != 0 {
				t.Errorf("%v with %v: broken are %v", c.changes, r.Set, limits(again))
			}
		}
	}
	lying := small(t, "fluid.density_difference=10 kg/m3", "fluid.density_drift=-0.5 kg/m³/K", "heat.orientation=face-up")
	if got := limits(judged(t, lying, marching())); slices.Contains(got, Turned) || slices.Contains(got, Drift) {
		t.Errorf("a display that lies: %v", got)
	}
}

// Liquids that weigh the other way round than the design says are told, at one end or at
// both: a pair that matches at 20 °C may have turned before the display is on.
func TestTurnedLiquids(t *testing.T) {
	for _, c := range []struct{ design, cold, warm, want float64 }{
		{10, 8, -2, -2}, {10, 8, 3, 0}, {-10, -8, 2, 2}, {1, -0.2, -12, -12}, {-1, 3, 0.5, 3}, {5, 0, 4, 0},
	} {
		var ends [2]Liquids
		ends[0].Fluid.DensityDifference, ends[1].Fluid.DensityDifference = c.cold, c.warm
		if got := turned(c.design, ends); got != c.want {
			t.Errorf("%g kg/m³ by the design, %g cold and %g warm: %g, want %g", c.design, c.cold, c.warm, got, c.want)
		}
	}
}

// Too little fluid for the fullest picture, and liquids that grow by more than there is room
// for, are told with remedies that mend it when they are played; the growth is that of either
// liquid, by hand.
func TestFillIsMended(t *testing.T) {
	keep := []string{"limits.touch=200 degC", "limits.board=300 degC", "limits.hold=0.1", "limits.false_on=100", "supply.power=100 W"}
	for _, c := range []struct {
		changes []string
		limit   Limit
	}{
		{[]string{"fluid.volume=0.4 mL"}, Filled},
		{[]string{"tank.room=0.1 %", "fluid.volume=2 mL", "fluid.expansion=0.08 %/K", "fluid.carrier_expansion=0.03 %/K"}, Room},
	} {
		d := small(t, append(c.changes, keep...)...)
		v := judged(t, d, marching())
		if got := limits(v); !slices.Equal(got, []Limit{c.limit}) {
			t.Errorf("%v: broken are %v", c.changes, got)
			continue
		}
		p := v.Problems[0]
		if c.limit == Filled && (math.Abs(p.Value-0.4e-6) > 1e-12 || math.Abs(p.Bound-6*v.Fill.Drop) > 1e-12) {
			t.Errorf("%g m³ of %g needed", p.Value, p.Bound)
		}
		if c.limit == Room {
			inside, kelvin := 60e-3*72e-3*d.Fluid.TankGap, v.Liquids[1].Fluid.Temperature-d.Fluid.Temperature
			if want := kelvin * (8e-4*2e-6 + 3e-4*(0.999*inside-2e-6)) / inside; math.Abs(p.Value/want-1) > 1e-9 {
				t.Errorf("grows by %g, want %g", p.Value, want)
			}
		}
		if len(p.Remedies) == 0 {
			t.Errorf("%v: no remedy", c.changes)
		}
		for _, r := range p.Remedies {
			mended, err := d.With(r.Set...)
			if err != nil {
				t.Fatal(err)
			}
			if again := judged(t, mended, marching()); len(again.Problems) != 0 {
				t.Errorf("%v with %v: broken are %v", c.changes, r.Set, limits(again))
			}
		}
	}
}

// Fluid beyond what the fullest picture needs is the first thing tried when too little shows.
func TestSpareFluidIsTried(t *testing.T) {
	for _, c := range []struct {
		volume string
		tried  bool
	}{{"0.7 mL", true}, {"0.4 mL", false}, {"0 mL", false}} {
		p := playerOf(t, small(t, "fluid.volume="+c.volume))
		x := &played{player: p, scene: marching(), wanted: marching()}
		need := player.FillOf(p.Grid(), x.scene).Need
		dial := x.dials(0)[0]
		first := dial.set(dial.to)[0]
		if tried := first.Key == string(Filled); tried != c.tried {
			t.Errorf("%s of %.3g m³: tried %v", c.volume, need, first)
		} else if want := filling(need)[0]; tried && first != want {
			t.Errorf("%s: %v, want %v", c.volume, first, want)
		}
	}
}

// By hand: 4 % of a tank is air at 20 °C; warmed to 60 °C its liquids take three quarters of that, so that
// it has 4 × 333.15/293.15 of the air's pressure, 460.6 kPa; where they take all of it, there is no end.
func TestPressureInAClosedTank(t *testing.T) {
	d := small(t, "fluid.temperature=20 degC", "tank.room=4 %")
	v := &Verdict{Grows: 0.03, Liquids: [2]Liquids{{Fluid: d.Fluid}, {Fluid: d.Fluid}}}
	v.Liquids[1].Fluid.Temperature = 333.15
	if p := v.Closed(d); math.Abs(p/460.6e3-1) > 1e-4 {
		t.Errorf("%g Pa, want 460.6 kPa", p)
	}
	if v.Grows = 0.04; !math.IsInf(v.Closed(d), 1) {
		t.Errorf("no room left, yet %g Pa", v.Closed(d))
	}
}
