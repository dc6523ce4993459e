package player

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes"
)

// A display put back into the middle of a kick plays on as it did: the kick's rest, heat and
// power are those of the first time.
func TestResumeWithinKick(t *testing.T) {
	d, err := trial.Lit().With(
		design.Change{Key: "grid.cols", Value: "6"}, design.Change{Key: "grid.rows", Value: "4"},
		design.Change{Key: "drive.mode", Value: "kick"}, design.Change{Key: "drive.kick_time", Value: "80 ms"}, design.Change{Key: "drive.kick_voltage", Value: "30 V"}, design.Change{Key: "iron.model", Value: "none"},
	)
	if err != nil {
		t.Fatal(err)
	}
	p := newPlayer(t, d)
	b, err := NewTank(p.grid, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	levels := make([]float64, d.Pixels())
	levels[20] = 1
	if _, err := b.FillFor(scenes.Scene{Rows: 4, Cols: 6, Frames: []scenes.Frame{{Levels: levels, Duration: 1}}}); err != nil {
		t.Fatal(err)
	}
	live := NewLive(p)
	const dt = 1.0 / 60
	play := func(n int) (list []Entry) {
		for range n {
			e, err := live.Tick(levels, dt)
			if err == nil {
				err = b.Step(dt, p.Plane())
			}
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, e)
		}
		return list
	}
	play(30)
	levels[20], levels[14], levels[9] = 0, 1, 0.5
	play(2) // 33 of 80 ms
	m := live.Moment(b)
	want := play(12)
	if a, z := want[0].SupplyPower, want[11].SupplyPower; a < 1.2*z {
		t.Fatalf("%g W, then %g: this is not within a kick", a, z)
	}
	if err := live.Resume(b, m); err != nil {
		t.Fatal(err)
	}
	for i, got := range play(12) {
		for name, v := range map[string][2]float64{
			"power": {got.SupplyPower, want[i].SupplyPower}, "peak power": {got.SupplyPeakPower, want[i].SupplyPeakPower},
			"hottest coil": {got.Hottest, want[i].Hottest}, "least hold": {got.LeastHold, want[i].LeastHold},
		} {
			if math.Abs(v[0]-v[1]) > 1e-6*math.Abs(v[1]) {
				t.Errorf("tick %d: %s is %g, was %g", i, name, v[0], v[1])
			}
		}
	}
}
