package coil

import (
	"math"
	"testing"

	"lodegrid/field/material"
)

// One metre of track 0.2 mm wide in 35 µm copper, by hand: 1/58 Ω·mm²/m over
// 0.007 mm² is 2.4630541871921 Ω at 20 °C, times 1 + 0.00393·60 at 80 °C (IEC 60028).
func TestOneMetreOfTrack(t *testing.T) {
	c := &Coil{
		spec:    Spec{Track: 0.2e-3, Layers: []Layer{{Copper: 35e-6}}},
		wiring:  wiring{1, 1},
		lengths: []float64{1},
	}
	c.solve()
	for tempK, want := range map[float64]float64{293.15: 2.4630541871921, 353.15: 3.0438423645320} {
		if e := relative(c.Resistance(tempK), want); e > 1e-12 {
			t.Errorf("at %g K: %.14g Ω, want %.14g", tempK, c.Resistance(tempK), want)
		}
		if e := relative(c.LayerResistance(0, tempK), want); e > 1e-12 {
			t.Errorf("layer at %g K: %.14g Ω, want %.14g", tempK, c.LayerResistance(0, tempK), want)
		}
	}
}

// Twelve concentric circles of radius 1.5 + 0.45 i mm, track 0.2 mm, copper 35 µm:
// length 0.29970793915247 m, 0.73819689446428 Ω at 20 °C (computed by hand from the
// middle lines). A spiral of twelve turns at the same pitch winds through the same
// band and is longer by b²/2·∫dθ/r, b its pitch per radian: a few parts in 10⁵.
func TestTwelveCircles(t *testing.T) {
	s := Spec{
		Shape: Round, Track: 0.2e-3, Gap: 0.25e-3, Turns: 12,
		Outer:  2 * (1.5e-3 + 11*0.45e-3 + 0.225e-3 + 0.1e-3), // closed turns sit half a pitch in
		Layers: []Layer{{Copper: 35e-6, Z: -17.5e-6}},
	}
	c, err := New(s, Rules{})
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i, turn := range c.turns {
		if want := 1.5e-3 + 0.45e-3*float64(11-i); math.Abs(turn.apothem-want) > 1e-12 {
			t.Errorf("turn %d at %g m, want %g", i, turn.apothem, want)
		}
		sum += c.spec.ringLength(turn)
	}
	if e := relative(sum, 0.29970793915247); e > 1e-12 {
		t.Errorf("circles: %.14g m", sum)
	}
	if e := relative(sum*material.CopperResistivity(293.15)/(0.2e-3*35e-6), 0.73819689446428); e > 1e-12 {
		t.Errorf("circles: %.14g Ω", sum*material.CopperResistivity(293.15)/(0.2e-3*35e-6))
	}
	b := 0.45e-3 / (2 * math.Pi)
	r0, r1 := s.Outer/2-s.Track/2, s.Outer/2-s.Track/2-12*0.45e-3
	longer := b / 2 * math.Log(r0/r1)
	if e := relative(c.Length()-sum, longer); e > 0.01 {
		t.Errorf("spiral longer by %g m, want %g", c.Length()-sum, longer)
	}
	if e := relative(c.Resistance(293.15), c.Length()*material.CopperResistivity(293.15)/(0.2e-3*35e-6)); e > 1e-12 {
		t.Errorf("spiral: %g Ω", c.Resistance(293.15))
	}
}

// Resistance ratio between 20 °C and 105 °C: 1.33405 (linear law, IEC 60028).
func TestWarmResistance(t *testing.T) {
	c := build(t, usual(t, Square, 4))
	if e := relative(c.Resistance(378.15)/c.Resistance(293.15), 1.33405); e > 1e-9 {
		t.Errorf("ratio %g", c.Resistance(378.15)/c.Resistance(293.15))
	}
}

// Two groups of two layers between two vias, by hand: the groups' own resistances
// plus one stretch of via each, in parallel; with outer copper twice as thick and the
// vias' stretches unequal.
func TestParallelGroupsByHand(t *testing.T) {
	s := usual(t, Round, 4)
	var err error
	if s.Layers, err = EvenStack(4, 1.6e-3, 70e-6, 35e-6); err != nil {
		t.Fatal(err)
	}
	s.Layers[1].Z += 0.1e-3
	s.Track, s.Gap, s.ParallelGroups = 8*mil, 8*mil, 2
	c := build(t, s)
	rho := material.CopperResistivity(293.15)
	track := func(i int) float64 { return rho * c.lengths[i] / (s.Track * s.Layers[i].Copper) }
	via := func(i, j int) float64 {
		area := math.Pi * 20e-6 * 180e-6 // plating of 20 µm in a drill of 0.2 mm
		return rho * math.Abs(s.Layers[i].Z-s.Layers[j].Z) / area
	}
	a := track(0) + via(0, 1) + track(1) + via(1, 3) // out through the last group's exit
	b := via(0, 2) + track(2) + via(2, 3) + track(3)
	if e := relative(c.Resistance(293.15), a*b/(a+b)); e > 1e-12 {
		t.Errorf("%.12g Ω, by hand %.12g", c.Resistance(293.15), a*b/(a+b))
	}
	shares := c.LayerCurrents()
	for i, want := range []float64{b / (a + b), b / (a + b), a / (a + b), a / (a + b)} {
		if e := relative(shares[i], want); e > 1e-12 {
			t.Errorf("layer %d carries %.12g, by hand %.12g", i, shares[i], want)
		}
	}
	// The heat in the parts is the heat of the whole.
	heat := shares[0]*shares[0]*(a-via(1, 3)) + shares[2]*shares[2]*(b-via(0, 2)) + // layers with their joints
		shares[0]*shares[0]*via(1, 3) + shares[2]*shares[2]*via(0, 2)
	if e := relative(heat, c.Resistance(293.15)); e > 1e-12 {
		t.Errorf("heat at 1 A: %g W, resistance %g Ω", heat, c.Resistance(293.15))
	}
}

func TestSharesSumToOne(t *testing.T) {
	s := usual(t, Hexagon, 12)
	s.Layers[3].Copper, s.Layers[7].Copper = 17e-6, 10e-6
	for _, groups := range []int{1, 2, 3, 4, 6, 12} {
		s.ParallelGroups = groups
		c := build(t, s)
		sum := 0.0
		for g := range groups {
			sum += c.LayerCurrents()[g*12/groups]
		}
		if math.Abs(sum-1) > 1e-10 {
			t.Errorf("%d groups: shares sum to %.12g", groups, sum)
		}
	}
}

func TestCopper(t *testing.T) {
	s := usual(t, Round, 2)
	c := build(t, s)
	track := c.lengths[0] + c.lengths[1]
	if e := relative(c.CopperArea(), track/2*s.Track); e > 1e-12 {
		t.Errorf("area %g m²", c.CopperArea())
	}
	// One via through 2 mm of board.
	want := track*s.Track*34.8e-6 + math.Pi*20e-6*180e-6*2e-3
	if e := relative(c.CopperVolume(), want); e > 1e-12 {
		t.Errorf("volume %g m³, want %g", c.CopperVolume(), want)
	}
	// Half the band is copper where track and gap are equal.
	band := math.Pi / 4 * (s.Outer*s.Outer - c.Spec().Inner*c.Spec().Inner)
	if e := relative(c.CopperArea(), band/2); e > 0.05 {
		t.Errorf("area %g m², half the band %g", c.CopperArea(), band/2)
	}
}

func TestTrackRatingAgainstTable(t *testing.T) {
	for _, r := range table(t, "ipc2221.csv") {
		internal := r["internal"] == "true"
		area, rise, current := r.f(t, "area_mil2")*mil*mil, r.f(t, "rise_K"), r.f(t, "current_A")
		if e := relative(TrackCurrent(rise, area, internal), current); e > 1e-8 {
			t.Errorf("%v: %.9g A", r, TrackCurrent(rise, area, internal))
		}
		if e := relative(TrackRise(current, area, internal), rise); e > 3e-8 {
			t.Errorf("%v: %.9g K", r, TrackRise(current, area, internal))
		}
		if e := relative(TrackRise(-current, area, internal), rise); e > 3e-8 {
			t.Errorf("%v: the sign of the current matters", r)
		}
	}
}

func BenchmarkNew(b *testing.B) {
	for _, shape := range Shapes() {
		b.Run(string(shape), func(b *testing.B) {
			s := usual(b, shape, 12)
			for b.Loop() {
				sink = build(b, s).Length()
			}
		})
	}
}

// Nine layers in three parallel groups: each carries about a third of the current, and the rise of
// the most loaded is told; in series all of it.
func TestLoneTrack(t *testing.T) {
	for groups, share := range map[int]float64{1: 1, 3: 1. / 3} {
		s := usual(t, Round, 9)
		s.ParallelGroups = groups
		c, err := New(s, Rules{})
		if err != nil {
			t.Fatal(err)
		}
		rise, amps := c.LoneTrack(-0.4)
		if e := relative(amps, 0.4*share); e > 0.05 || relative(rise, TrackRise(amps, s.Track*s.Layers[0].Copper, true)) > 1e-12 {
			t.Errorf("%d groups: %g K at %g A", groups, rise, amps)
		}
	}
}
