package hold

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// the two. In between it is between, and steady current is felt alike by all.
func TestHoldFollowsTheRipple(t *testing.T) {
	hold := func(changes ...string) (*grid.Grid, float64) {
		g := trial.Build(t, grid.New, 8, append(changes, "supply.voltage=3 V", "drive.max_duty=20 %", "drive.frequency=20 kHz")...)
		v := LoneHold(g)
		return g, v
	}
	g, all := hold("fluid.relaxation=0 s")
	_, none := hold("fluid.relaxation=1 h")
	_, some := hold("fluid.relaxation=10 us")
	mean := g.Pixel.Full.Mean()
	if want := g.Pixel.Full.On.MeanSquare * g.Pixel.Full.Share / (mean * mean); trial.Off(all/none, want) > 2e-3 || want < 2 {
		t.Errorf("holds %g and %g, a ratio of %g; the currents' is %g", all, none, all/none, want)
	}
	if !(some > 1.1*none && some < 0.95*all) {
		t.Errorf("10 µs: %g between %g and %g", some, none, all)
	}
	g.Design.Fluid.Relaxation = math.Inf(1)
	if v := LoneHold(g); trial.Off(v, none) > 1e-6 {
		t.Errorf("an endless relaxation: %g, want %g", v, none)
	}
	for _, tau := range []string{"0 s", "10 us", "1 h"} {
		d := trial.Build(t, grid.New, 8, "fluid.relaxation="+tau)
		v := LoneHold(d)
		plain, states := make([]float64, d.Design.Pixels()), make([]grid.State, d.Design.Pixels())
		k := d.Design.Pixel(1, 2)
		plain[k], states[k] = d.Pixel.FullCurrent, grid.Lit
		if want, _ := New(d).RatioAt(1, 2, d.Field(grid.Steady(plain)), states); trial.Off(v, want) > 1e-9 {
			t.Errorf("relaxation %s: steady current holds %g, want %g", tau, v, want)
		}
	}
}

// With a magnet the cross term follows the mean: relaxation matters far less than without.
func TestBiasFollowsTheMean(t *testing.T) {
	gain := func(changes ...string) float64 {
		hold := func(tau string) float64 {
			v := LoneHold(trial.Build(t, grid.New, 8, append(changes, "drive.max_duty=20 %", "fluid.relaxation="+tau)...))
			return v
		}
		return hold("0 s")/hold("1 h") - 1
	}
	with, without := gain(trial.Magnets...), gain()
	if !(with > 0 && with < 0.2*without) {
		t.Errorf("the ripple adds %g of the hold with magnets, %g without", with, without)
	}
}

// A scan that is quick against the fluid is felt as the mean field, a slow one turn by turn.
func TestFluidFollowsTheTurns(t *testing.T) {
	scan := []string{"drive.mode=scan", "drive.scan_time=8 ms", "grid.rows=8", "drive.frequency=100 kHz"}
	hold := func(tau string) float64 {
		v := LoneHold(trial.Build(t, grid.New, 4, append(scan, "fluid.relaxation="+tau, "supply.voltage=3 V")...))
		return v
	}
	if a, b, c := hold("1 us"), hold("1 ms"), hold("1 h"); trial.Off(a/c, 8) > 0.03 || !(b < a && b > c) {
		t.Errorf("holds %g, %g and %g; want the first 8 times the last", a, b, c)
	}
}

// A class of fluid is a guess whose both ends are told; a time that is given is none.
func TestHoldRange(t *testing.T) {
	g := trial.Build(t, grid.New, 8, "drive.max_duty=20 %", "supply.voltage=3 V")
	r, err := RangeOf(t.Context(), g, Alone(g))
	if err != nil {
		t.Fatal(err)
	}
	lone := LoneHold(g)
	if trial.Off(r.Told, lone) > 1e-12 || !(r.Slow < r.Told && r.Told < r.Quick) || !r.Matters() || !(r.Least < g.Design.Fluid.Relaxation && g.Design.Fluid.Relaxation < r.Longest) {
		t.Errorf("range %+v of a hold of %g", r, lone)
	}
	for _, tau := range []string{"80 ns", "40 us"} {
		h := trial.Build(t, grid.New, 8, "drive.max_duty=20 %", "supply.voltage=3 V", "fluid.relaxation="+tau)
		if r, err := RangeOf(t.Context(), h, Alone(h)); err != nil || r.Matters() || r.Slow != r.Quick || r.Least != r.Longest {
			t.Errorf("a given time: %+v, %v", r, err)
		}
	}
	if r, err := RangeOf(t.Context(), trial.Build(t, grid.New, 8), Alone(g)); err != nil || r.Matters() {
		t.Errorf("steady current: %+v, %v", r, err)
	}
	if r, _ := RangeOf(t.Context(), g, make([]float64, g.Design.Pixels())); r.Matters() {
		t.Errorf("all dark: %+v", r)
	}
}
