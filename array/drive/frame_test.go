package drive

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// params is a plausible small grid: 20 kHz, coils of a few ohms and tens of
// microhenries.
func testParams(mode Mode, bridge Bridge) Params {
	return Params{
		Mode: mode, Bridge: bridge, Rows: 6, Cols: 9,
		Voltage: 12, BoostVoltage: 24, Frequency: 20e3, Inductance: 45e-6, OnResistance: 0.15, DiodeDrop: 0.6,
		MaxDuty: 0.9, FrameTime: 1.0 / 60, KickTime: 4e-3, HoldDuty: 0.3,
	}
}

func mustNew(t testing.TB, p Params) *Drive {
	t.Helper()
	d := New(p)
	return d
}

// picture draws levels with some pixels dark and coils at different temperatures.
func picture(r *rand.Rand, d *Drive) (levels, resistance []float64) {
	levels = make([]float64, d.Pixels())
	resistance = make([]float64, d.Pixels())
	for i := range levels {
		if r.IntN(4) > 0 {
			levels[i] = r.Float64()
			if d.p.Bridge == FullBridge && r.IntN(2) == 0 {
				levels[i] = -levels[i]
			}
		}
		resistance[i] = 4 * (1 + 0.00393*80*r.Float64())
	}
	return levels, resistance
}

var modes = []Mode{Direct, Stagger, Scan, Kick}
var bridges = []Bridge{LowSide, FullBridge}

// In every mode, frame after frame, the rails' energy is accounted for, and a
// frame's end is the next one's start.
func TestFrameEnergyBalance(t *testing.T) {
	for _, mode := range modes {
		for _, bridge := range bridges {
			r := rand.New(rand.NewPCG(5, 1))
			p := testParams(mode, bridge)
			p.Inductance = 3e-3 // slow coils: the frame's transient matters
			d := mustNew(t, p)
			dst := make([]PixelState, d.Pixels())
			for range 6 {
				levels, resistance := picture(r, d)
				before := append([]PixelState(nil), dst...)
				if err := d.Frame(dst, levels, resistance); err != nil {
					t.Fatal(err)
				}
				for i, s := range dst {
					if e := s.Copper + s.Switch + s.Diode + s.Stored - s.Power; math.Abs(e) > 1e-11*(s.Copper+math.Abs(s.Power)+math.Abs(s.Stored)) {
						t.Fatalf("%s %s pixel %d level %v: balance off by %v W of %+v", mode, bridge, i, levels[i], e, s)
					}
					rails := p.Voltage*s.RailAverage + p.BoostVoltage*s.BoostAverage
					near(t, "power from the rails", rails, s.Power, 1e-12)
					near(t, "copper heat", s.RMS*s.RMS*resistance[i], s.Copper, 1e-11)
					if s.Min > s.End || s.Max < s.End || s.Min > before[i].End || s.Max < before[i].End {
						t.Fatalf("%s %s pixel %d: from %v to %v A lies outside %v … %v A", mode, bridge, i, before[i].End, s.End, s.Min, s.Max)
					}
				}
			}
		}
	}
}

// Frames of an unchanging picture settle to what Steady says. The time constants
// are short, so the third frame is settled; in modes with a rest of a period the
// scan agrees exactly because frames are whole scans.
func TestFrameSettlesToSteady(t *testing.T) {
	for _, mode := range modes {
		for _, bridge := range bridges {
			d := mustNew(t, testParams(mode, bridge))
			levels, resistance := picture(rand.New(rand.NewPCG(6, 1)), d)
			dst := make([]PixelState, d.Pixels())
			for range 3 {
				if err := d.Frame(dst, levels, resistance); err != nil {
					t.Fatal(err)
				}
			}
			steady := make([]PixelState, d.Pixels())
			if err := d.Steady(steady, levels, resistance); err != nil {
				t.Fatal(err)
			}
			for i := range dst {
				near(t, "average", dst[i].Average, steady[i].Average, 1e-12)
				near(t, "RMS", dst[i].RMS, steady[i].RMS, 1e-12)
				near(t, "power", dst[i].Power, steady[i].Power, 1e-12)
				near(t, "highest", dst[i].Max, steady[i].Max, 1e-12)
				if t.Failed() {
					t.Fatalf("%s %s pixel %d level %v\n%+v\n%+v", mode, bridge, i, levels[i], dst[i], steady[i])
				}
			}
		}
	}
}

// A coil so slow that it remembers one scan in the next: the settled state must
// repeat under scan after scan.
func TestScanRepeats(t *testing.T) {
	for _, bridge := range bridges {
		for _, henries := range []float64{1e-5, 3e-3, 0.1, 1} {
			p := testParams(Scan, bridge)
			p.Inductance = henries
			p.DiodeDrop = 0.01
			d := mustNew(t, p)
			levels, resistance := picture(rand.New(rand.NewPCG(7, 1)), d)
			steady := make([]PixelState, d.Pixels())
			if err := d.Steady(steady, levels, resistance); err != nil {
				t.Fatal(err)
			}
			for i, s := range steady {
				if math.Abs(s.Stored) > 1e-9*s.Power {
					t.Errorf("%s %v H pixel %d: a repeating scan stores %v W of %v W", bridge, henries, i, s.Stored, s.Power)
				}
			}
		}
	}
}

// Row multiplexing, from the table of check values: 16 rows give duty 1/16, RMS ¼
// of the peak, 1/16 of the continuous power, and 1041.67 µs per row at 60 Hz.
func TestScanCheckValues(t *testing.T) {
	p := testParams(Scan, LowSide)
	p.Rows, p.Cols, p.MaxDuty, p.Inductance, p.BoostVoltage = 16, 1, 1, 1e-12, 0
	d := mustNew(t, p)
	levels, resistance := constant(16, 1), constant(16, 4)
	dst := make([]PixelState, 16)
	if err := d.Steady(dst, levels, resistance); err != nil {
		t.Fatal(err)
	}
	on := d.Circuit(0, 1, 4).FinalCurrent()
	near(t, "average over peak", dst[3].Average/on, 0.0625, 1e-8)
	near(t, "RMS over peak", dst[3].RMS/on, 0.25, 1e-8)
	near(t, "power over continuous", dst[3].Power/(12*on), 0.0625, 1e-8)
	n, period := d.slot(p.FrameTime)
	near(t, "row time", n*period, 1041.6666666667e-6, 1e-10)

	// The scan rail that heats a coil as much as continuous drive carries four times
	// the current and gives a quarter of the average.
	p.BoostVoltage = 4 * p.Voltage
	boosted := mustNew(t, p)
	if err := boosted.Steady(dst, levels, resistance); err != nil {
		t.Fatal(err)
	}
	near(t, "heat at four times the voltage", dst[3].Copper, on*on*4, 1e-8)
	near(t, "average at four times the voltage", dst[3].Average, on/4, 1e-8)
	near(t, "taken from the scan rail", dst[3].BoostAverage, on/4, 1e-8)
}

func constant(n int, v float64) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = v
	}
	return s
}

// A kick lasts its time whatever the frames it falls into, is given when a pixel is
// lit or reversed and not while it stays lit.
func TestKicks(t *testing.T) {
	p := testParams(Kick, FullBridge)
	p.Rows, p.Cols, p.Inductance = 1, 1, 1e-9
	p.KickTime, p.MaxDuty = 40e-3, 1
	d := mustNew(t, p)
	dst := make([]PixelState, 1)
	var kicked float64
	show := func(level, duration float64) PixelState {
		t.Helper()
		if err := d.FrameFor(dst, []float64{level}, []float64{4}, duration); err != nil {
			t.Fatal(err)
		}
		kicked += dst[0].BoostAverage / (24 / 4.15) * duration
		return dst[0]
	}
	// The first step's frames cut the kick twice: 15 + 15 + 10 ms.
	show(1, 15e-3)
	if got := dst[0].KickLeft; math.Abs(got-25e-3) > 1e-12 {
		t.Errorf("kick left after 15 of 40 ms: %v s", got)
	}
	show(0.5, 15e-3) // dimmed, still the same kick, at half duty
	if s := show(1, 100e-3); s.KickLeft != 0 || s.BoostAverage == 0 {
		t.Errorf("third frame: %+v", s)
	}
	near(t, "time on the kick rail", kicked, 15e-3+15e-3/2+10e-3, 1e-3)
	if s := show(1, 20e-3); s.BoostAverage != 0 {
		t.Errorf("a pixel that stays lit is kicked: %+v", s)
	}
	if s := show(-1, 20e-3); s.KickLeft != 20e-3 || s.Average >= 0 {
		t.Errorf("a reversed pixel: %+v", s)
	}
	if s := show(0, 20e-3); s.KickLeft != 0 || s.Power > 1e-3 {
		t.Errorf("a pixel put out during its kick: %+v", s)
	}
}

// The kick reaches its current sooner and the hold keeps less: by hand with L/R far
// below the times, (24 V, 4.15 Ω) for 4 ms, then duty 0.3 of 12 V.
func TestKickByHand(t *testing.T) {
	p := testParams(Kick, LowSide)
	p.Rows, p.Cols, p.Inductance, p.MaxDuty, p.FrameTime = 1, 1, 1e-12, 1, 20e-3
	d := mustNew(t, p)
	dst := make([]PixelState, 1)
	if err := d.Frame(dst, []float64{1}, []float64{4}); err != nil {
		t.Fatal(err)
	}
	near(t, "average", dst[0].Average, (24/4.15*4+0.3*12/4.15*16)/20, 1e-7)
	near(t, "copper", dst[0].Copper, 4*(math.Pow(24/4.15, 2)*4+0.3*math.Pow(12/4.15, 2)*16)/20, 1e-7)
	near(t, "highest", dst[0].Max, 24/4.15, 1e-12)
}

func TestFrameErrors(t *testing.T) {
	d := mustNew(t, testParams(Direct, LowSide))
	n := d.Pixels()
	dst := make([]PixelState, n)
	dst[0].End = 0.25
	var le *LevelError
	for _, v := range []float64{-0.1, 1.01, math.NaN()} {
		levels := constant(n, 0.5)
		levels[7] = v
		if err := d.Frame(dst, levels, constant(n, 4)); !errors.As(err, &le) || le.Pixel != 7 {
			t.Errorf("level %v: error %v", v, err)
		}
	}
	if dst[0].End != 0.25 || dst[1] != (PixelState{}) {
		t.Errorf("a refused frame changed the states: %+v", dst[:2])
	}
}

// What no design has is a mistake in the code.
func TestImpossibleParams(t *testing.T) {
	for name, spoil := range map[string]func(*Params){
		"no rows":       func(p *Params) { p.Rows = 0 },
		"no voltage":    func(p *Params) { p.Voltage = 0 },
		"no frequency":  func(p *Params) { p.Frequency = math.NaN() },
		"no inductance": func(p *Params) { p.Mode = Kick; p.KickInductance = -1 },
		"parted string": func(p *Params) { p.Series = 4; p.Cols = 5 },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: taken", name)
				}
			}()
			p := testParams(Direct, LowSide)
			spoil(&p)
			New(p)
		}()
	}
}

// The heat's slope against closed forms: smooth current (period far below L/R) has
// P = R (D V)²/(R + Ron)², so dP/dR = (D V)² (Ron − R)/(R + Ron)³; a rectangle
// (period far above) has D times that with V alone.
func TestPowerLaw(t *testing.T) {
	p := testParams(Direct, FullBridge)
	const r20, alpha, temp = 4.0, 0.00393, 343.15
	r := r20 * (1 + alpha*50)
	for _, c := range []struct{ henries, vv float64 }{{10, 12 * 12 * 0.81}, {1e-12, 12 * 12 * 0.9}} {
		p.Inductance = c.henries
		d := mustNew(t, p)
		law := PowerLaw{Drive: d, Level: -1, Resistance20: r20, Alpha: alpha}
		watts, slope := law.At(temp)
		near(t, "power", watts, r*c.vv/math.Pow(r+0.15, 2), 1e-6)
		near(t, "slope", slope, c.vv*(0.15-r)/math.Pow(r+0.15, 3)*r20*alpha, 1e-6)
		if law.DerivativeOfPowerByTemperature(temp) != slope {
			t.Error("the two slopes differ")
		}
	}
}

// In every mode the slope is that of the power.
func TestHeatingSlope(t *testing.T) {
	for _, mode := range modes {
		for _, bridge := range bridges {
			d := mustNew(t, testParams(mode, bridge))
			levels, _ := picture(rand.New(rand.NewPCG(8, 1)), d)
			h := Heating{d, levels, 4, 0.00393, nil}
			n := d.Pixels()
			at := func(temp float64) (watts, slope []float64) {
				watts, slope = make([]float64, n), make([]float64, n)
				h.Power(watts, slope, constant(n, temp))
				return
			}
			mid, slope := at(330)
			low, _ := at(329.95)
			high, _ := at(330.05)
			for i := range mid {
				wide := (high[i] - low[i]) / 0.1
				if math.Abs(wide-slope[i]) > 1e-6*math.Abs(slope[i])+1e-9*mid[i] {
					t.Errorf("%s %s pixel %d: %v W/K, differences give %v", mode, bridge, i, slope[i], wide)
				}
			}
		}
	}
}

func TestFrameAllocatesNothing(t *testing.T) {
	for _, mode := range modes {
		d := mustNew(t, testParams(mode, FullBridge))
		levels, resistance := picture(rand.New(rand.NewPCG(9, 1)), d)
		dst := make([]PixelState, d.Pixels())
		h := Heating{d, levels, 4, 0.00393, nil}
		m := d.NewMeter()
		watts, slope, temp := constant(d.Pixels(), 0), constant(d.Pixels(), 0), constant(d.Pixels(), 330)
		for name, f := range map[string]func(){
			"Frame": func() { _ = d.Frame(dst, levels, resistance) },
			"Heat":  func() { h.Power(watts, slope, temp) },
			"Load":  func() { _, _ = m.FrameLoad(t.Context(), dst, levels, resistance, d.p.FrameTime) },
		} {
			if n := testing.AllocsPerRun(3, f); n != 0 {
				t.Errorf("%s in mode %s allocates %v times", name, mode, n)
			}
		}
	}
}

// In a scan the steel is heated by what the PWM makes within a turn, as while the same is
// held, and by the current's rise and fall at the turn's ends: not by the dark time between
// turns, which is no ripple of the PWM's frequency.
func TestSteelInAScan(t *testing.T) {
	p := Params{Mode: Scan, Bridge: FullBridge, Rows: 8, Cols: 1, Voltage: 12, Frequency: 200e3, Inductance: 300e-6, SteelResistance: 9, OnResistance: 0.6, MaxDuty: 0.5, ScanTime: 80e-3, FrameTime: 0.8}
	run := func(p Params, duration float64) PixelState {
		d := New(p)
		n := p.Rows * p.Cols
		states, levels, ohms := make([]PixelState, n), make([]float64, n), make([]float64, n)
		for i := range ohms {
			ohms[i] = 11.4
		}
		levels[0] = 1
		err := d.Steady(states, levels, ohms)
		if duration > 0 {
			clear(states)
			err = d.FrameFor(states, levels, ohms, duration)
		}
		if err != nil {
			t.Fatal(err)
		}
		return states[0]
	}
	direct := p
	direct.Mode = Direct
	held := run(direct, 0)
	// R ∫ (I e^(−t/τ))² dt at either end, once in a scan; a turn begins and ends at the ripple's foot.
	ends := func(i float64) float64 { return 2 * 9 * i * i * (300e-6 / 12.0) / 2 / 80e-3 }
	foot := 0.5 - 12*0.5*0.5*5e-6/300e-6/2
	for _, duration := range []float64{0, 0.8} {
		got := run(p, duration).Steel
		if want := held.Steel/8 + ends(foot); math.Abs(got/want-1) > 0.02 {
			t.Errorf("over %g s the steel takes %.5g W, want %.5g W", duration, got, want)
		}
	}
	// Without a pulse there are the turn's ends alone.
	p.MaxDuty = 1
	if got := run(p, 0).Steel; math.Abs(got/ends(1)-1) > 0.02 {
		t.Errorf("without PWM the steel takes %.5g W, want %.5g W", got, ends(1))
	}
}
