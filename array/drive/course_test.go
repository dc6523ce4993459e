package drive

import (
	"math"
	"testing"
)

// A board written as direct, stagger, kick that holds with its kick's duty, and scan of
// one row that takes the whole scan, gives one answer; the mean is that of a settled
// frame in every mode.
func TestCourseOfOneBoard(t *testing.T) {
	base := Params{
		Rows: 1, Cols: 3, Voltage: 12, Frequency: 20e3, Inductance: 80e-6, OnResistance: 0.4, DiodeDrop: 0.5, MaxDuty: 0.3,
		FrameTime: 0.1, ScanTime: 0.02, KickTime: 0.02, HoldDuty: 0.3, Bridge: FullBridge,
	}
	var first Course
	for k, mode := range []Mode{Direct, Stagger, Kick, Scan} {
		p := base
		p.Mode = mode
		d := New(p)
		c := d.Course(1, 0.7, 11)
		if k == 0 {
			first = c
		}
		if math.Abs(c.Mean()/first.Mean()-1) > 1e-9 || math.Abs(c.MeanSquare()/first.MeanSquare()-1) > 1e-9 || c.Share != 1 {
			t.Errorf("%s: mean %g A, mean square %g A²; direct %g and %g", mode, c.Mean(), c.MeanSquare(), first.Mean(), first.MeanSquare())
		}
		states := make([]PixelState, 3)
		if err := d.Steady(states, []float64{0, 0.7, 0}, []float64{11, 11, 11}); err != nil {
			t.Fatal(err)
		}
		if c.Mean() != states[1].Average {
			t.Errorf("%s: mean %g A, a settled frame's %g A", mode, c.Mean(), states[1].Average)
		}
	}
}

// By hand, PWM far slower than L/R: a kick of 36 V at half duty through 12 Ω is 1.5 A and
// its mean square 36 V/12 Ω squared times a half; the hold of 12 V at a tenth is 0.1 A. Of
// 8 rows one has an eighth of the time at 12 V/12 Ω × 0.5 = 0.5 A.
func TestCourseByHand(t *testing.T) {
	p := Params{
		Mode: Kick, Rows: 8, Cols: 2, Voltage: 12, BoostVoltage: 36, Frequency: 1e3, Inductance: 1e-7, OnResistance: 1, MaxDuty: 0.5,
		FrameTime: 0.1, ScanTime: 0.08, KickTime: 0.02, HoldDuty: 0.1, Bridge: FullBridge,
	}
	d := New(p)
	c := d.Course(0, 1, 11)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got/want-1) > 1e-3 {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	near("the kick's current", c.Kick.Average, 1.5)
	near("its mean square", c.Kick.MeanSquare, 4.5)
	near("its time", c.Kick.Seconds, 0.02)
	near("the held current", c.Mean(), 0.1)
	near("its mean square", c.MeanSquare(), 0.1)
	if !math.IsInf(c.On.Seconds, 1) {
		t.Errorf("the hold ends after %g s", c.On.Seconds)
	}
	p.Mode, p.BoostVoltage = Scan, 12
	d = New(p)
	c = d.Course(3, -1, 11)
	near("the turn's current", c.On.Average, -0.5)
	near("the mean over the scan", c.Mean(), -0.5/8)
	near("the turn's time", c.On.Seconds, 0.01)
	near("the share", c.Share, 1./8)
	if c.Kick != (Stretch{}) {
		t.Errorf("a scan kicks: %+v", c.Kick)
	}
	for _, bad := range [][3]float64{{-1, 1, 11}, {16, 1, 11}, {0, 1.1, 11}, {0, 1, 0}, {0, math.NaN(), 11}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v passes", bad)
				}
			}()
			d.Course(int(bad[0]), bad[1], bad[2])
		}()
	}
}

// A kick counts with the inductance and the steel's resistance of its own duty, the hold with
// those of its: each as a drive in mode direct that has them does.
func TestKickHasItsOwnInductance(t *testing.T) {
	p := testParams(Kick, FullBridge)
	p.BoostVoltage, p.SteelResistance, p.KickInductance, p.KickSteel = 2*p.Voltage, 9, 1.3*p.Inductance, 4
	direct := func(volts, duty, inductance, steel float64) *Drive {
		q := testParams(Direct, FullBridge)
		q.Voltage, q.BoostVoltage, q.MaxDuty, q.Inductance, q.SteelResistance = volts, volts, duty, inductance, steel
		return mustNew(t, q)
	}
	course := func(d *Drive) Course {
		c := d.Course(0, 1, 3)
		return c
	}
	d, kick, hold := mustNew(t, p), direct(2*p.Voltage, p.MaxDuty, 1.3*p.Inductance, 4), direct(p.Voltage, p.HoldDuty, p.Inductance, 9)
	c := course(d)
	near(t, "the kick's ripple", c.Kick.Ripple(0), course(kick).On.Ripple(0), 1e-9)
	near(t, "the hold's ripple", c.On.Ripple(0), course(hold).On.Ripple(0), 1e-12)
	near(t, "the kick's heat in the steel", c.Kick.Steel(), 4*math.Pow(c.Kick.Ripple(0), 2), 1e-12)

	levels, resistance := make([]float64, d.Pixels()), make([]float64, d.Pixels())
	for i := range levels {
		levels[i], resistance[i] = 1, 3
	}
	got, err := d.NewMeter().FrameLoad(t.Context(), nil, levels, resistance, p.KickTime)
	if err != nil {
		t.Fatal(err)
	}
	want, err := kick.NewMeter().Load(t.Context(), levels, resistance)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the kick's peak", got.Boost.Peak, want.Supply.Peak, 1e-6)
	if none := c.Kick.Steel(); !(none > 0) {
		t.Errorf("the kick leaves %g W in the steel: no test", none)
	}
}
