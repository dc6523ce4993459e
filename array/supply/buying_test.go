package supply

import (
	"slices"
	"strings"
	"testing"
)

// A port of USB Power Delivery has 5, 9, 15 and 20 V, 15, 27, 45 and 60 W of them through
// every cable, 100 W at 20 V (as quoted by secondary sources of the specification).
func TestPortOfUSBPowerDelivery(t *testing.T) {
	if got := USBPD.Voltages(); !slices.Equal(got, []float64{5, 9, 15, 20}) {
		t.Errorf("voltages %v", got)
	}
	for volts, want := range map[float64]float64{5: 15, 9: 27, 15: 45, 20: 60} {
		if r := USBPD.Rate(volts, 0.9*want, 1); r.Power != want || r.Count != 1 {
			t.Errorf("%g V: %+v, want %g W", volts, r, want)
		}
	}
	if r := USBPD.Rate(20, 61, 1); r.Power != 100 {
		t.Errorf("61 W at 20 V: %+v", r)
	}
	if r := USBPD.Rate(5, 20, 1); r.Count != 2 {
		t.Errorf("20 W at 5 V: %+v, want two ports", r)
	}
	p := harbour()
	p.Sort, p.Voltage, p.ESR = USBPD, 20, 0
	p.Draws = []Draw{{Kind: Frame, Average: 3.2, RMS: 3.3, Peak: 5, Period: 50e-6}}
	out, err := Propose(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(out.Cautions, "\n")
	for _, words := range []string{"marked for 5 A", "100 µF", "keep every driver off", "cannot be trimmed"} {
		if !strings.Contains(said, words) {
			t.Errorf("no word of %q in %s", words, said)
		}
	}
	if v := out.Voltage.Value; v != 20 {
		t.Errorf("a port gives %g V to a board of 20 V", v)
	}
	// A steady 3.2 A within 0.4 V takes 80 µF for 10 µs, with 100 µF of the E6 series what a
	// port bears, and 120 µF for 15 µs, with 150 µF more.
	p.Draws = []Draw{{Kind: Frame, Average: 3.2, RMS: 3.2, Peak: 3.2}}
	for time, told := range map[float64]bool{10e-6: false, 15e-6: true} {
		p.ResponseTime = time
		if out, err = Propose(t.Context(), p); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(strings.Join(out.Cautions, "\n"), "µF behind it") != told {
			t.Errorf("capacitors of %g F at a port: %q", out.Capacitor.Value, out.Cautions)
		}
	}
}

// What a supply may be too high by, its current follows and the power with the square:
// 98.88 W of TestProposalByHand × 1.05² = 109.0 W.
func TestToleranceIsSizedFor(t *testing.T) {
	p := harbour()
	p.Tolerance = 0.05
	out, err := Propose(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "need at the high end", out.Need(), 98.88*1.1025, 1e-9)
	if !slices.ContainsFunc(out.Cautions, func(s string) bool { return strings.Contains(s, `"11.4 V"`) }) {
		t.Errorf("the low end is not told: %q", out.Cautions)
	}
	// The currents in feeders and capacitors are × 1.05, as if drawn from 12.6 V.
	high := harbour()
	for i := range high.Draws {
		d := &high.Draws[i]
		d.Average, d.RMS, d.Peak, d.PhasePeak = 1.05*d.Average, 1.05*d.RMS, 1.05*d.Peak, 1.05*d.PhasePeak
	}
	want, err := Propose(t.Context(), high)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range [][2]Figure{{out.Capacitance, want.Capacitance}, {out.ESRLimit, want.ESRLimit}, {out.Ripple, want.Ripple}, {out.Area, want.Area}, {out.Drop, want.Drop}, {out.FeederHeat, want.FeederHeat}, {out.Fuse, want.Fuse}} {
		near(t, f[0].Name+" at the high end", f[0].Value, f[1].Value, 1e-9)
	}
	near(t, "energy at the high end", out.CapEnergy.Value, want.CapEnergy.Value*1.1025, 1e-9)
	near(t, "charging from the high end", out.InrushTime.Value, want.InrushTime.Value*1.05, 1e-9)
	if out.Cases[1].Draw.Average != 8 {
		t.Errorf("a case draws %g A, was given as 8 A", out.Cases[1].Draw.Average)
	}
	// 12 V high by 15 % are 13.8 V, and 1.2 times that more than 16 V.
	p.Tolerance = 0.15
	if out, err = Propose(t.Context(), p); err != nil || out.CapVoltage.Value != 25 {
		t.Errorf("capacitors for 13.8 V: %v, %v", out.CapVoltage, err)
	}
}

// A supply on hand that just carries a picture at the high end of its voltage is loaded to
// 1 by it, and dims nothing: 98.88 W × 1.05² / 0.8 = 136.27 W. At three quarters of that
// what it bears is three quarters: here power goes with the levels.
func TestSupplyOnHandAtTheHighEnd(t *testing.T) {
	p := harbour()
	p.Tolerance = 0.05
	p.Power = func(scale float64) (float64, error) { return 96 * scale, nil } // 8 A at 12 V
	for _, part := range []float64{1.0001, 0.75} {
		p.Rated = part * 98.88 * 1.1025 / 0.8
		out, err := Propose(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "load", out.Load.Value, 1/part, 1e-9)
		near(t, "dimming", out.Dimming.Value, min(part, 1), 1e-4)
	}
}

// With the limiter in series the first instant draws the supply's own limit, 1.5 × 12.5 A,
// and without it what feeders and capacitors let through.
func TestLimiterByHand(t *testing.T) {
	out, err := Propose(t.Context(), harbour())
	if err != nil {
		t.Fatal(err)
	}
	ohms := 12 / out.InrushPeak.Value
	near(t, "inrush with the limiter", 12/(ohms+out.Limiter.Value), Overload*150/12, 1e-9)
	p := harbour()
	p.ESR, p.Droop = 0.7, 11 // limits by itself
	if out, err = Propose(t.Context(), p); err != nil || out.Limiter.Name != "" {
		t.Errorf("%v, %+v", err, out)
	}
}
