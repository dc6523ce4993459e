package player

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Tracks between a coil and its driver weaken its current by Ohm's law, coil and track as
// warm as each other, and each pixel has its own; so they do in a player made of this one.
func TestTracksToTheDriver(t *testing.T) {
	g := trial.Build(t, grid.New, 0, "supply.voltage=2 V")
	drawn, err := g.Drawn(t.Context())
	if err != nil || len(drawn.Led) != g.Design.Pixels() || !(drawn.Led[0] > 1) {
		t.Fatalf("leads of %v, %v", drawn, err)
	}
	cold, on := g.Pixel.Coil.Resistance(293.15), g.Design.Drive.OnResistance
	ohms := make([]float64, g.Design.Pixels())
	for i := range ohms {
		ohms[i] = 0.01 * float64(i) * cold
		drawn.Led[i] = 1 + ohms[i]/cold
	}
	p, err := New(g)
	if err != nil {
		t.Fatal(err)
	}
	q, err := p.With(func(d *design.Design) { d.Limits.Hold = 3 })
	if err != nil {
		t.Fatal(err)
	}
	s := scenes.Scene{Name: "on", Rows: 3, Cols: 4, Frames: []scenes.Frame{{Levels: p.Uniform(1), Duration: 1}}}
	for _, p := range []*Player{p, q} {
		p.Reset()
		tempK := p.net.Coils()[0]
		e, err := p.Step(t.Context(), s.Frames[0])
		if err != nil {
			t.Fatal(err)
		}
		sum, heat := 0.0, 0.0
		for i, r := range ohms { // 0.00393 1/K at 20 °C: IEC 60028
			copper := (cold + r) * (1 + 0.00393*(tempK-293.15))
			want := 2 / (copper + on)
			sum, heat = sum+want, heat+want*want*copper
			if got := p.pixels[i].Average; math.Abs(got/want-1) > 1e-3 {
				t.Errorf("pixel %d: %g A, want %g", i, got, want)
			}
		}
		if math.Abs(e.SupplyPower/(2*sum)-1) > 1e-3 || math.Abs(e.CoilHeat/heat-1) > 1e-3 {
			t.Errorf("%g W drawn, want %g; %g W in the copper, want %g", e.SupplyPower, 2*sum, e.CoilHeat, heat)
		}
	}
	// What is held settles the same, as a mean and continuously.
	r, err := p.Mean(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	st, err := p.Steady(t.Context(), s.Frames[0].Levels)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range st.Heat.Coils {
		if math.Abs(r.Coils[i]-want) > 0.05 {
			t.Errorf("pixel %d: %g K by the mean, %g K held", i, r.Coils[i], want)
		}
	}
	p.led = nil
	if bare, err := p.Steady(t.Context(), s.Frames[0].Levels); err != nil || bare.Heat.Coils[11] < st.Heat.Coils[11]+0.5 {
		t.Errorf("coil 11 settles at %g K with a track, %g K without, %v", st.Heat.Coils[11], bare.Heat.Coils[11], err)
	}
}
