package supply

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// 160 pixels of 4 Ω behind 0.15 Ω at 12 V: 160·144/4.15 = 5551.8 W; at duty 0.9 of
// that 4996.6 W. One pixel of 4 Ω at 12 V, no switch: 36 W.
func TestAllOnByHand(t *testing.T) {
	f, err := AllOnPower(160, 12, 4, 0.15, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "160 pixels", f.Value, 4996.626506, 1e-9)
	if f, err = AllOnPower(1, 12, 4, 0, 1); err != nil || f.Value != 36 {
		t.Errorf("one pixel: %v, %v", f, err)
	}
	for _, number := range []string{"12 V", "4 Ω"} {
		if !strings.Contains(f.Why, number) {
			t.Errorf("%q does not say %s", f.Why, number)
		}
	}
}

func harbour() Params {
	return Params{
		Voltage: 12,
		Draws: []Draw{
			{Kind: Scene, Average: 4, RMS: 5, Peak: 9, Period: 50e-6},
			{Kind: Frame, Average: 8, RMS: 9, Peak: 14, PhasePeak: 2, Period: 50e-6},
			{Kind: AllOn, Average: 60, RMS: 65, Peak: 90, Period: 50e-6},
		},
		Basis:        Frame,
		FeederLength: 1.5,
		ESR:          0.01,
	}
}

// The whole proposal by hand. Worst frame: 8 A at 12 V, feeders allowed 0.36 V.
//
//	need      12.36 V · 8 A = 98.88 W; /0.8 = 123.6 W → 150 W
//	mains     98.88/0.85 = 116.33 W, heat 17.45 W
//	feeder    9 A RMS, fuse 1.25·9 = 11.25 → 12.5 A; 1 mm² (15 A): 44.4 °C, 2·1.5·19.5 mΩ·1.0959 = 64.1 mΩ,
//	          0.577 V; 1.5 mm² (18 A): 40 °C, 43.04 mΩ, 0.387 V; 2.5 mm² (26 A): 34.79 °C, 25.33 mΩ, 0.228 V
//	bulk      step: 8 A·1 ms/(0.24 − 0.08) V = 50 mF; burst: 8·(1 − 8/14)·50 µs = 171 µC/(0.24 − 0.02) V = 0.78 mF
//	          → 50 mF → 68 mF, 16 V (1.2·12 = 14.4)
//	ripple    √(81 − 64) = 4.123 A
//	inrush    68 mF·12 V/12.5 A = 65.3 ms; energy 4.896 J; plugged live 12 V/(25.33 + 10) mΩ = 340 A
func TestProposalByHand(t *testing.T) {
	p, err := Propose(t.Context(), harbour())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		f    Figure
		want float64
		tol  float64
	}{
		{p.Voltage, 12, 0}, {p.Power, 150, 0}, {p.Supplies, 1, 0},
		{p.Cases[1].Need, 98.88, 1e-12}, {p.Input, 116.3294, 1e-6}, {p.SupplyHeat, 17.4494, 1e-5},
		{p.Area, 2.5e-6, 0}, {p.Runs, 1, 0}, {p.Fuse, 12.5, 0}, {p.Drop, 0.2280, 1e-3}, {p.FeederTemp, 273.15 + 34.793, 1e-5},
		{p.FeederHeat, 2.052, 1e-3}, {p.Capacitance, 0.05, 1e-12}, {p.Capacitor, 0.068, 1e-9}, {p.CapVoltage, 16, 0},
		{p.Ripple, 4.1231, 1e-5}, {p.InrushTime, 0.06528, 1e-9}, {p.CapEnergy, 4.896, 1e-9}, {p.InrushPeak, 339.6, 1e-3},
	} {
		near(t, c.f.Name, c.f.Value, c.want, c.tol)
	}
	if p.Load.Name != "" || p.Dimming.Name != "" {
		t.Errorf("nothing is on hand, yet %v, %v", p.Load, p.Dimming)
	}
	// All on: 12.36·60/0.8 = 927 W → 1000 W.
	if r := p.Cases[2].Rung; r != (Rung{12, 1000, 1}) {
		t.Errorf("all on: %+v", r)
	}
	all := strings.Join(p.Cautions, "\n")
	for _, word := range []string{"licensed electrician", "local codes", "all on needs", "fuse"} {
		if !strings.Contains(all, word) {
			t.Errorf("cautions do not mention %q:\n%s", word, all)
		}
	}
	// Few pixels at once and long periods: the burst decides.
	q := harbour()
	q.Draws[1].Period = 1.0 / 60
	q.Draws[1].PhasePeak = 0
	if p, err = Propose(t.Context(), q); err != nil {
		t.Fatal(err)
	}
	near(t, "bulk for a scan", p.Capacitance.Value, 8*(1-8.0/14)/60/(0.24-0.14), 1e-12)
}

// Every figure says how it came about, in numbers.
func TestEveryFigureHasAReason(t *testing.T) {
	q := harbour()
	q.Rated = 100
	q.Power = func(s float64) (float64, error) { return 96 * s * s, nil }
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	figures := p.Figures()
	for _, c := range p.Cases {
		figures = append(figures, c.Need, c.Rating)
	}
	if len(figures) < 24 {
		t.Errorf("only %d figures", len(figures))
	}
	seen := map[string]bool{}
	for _, f := range figures {
		if f.Name == "" || len(f.Why) < 8 || !strings.ContainsAny(f.Why, "0123456789") || strings.Contains(f.Why, "%!") || math.IsNaN(f.Value) {
			t.Errorf("%q: %v %s, why %q", f.Name, f.Value, f.Unit, f.Why)
		}
		if seen[f.Name] && !strings.HasPrefix(f.Name, "supply rating") {
			t.Errorf("figure %q comes twice", f.Name)
		}
		seen[f.Name] = true
	}
	// Keys are told apart and end in the figure's unit.
	keys := map[string]bool{}
	suffix := map[string]string{"V": "_v", "A": "_a", "W": "_w", "F": "_f", "s": "_s", "J": "_j", "Ω": "_ohm", "m²": "_m2", "K": "_k", "": ""}
	for _, f := range p.Figures() {
		end, known := suffix[f.Unit]
		if !known || !strings.HasSuffix(f.Key, end) || keys[f.Key] || strings.Trim(f.Key, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
			t.Errorf("figure %q in %q has the key %q", f.Name, f.Unit, f.Key)
		}
		keys[f.Key] = true
	}
	for _, c := range p.Cautions {
		if strings.Contains(c, "%!") {
			t.Error(c)
		}
	}
}

// A supply of 100 W on hand: 80 W of it continuously, 77.67 W at the board behind
// feeders that take 3 %; power goes with the square of the level from 96 W, so the
// scale is √(77.67/96) = 0.8995, where a linear guess would say 0.809.
func TestUndersizedSupply(t *testing.T) {
	q := harbour()
	q.Rated = 100
	q.Power = func(s float64) (float64, error) { return 96 * s * s, nil }
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "load", p.Load.Value, 98.88/80, 1e-12)
	near(t, "dimming", p.Dimming.Value, math.Sqrt(80/1.03/96), 1e-8)
	if !strings.Contains(p.Dimming.Why, "0.809") {
		t.Errorf("%q does not say what the linear guess is", p.Dimming.Why)
	}
	q.Rated = 150
	if p, err = Propose(t.Context(), q); err != nil || p.Dimming.Value != 1 || p.Load.Value > 1 {
		t.Errorf("a sufficient supply: %v, %v, %v", p.Load, p.Dimming, err)
	}
}

func TestSeveralSupplies(t *testing.T) {
	q := harbour()
	q.Draws = []Draw{{Kind: AllOn, Average: 400, RMS: 430, Peak: 600, Period: 50e-6}}
	q.Basis = ""
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	// 12.36·400/0.8 = 6180 W: seven supplies of 882.9 W → 7 × 1000 W, 61.4 A each.
	if p.Power.Value != 1000 || p.Supplies.Value != 7 || p.Basis != AllOn {
		t.Errorf("%v, %v", p.Power, p.Supplies)
	}
	near(t, "current per pair", p.Feeder.Current*float64(p.Feeder.Runs), 430.0/7, 1e-12)
	if !strings.Contains(strings.Join(p.Cautions, "\n"), "7 supplies") {
		t.Errorf("cautions: %q", p.Cautions)
	}
}

// A bigger load never gets a smaller supply, less capacitance or a smaller fuse.
func TestBiggerLoadNeverGetsLess(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for range 2000 {
		q := harbour()
		q.ESR = 0
		average := math.Pow(10, 2*r.Float64()-0.5)
		rms := average * (1 + r.Float64())
		q.Draws = []Draw{{Kind: Frame, Average: average, RMS: rms, Peak: rms * (1 + r.Float64()), Period: 1e-4}}
		small, err := Propose(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		k := 1 + r.Float64()
		q.Draws = []Draw{{Kind: Frame, Average: average * k, RMS: rms * k, Peak: q.Draws[0].Peak * k, Period: 1e-4}}
		great, err := Propose(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		total := func(p *Proposal) float64 { return p.Cases[0].Rung.Total() }
		if total(great) < total(small) || great.Capacitance.Value < small.Capacitance.Value || great.Capacitor.Value < small.Capacitor.Value*(1-1e-12) {
			t.Fatalf("load %v gets %v W, %v F; %v times it %v W, %v F", q.Draws[0], total(small), small.Capacitance.Value, k, total(great), great.Capacitance.Value)
		}
	}
}

// Capacitors of too much series resistance: 60 A through 10 mΩ is 0.6 V where 0.24
// are allowed. The rest of the proposal stands.
func TestTooMuchSeriesResistance(t *testing.T) {
	q := harbour()
	q.Basis = AllOn
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "limit", p.ESRLimit.Value, 0.24/90, 1e-12)
	if !math.IsInf(p.Capacitance.Value, 1) || p.Capacitor.Name != "" || p.Power.Value != 1000 || !strings.Contains(strings.Join(p.Cautions, "\n"), "No capacitance is enough") {
		t.Errorf("%v, %v, %q", p.Capacitance, p.Power, p.Cautions)
	}
}

func TestBasisDefaultsToTheGreatest(t *testing.T) {
	q := harbour()
	q.Basis = ""
	p, err := Propose(t.Context(), q)
	if err != nil || p.Basis != AllOn || p.Power.Value != 1000 {
		t.Errorf("%v %v %v", p.Basis, p.Power, err)
	}
}

func TestUnusualVoltage(t *testing.T) {
	q := harbour()
	q.Voltage = 9
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	if p.Voltage.Value != 12 || !strings.Contains(strings.Join(p.Cautions, "\n"), "trim it down") {
		t.Errorf("%v, %q", p.Voltage, p.Cautions)
	}
}

func TestNothingDrawn(t *testing.T) {
	q := harbour()
	q.Draws = []Draw{{Kind: Frame}}
	p, err := Propose(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	if p.Power.Value != Powers[0] || p.Capacitance.Value != 0 || p.Capacitor.Name != "" {
		t.Errorf("%v, %v, %v", p.Power, p.Capacitance, p.Capacitor)
	}
	for _, f := range p.Figures() {
		if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
			t.Error(f)
		}
	}
}

// A rail above every usual supply is sized all the same and said to be one; over 60 V
// it is not safe to touch.
func TestRailAboveTheLadder(t *testing.T) {
	for volts, want := range map[float64][2]bool{48: {false, false}, 60: {true, false}, 110: {true, true}} {
		q := harbour()
		q.Voltage, q.Droop, q.FeederDrop = volts, 0, 0
		p, err := Propose(t.Context(), q)
		if err != nil {
			t.Fatalf("%v V: %v", volts, err)
		}
		all := strings.Join(p.Cautions, "\n")
		if p.Voltage.Value != volts || strings.Contains(all, "No usual supply gives") != want[0] || strings.Contains(all, "no longer taken to be safe") != want[1] {
			t.Errorf("%v V: %v V, %q", volts, p.Voltage.Value, all)
		}
	}
}

func ExamplePropose() {
	p, err := Propose(context.Background(), Params{
		Voltage:      12,
		Draws:        []Draw{{Kind: Frame, Average: 8, RMS: 9, Peak: 14, Period: 50e-6}},
		FeederLength: 1.5,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Power)
	fmt.Println(p.Fuse)
	// Output:
	// supply rating, worst frame: 150 W (next usual rating from 98.88 W / 0.8 derating = 123.6 W (ladder: common practice, no source))
	// fuse per feeder pair: 12.5 A (next usual rating from 1.25 × 9 A = 11.25 A (common practice, no source; ladder R10, from memory))
}
