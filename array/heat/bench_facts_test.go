package heat

import (
	"math"
	"testing"
)

// What people report of a small flat coil of about 19 Ω on the bench (common practice,
// no source): on 5 V it stays touchable and makes some 16 mT; on 12 V held on it gets
// too hot to touch and makes nearer 30 mT than the 12/5 · 16 = 38 mT that its cold
// resistance promises; in short pulses 12 V leave it cool.
//
// One number is fitted, the thermal resistance of coil and board to the air, so that the
// fields at both voltages stand as 30 to 16. The rest must follow.
func TestBenchFactsOfASmallCoil(t *testing.T) {
	const (
		air   = 298.15
		touch = 324.15 // 51 °C, a minute on metal: ISO 13732-1, from memory
		ratio = 30.0 / 16
	)
	copper := Copper{Resistance20: 19, Alpha: 0.00393}
	// steady finds where a coil on a voltage settles: its power V²/R(T) through the
	// resistance to the air.
	steady := func(volts, kelvinPerWatt float64) float64 {
		low, high := air, 2000.0
		for range 100 {
			mid := (low + high) / 2
			if (mid-air)/kelvinPerWatt < volts*volts/copper.Resistance(mid) {
				low = mid
			} else {
				high = mid
			}
		}
		return low
	}
	// The field goes with the current V/R(T).
	fields := func(kelvinPerWatt float64) float64 {
		return 12 / copper.Resistance(steady(12, kelvinPerWatt)) / (5 / copper.Resistance(steady(5, kelvinPerWatt)))
	}
	low, high := 0.1, 1000.0
	for range 100 {
		if mid := (low + high) / 2; fields(mid) > ratio {
			low = mid
		} else {
			high = mid
		}
	}
	fitted := low
	at5, at12 := steady(5, fitted), steady(12, fitted)
	t.Logf("fitted %.3g K/W: %.1f °C on 5 V, %.1f °C on 12 V, fields as %.3f to 1 where cold copper promises 2.4", fitted, at5-273.15, at12-273.15, fields(fitted))
	if math.Abs(fields(fitted)-ratio) > 1e-6 {
		t.Fatalf("no thermal resistance gives fields of 30 to 16: %.4g K/W gives %.4f", fitted, fields(fitted))
	}
	// A few square centimetres of board lose heat through some 10 to 30 K/W.
	if fitted < 8 || fitted > 40 {
		t.Errorf("the fit asks for %.3g K/W, which no coil on a hand-sized board has", fitted)
	}
	if at5 >= touch {
		t.Errorf("on 5 V it reaches %.1f °C, want touchable", at5-273.15)
	}
	if at12 <= touch+20 {
		t.Errorf("on 12 V it reaches %.1f °C, want far too hot", at12-273.15)
	}

	// The network of one node with the same resistance agrees, and gives the pulses: the
	// copper of the coil and the laminate it lies in, 9.3 mm across and 2 mm thick, hold
	// about 0.3 J/K.
	p := Params{Rows: 1, Cols: 1, Ambient: air, Layers: []Layer{{Capacity: 0.3, Front: 0.01}}, Front: Film{Coefficient: 1 / (fitted * 0.01)}}
	n := New(p)
	on := func(volts, share float64) Load {
		return &VoltageDrive{Copper: copper, Volts: volts, Share: []float64{share}}
	}
	for volts, want := range map[float64]float64{5: at5, 12: at12} {
		r, err := n.Steady(t.Context(), on(volts, 1))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Hottest-want) > 1e-3 {
			t.Errorf("on %g V the network settles at %.3f K, the balance at %.3f K", volts, r.Hottest, want)
		}
	}
	// 100 ms every two seconds, for ten minutes.
	n.Start(air)
	top := 0.0
	for range 300 {
		if err := n.Step(t.Context(), 0.1, on(12, 1)); err != nil {
			t.Fatal(err)
		}
		hot, _ := n.Hottest(0)
		top = math.Max(top, hot)
		if err := n.Step(t.Context(), 1.9, on(12, 0)); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("12 V for 100 ms every 2 s: up to %.1f °C", top-273.15)
	if top >= air+15 {
		t.Errorf("short pulses of 12 V reach %.1f °C, want cool", top-273.15)
	}
}
