package grid

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/drive"
)

// With two rows of a scan on at once each is on twice as long: half as many turns, twice the
// mean current; the rows of a turn are as far apart as they can be. The mean of the pressure
// over the turns is that of each turn's currents by themselves.
func TestRowsAtOnce(t *testing.T) {
	build := func(rows string) *Grid {
		return trial.Build(t, New, 0, "drive.mode=scan", "drive.scan_time=20 ms", "drive.frequency=50 kHz", "grid.rows=4", "fluid.relaxation=0 s", "drive.scan_rows="+rows)
	}
	one, two := build("1"), build("2")
	if two.Turns() != 2 || one.Turns() != 4 || two.TurnOf(0) != 0 || two.TurnOf(4) != 1 || two.TurnOf(8) != 0 || two.TurnOf(15) != 1 {
		t.Fatalf("turns: %d and %d; of the rows %d %d %d %d", one.Turns(), two.Turns(), two.TurnOf(0), two.TurnOf(4), two.TurnOf(8), two.TurnOf(15))
	}
	if got := two.Pixel.FullCurrent / one.Pixel.FullCurrent; math.Abs(got-2) > 0.01 {
		t.Errorf("the mean current is %.4g times that of one row at once, want 2", got)
	}
	if got := two.Pixel.Full.On.Average / one.Pixel.Full.On.Average; math.Abs(got-1) > 0.01 {
		t.Errorf("while it is on, %.4g times", got)
	}
	// The supply: a scan of all pixels draws twice as much, two rows at a time.
	var loads [2]drive.Load
	for i, g := range []*Grid{one, two} {
		d := g.Drive(0)
		levels, ohms := make([]float64, 16), make([]float64, 16)
		for k := range levels {
			levels[k], ohms[k] = 1, g.Pixel.Coil.Resistance(293.15)
		}
		var err error
		if loads[i], err = d.NewMeter().Load(t.Context(), levels, ohms); err != nil {
			t.Fatal(err)
		}
		states, sum := make([]drive.PixelState, 16), 0.0
		if err := d.Steady(states, levels, ohms); err != nil {
			t.Fatal(err)
		}
		for _, s := range states {
			sum += s.RailAverage
		}
		if math.Abs(sum/loads[i].Supply.Average-1) > 1e-6 {
			t.Errorf("%d turns: pixels draw %.6g A, the supply gives %.6g A", g.Turns(), sum, loads[i].Supply.Average)
		}
		// A frame of many scans is the same as the scan that repeats.
		frame := make([]drive.PixelState, 16)
		if err := d.FrameFor(frame, levels, ohms, 2); err != nil {
			t.Fatal(err)
		}
		for k, s := range frame {
			if math.Abs(s.Average/states[k].Average-1) > 2e-3 {
				t.Errorf("%d turns, pixel %d: %.5g A over a frame, %.5g A over a scan", g.Turns(), k, s.Average, states[k].Average)
			}
		}
	}
	if got := loads[1].Supply.Average / loads[0].Supply.Average; math.Abs(got-2) > 0.02 {
		t.Errorf("the supply gives %.4g times as much, want 2", got)
	}
	c := two.NewCurrents()
	c.Mean[1], c.Mean[6], c.Mean[9] = 0.1, 0.2, 0.15 // rows 1, 2 and 3: 1 and 3 have one turn
	got := two.Field(c)
	want := make([]float64, len(got.Pi))
	for _, turn := range [][]int{{1, 9}, {6}} {
		part, on := NewPlane(two.Raster), two.NewCurrents()
		for _, k := range turn {
			on.Mean[k] = 2 * c.Mean[k]
		}
		two.FieldAtOnce(part, on)
		for i, v := range part.Pi {
			want[i] += v / 2
		}
	}
	for i, v := range want {
		if math.Abs(got.Pi[i]-v) > 1e-9*math.Abs(v)+1e-12 {
			t.Fatalf("sample %d: %g Pa, want %g", i, got.Pi[i], v)
		}
	}
}
