package studies

import (
	"math"
	"testing"

	"lodegrid/scenes"
)

// By hand with the drive's own currents: a string whose coils are all lit loses nothing beside
// them, one lit coil of three has the whole current go by two, one of half the mean square by
// half of the time; a string that is dark draws nothing. What drivers of their own lose is
// what long frames from rest lose, but for their starts.
func TestCoilsInStrings(t *testing.T) {
	d := small(t, "iron.model=none", "drive.mode=stagger", "drive.frequency=100 kHz", "supply.voltage=5 V")
	g := newPlayer(t, d).Grid()
	c, err := newCold(g)
	if err != nil {
		t.Fatal(err)
	}
	n := d.Pixels()
	amps := func(level float64) float64 {
		levels := make([]float64, n)
		levels[0] = level
		if err := c.drive.Steady(c.pixels, levels, c.resistance); err != nil {
			t.Fatal(err)
		}
		return c.pixels[0].Average
	}
	full, on := amps(1), d.Drive.OnResistance
	volts := full * (on + 3.5*c.resistance[0])
	lit := func(lit ...int) []float64 {
		levels := make([]float64, n)
		for _, i := range lit {
			levels[i] = 1
		}
		return levels
	}
	half := lit(0)
	half[1] = 0.5
	share := math.Pow(amps(0.5)/full, 2)
	for what, x := range map[string]struct {
		levels           []float64
		sources, besides float64 // strings, coils that pass the full current by
	}{
		"all": {AllOn(g), math.Ceil(float64(n) / 3), 0}, "a string": {lit(0, 1, 2), 1, 0}, "one": {lit(4), 1, 2}, "two strings": {lit(2, 3), 2, 4},
		"a half": {half, 1, 2 - share}, "none": {lit(), 0, 0},
	} {
		s, err := InStrings(g, scenes.Scene{Frames: []scenes.Frame{{Levels: x.levels, Duration: 3}, {Levels: lit(), Duration: 1}}}, volts)
		if err != nil || s.Coils != 3 || s.Count != (n+2)/3 {
			t.Fatalf("%s: %+v, %v", what, s, err)
		}
		near(t, what+": sources", s.Sources, 0.75*x.sources*on*full*full, 1e-9)
		near(t, what+": beside the coils", s.Bypass, 0.75*x.besides*on*full*full, 1e-9)
		own, err := DriveFrame(g, scenes.Frame{Levels: x.levels, Duration: 3})
		if err != nil {
			t.Fatal(err)
		}
		near(t, what+": drivers of their own", s.Own, 0.75*(own.Switches+own.Diodes), 1e-3)
	}
	back := lit(3)
	back[5] = -1
	for what, x := range map[string]struct {
		levels []float64
		volts  float64
	}{"a rail for one coil": {lit(3), full * (on + 1.9*c.resistance[0])}, "backwards": {back, volts}} {
		if s, err := InStrings(g, scenes.Scene{Frames: []scenes.Frame{{Levels: x.levels, Duration: 1}}}, x.volts); err != nil || s != (Strings{}) {
			t.Errorf("%s: %+v, %v", what, s, err)
		}
	}
}
