package studies

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// Coils in series on as many times the rail, behind as many times the switches, carry what
// each carries on a driver of its own: the same heat and power, of the supply's current, its
// outputs and its feeders' the n-th part. Side by side they take some off each other's
// inductance, three in a row 2 (2 M₁ + M₂) off 3 L, and a current is the same where its period
// is less by as much.
func TestStringsAreOneCoilOnItsPartOfTheRail(t *testing.T) {
	small := []string{"grid.cols=6", "grid.rows=4", "drive.max_duty=30 %"}
	single := cool(t, append(small, "supply.voltage=8 V", "drive.kick_voltage=8 V", "drive.on_resistance=0.1 Ω")...)
	strung := cool(t, append(small, "supply.voltage=24 V", "drive.kick_voltage=24 V", "drive.on_resistance=0.3 Ω", "drive.in_series=3")...)
	pixel := newPlayer(t, strung).Grid().Pixel
	var mutual [2]float64
	for k := range mutual {
		mutual[k], _ = pixel.Coil.Beside(float64(k+1)*strung.Grid.Pitch, math.Inf(-1))
	}
	all := 3 * pixel.Coil.Inductance()
	strung.Drive.Frequency *= all / (all + 2*(2*mutual[0]+mutual[1]))
	frame := scenes.Frame{Levels: make([]float64, 24), Duration: 0.3}
	for i := range 12 {
		frame.Levels[i] = 1 - 0.5*float64(i/6)
	}
	s := scenes.Scene{Name: "rows", Rows: 4, Cols: 6, Frames: []scenes.Frame{frame, {Levels: make([]float64, 24), Duration: 0.2}}}
	type told struct{ power, current, hottest, peak, chip, held, drop, pulse float64 }
	tell := func(d design.Design) (x told) {
		p, l := looped(t, d, s)
		z := l.Summary()
		x.power, x.current, x.hottest = z.AveragePower, z.AverageCurrent, z.Hottest
		w, err := SampleWaveform(t.Context(), p.Grid(), frame, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range w.Highest {
			x.peak = max(x.peak, v)
		}
		parts, err := Parts(p.Grid())
		if err != nil {
			t.Fatal(err)
		}
		x.chip = parts.Conduction
		held, err := Settle(t.Context(), p, p.Single(1))
		if err != nil {
			t.Fatal(err)
		}
		x.held = held.Current
		drops, err := Wiring(t.Context(), p.Grid(), frame.Levels)
		if err != nil {
			t.Fatal(err)
		}
		x.drop = drops.WorstDrop
		pulses := NewPulses(p)
		pulse, err := pulses.longest(t.Context(), Together, d.Supply.Voltage, d.Heat.Ambient)
		if err != nil {
			t.Fatal(err)
		}
		x.pulse = pulse.Longest
		return x
	}
	a, b := tell(single), tell(strung)
	for _, c := range []struct {
		what           string
		got, want, err float64
	}{
		{"power", b.power, a.power, 1e-4}, {"current", b.current, a.current / 3, 1e-4}, {"hottest", b.hottest, a.hottest, 1e-3}, // of a string the warmer coil makes more
		{"peak", b.peak, a.peak / 3, 1e-9},
		{"heat of a channel", b.chip, 3 * a.chip, 1e-9}, {"drop", b.drop, a.drop / 3, 0.05}, {"longest pulse", b.pulse, a.pulse, 1e-6},
	} {
		if !(c.want > 0) || math.Abs(c.got-c.want) > c.err*c.want {
			t.Errorf("%s of strings %.9g, want %.9g", c.what, c.got, c.want)
		}
	}
	if !(b.held < a.held) { // three warm each other
		t.Errorf("held alone %.6g A, a string %.6g A", a.held, b.held)
	}
	if n, m := single.DriverChips(), strung.DriverChips(); n != 24 || m != 8 {
		t.Errorf("%d and %d chips of one output", n, m)
	}
}
