package player

import (
	"context"
	"math"
	"sync"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s is %.12g, want %.12g within %g of it", what, got, want, relative)
	}
}

// demoGrid is the demo, built once: neither the room's temperature nor the PWM changes
// the field of a display without magnets.
var demoGrid = sync.OnceValues(func() (*grid.Grid, error) { return grid.New(context.Background(), trial.Lit(), 0) })

func demoPlayer(t *testing.T, ambient, frequency string) *Player {
	t.Helper()
	built, err := demoGrid()
	if err != nil {
		t.Fatal(err)
	}
	g := *built
	g.Design = changed(t, "heat.ambient="+ambient, "drive.frequency="+frequency)
	p, err := New(&g)
	if err != nil {
		t.Fatal(err)
	}
	p.led = nil // by hand it is coils alone; TestTracksToTheDriver has the rest
	return p
}

// inAir is the demo with steel that does not conduct nor raise the inductance.
func inAir(t *testing.T, frequency string) *Player {
	t.Helper()
	g := *demoPlayer(t, "20 degC", frequency).Grid()
	g.Pixel.Eddy = nil
	p, err := New(&g)
	if err != nil {
		t.Fatal(err)
	}
	p.led = nil
	return p
}

// All of the demo's pixels on, cold, by hand, the inductance as in air. At 20 °C a coil has 11.336 Ω and
// 87.85 µH (the coil's own tests hold these against references), the switches 0.6 Ω.
// Were the current to follow the voltage at once:
//
//	N D V²/(R + Ron) = 160 × 0.16 × (12 V)² / (11.336 Ω + 0.6 Ω) = 308.9 W
//
// With τ = L/(R + Ron) = 87.85 µH / 11.936 Ω = 7.360 µs against an on-time of
// D/f = 0.16 × 50 µs = 8 µs the current is still rising when it is switched off:
// a = 8/7.360 = 1.0869, 1 − e^−a = 0.6627, and a pulse carries
// 1 − (1 − e^−a)/a = 1 − 0.6627/1.0869 = 0.3902 of the charge; what is left of the
// pulse before, e^−(50 − 8)/7.360 = 0.0033 of its end, adds
// 0.6627 × 0.0033 × 0.6627/1.0869 = 0.0013. So 308.9 W × 0.3916 = 120.9 W.
func TestAllOnPowerByHand(t *testing.T) {
	p := inAir(t, "20 kHz")
	coil := p.Grid().Pixel.Coil
	near(t, "the resistance at 20 °C", coil.Resistance(293.15), 11.336, 1e-3)
	near(t, "the inductance", coil.Inductance(), 87.85e-6, 1e-3)
	e, err := p.Show(t.Context(), scenes.Frame{Levels: p.Uniform(1), Duration: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the power of all pixels on", e.SupplyPower, 120.9, 3e-3)
	near(t, "power by current", e.SupplyCurrent*12, e.SupplyPower, 1e-12)
}

// The same with the steel's eddy currents: the drive counts with 166.3 µH and 3.17 Ω by
// which the ripple heats the steel. τ = 13.93 µs, a = 8/13.93 = 0.5742, 1 − e^−a =
// 0.4369, a pulse carries 1 − 0.4369/0.5742 = 0.2391; what is left of the pulses before,
// e^−42/13.93/(1 − e^−50/13.93) = 0.0490/0.9724 of an end of 0.4369, adds 0.4369 × 0.0504 ×
// 0.4369/0.5742 = 0.0168. So 308.9 W × 0.2559 = 79.0 W in coils and switches. That is
// 160 × 11.936 Ω × I_rms², so I_rms² = 0.04139 A²; less the mean's (0.16086 A)² = 0.02588 A²
// it is the ripple's 0.01551 A², which heats the steel by 160 × 3.17 Ω × 0.01551 A² = 7.9 W.
func TestAllOnPowerWithEddyCurrents(t *testing.T) {
	p := demoPlayer(t, "20 degC", "20 kHz")
	l, r := p.Grid().Pixel.UnderPWM(p.Grid().Design)
	near(t, "the inductance under PWM", l, 166.3e-6, 2e-3)
	near(t, "the steel's resistance", r, 3.17, 5e-3)
	e, err := p.Show(t.Context(), scenes.Frame{Levels: p.Uniform(1), Duration: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the power of all pixels on", e.SupplyPower, 79.0+7.9, 5e-3)
	near(t, "power by current", e.SupplyCurrent*12, e.SupplyPower, 1e-12)
}

// With a PWM period far longer than L/R the simple law N D V²/(R + Ron) remains, but
// for the τ/(D T) = 7.4 µs/(0.16 × 100 ms) = 0.05 % that the rise takes.
func TestAllOnPowerAtSlowPWM(t *testing.T) {
	p := inAir(t, "10 Hz")
	e, err := p.Show(t.Context(), scenes.Frame{Levels: p.Uniform(1), Duration: 1})
	if err != nil {
		t.Fatal(err)
	}
	law := 160 * 0.16 * 12 * 12 / (p.Grid().Pixel.Coil.Resistance(293.15) + 0.6)
	near(t, "the simple law", law, 308.9, 1e-3) // by hand above
	near(t, "the power of all pixels on", e.SupplyPower, law*(1-7.360e-6/16e-3), 1e-5)
}

// Held for ever: what the coils make is what the faces give off, and what the rails
// give is what coils and switches make.
func TestSteadyKeepsEnergy(t *testing.T) {
	p := demoPlayer(t, "25 degC", "20 kHz")
	st, err := p.Steady(t.Context(), p.Uniform(1))
	if err != nil {
		t.Fatal(err)
	}
	var copper, switches float64
	for _, x := range st.Pixels {
		copper += x.Copper
		switches += x.Switch + x.Diode
	}
	near(t, "heat of the coils", copper, st.Heat.Power, 1e-9)
	near(t, "heat given off", st.Heat.Loss, copper, 1e-9)
	near(t, "front, back and edges", st.Heat.Front+st.Heat.Back+st.Heat.Edge, st.Heat.Loss, 1e-9)
	near(t, "power drawn", st.Power, copper+switches, 1e-9)
	near(t, "current drawn", st.Current*12, st.Power, 1e-9)
	if st.Heat.Power < 10 {
		t.Errorf("all on makes %g W of heat, which is nothing to balance", st.Heat.Power)
	}
}

// A full bridge puts D V across R + Ron on average, and an inductance keeps none of
// it, so the mean current of a held pixel is D V/(R + Ron) whatever the ripple.
func TestSinglePixelCurrent(t *testing.T) {
	p := demoPlayer(t, "25 degC", "20 kHz")
	st, err := p.Steady(t.Context(), p.Single(1))
	if err != nil {
		t.Fatal(err)
	}
	i := p.Middle()
	hot := st.Heat.Coils[i]
	r := p.Grid().Pixel.Coil.Resistance(293.15) * (1 + 0.00393*(hot-293.15)) // IEC 60028
	near(t, "the mean current", st.Pixels[i].Average, 0.16*12/(r+0.6), 1e-9)
	near(t, "the current at full level, cold", p.Grid().Pixel.FullCurrent, 0.16*12/(11.336+0.6), 1e-3)
	if hot < 298.15+5 || st.Heat.Pixel != i {
		t.Errorf("pixel %d is the hottest at %g K, want pixel %d well above the air", st.Heat.Pixel, hot, i)
	}
	for k, x := range st.Pixels {
		if k != i && (x.Average != 0 || x.Power != 0) {
			t.Fatalf("pixel %d is off and carries %g A", k, x.Average)
		}
	}
}

// The ledger's energies are Σ copper·dt, and the heat network books the same but for
// the coils' warming within a frame; what it books, it keeps.
func TestLedgerEnergy(t *testing.T) {
	p := newPlayer(t, small(t))
	want := make([]float64, 12)
	drawn := 0.0
	ledger, err := p.Play(t.Context(), pictures(0.1, append(append(marching, marching...), marching...)...), func(run []Entry) error {
		for i, s := range p.Pixels() {
			want[i] += s.Copper * 0.1
		}
		drawn += run[0].SupplyPower * 0.1
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	total := 0.0
	for i, w := range want {
		near(t, "a pixel's energy", ledger.PixelEnergy[i], w, 1e-12)
		total += w
	}
	if total <= 0 || total >= drawn {
		t.Errorf("the coils made %g J of %g J drawn", total, drawn)
	}
	b := p.Network().Balance()
	near(t, "heat booked by the network", b.Supplied, total, 2e-3)
	if math.Abs(b.Residual) > 1e-9*b.Supplied || b.Stored <= 0 || b.Lost <= 0 {
		t.Errorf("the network's balance does not close: %+v", b)
	}
}

// Warm is where many loops lead: after two hours of loops each coil's mean over a loop
// is that of a loop started warm. L/R is near the on-time here, so that the coils'
// heat falls with their temperature in no simple way.
func TestWarmIsTheLimitOfLoops(t *testing.T) {
	d := small(t, "supply.voltage=24 V")
	s := pictures(0.5, marching...)
	loop := func(p *Player) []float64 {
		p.ledger = newLedger(12)
		l, err := p.Play(t.Context(), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		return l.PixelMean
	}
	cold := newPlayer(t, d)
	first := loop(cold)
	for range 2 * 3600 / 2 {
		for _, f := range s.Frames {
			cold.measure()
			e := Entry{Duration: f.Duration}
			if err := cold.power(t.Context(), &e, f.Levels); err != nil {
				t.Fatal(err)
			}
		}
	}
	long := loop(cold)
	warm := newPlayer(t, d)
	r, err := warm.Warm(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "heat given off", r.Loss, r.Power, 1e-9)
	started := loop(warm)
	for i := range long {
		rise := long[i] - d.Heat.Ambient
		if rise < 50 || first[i]-d.Heat.Ambient > 0.2*rise {
			t.Fatalf("pixel %d rises by %g K in the first loop and %g K in the last: too little to tell", i, first[i]-d.Heat.Ambient, rise)
		}
		if math.Abs(started[i]-long[i]) > 0.01*rise {
			t.Errorf("pixel %d: mean of a loop started warm %.3f K, after two hours of loops %.3f K", i, started[i], long[i])
		}
	}
}
