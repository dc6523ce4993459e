package shown

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// script is a fluid whose cover is told by time.
type script struct {
	at    float64
	steps int
	cover func(at float64, place, cell []float64)
}

func (s *script) FillFor(scenes.Scene) (float64, error) { return 0, nil }
func (s *script) Step(dt float64, _ *grid.Plane) error {
	s.at, s.steps = s.at+dt, s.steps+1
	return nil
}
func (s *script) Cover(place, cell []float64) { s.cover(s.at, place, cell) }

// A drop that goes from pixel 0 to pixel 1 in 0.65 s after the light does, and another that
// stays at pixel 3 until it is lost at 2.5 s, reckoned by hand.
func TestRecorder(t *testing.T) {
	g := gridOf(t, trial.Lit(), design.Change{Key: "grid.cols", Value: "2"}, design.Change{Key: "grid.rows", Value: "2"})
	s := scenes.New("hand", 2, 2, 3, 1)
	for f, lit := range [][]int{{0, 3}, {1, 3}, {1, 3}} {
		for _, k := range lit {
			s.Frames[f].Levels[k] = 1
		}
	}
	fluid := &script{cover: func(at float64, place, cell []float64) {
		clear(place)
		if at < 1.65 {
			place[0] = 1
		} else {
			place[1] = 1
		}
		if at < 2.5 {
			place[3] = 0.9
		} else {
			place[3], place[1] = 0.2, 1
		}
		if cell != nil {
			copy(cell, place)
			if at >= 2.5 {
				cell[1] = 1.6
			}
		}
	}}
	r, err := Begin(Drops, fluid, g, s, s, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	for k := range 30 { // as a film does, past the frames' ends
		if err := r.Move(0.1, grid.NewPlane(g.Raster)); err != nil {
			t.Fatal(err)
		}
		// Cut off before the second picture is there, it is none that never came.
		want := 0
		if k >= 16 {
			want = 1
		}
		if never, _ := r.Record().Late(); never != 0 || len(r.Record().Delays) != want {
			t.Errorf("after %d steps %d pictures never came of %d, want 0 of %d", k+1, never, len(r.Record().Delays), want)
		}
	}
	rec := r.Record()
	share, stray := rec.Share()
	running, overlap := rec.Running()
	never, delay := rec.Late()
	// Frames 2 and 3 are judged: 2 of 2 and 1 of 2; no fluid at pixels 0 and 2. Over time
	// half of the first 0.6 s, all until 1.4 s, half from there on: looked at every 0.1 s.
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"share", share, 0.75}, {"stray", stray, 0}, {"start", rec.Start(), 1}, {"running", running, 1 - 0.5*(0.6+0.6)/2},
		{"overlap", overlap, (1.9/2.0 + 1.2/(2+1.8-1.2)) / 2}, {"never", float64(never), 0}, {"delay", delay, 0.7}, {"worst", float64(rec.Worst()), 2},
		{"starved", float64(rec.Count(Starved)), 1}, {"lost", float64(rec.Count(Lost)), 1}, {"fused", float64(rec.Count(Fused)), 1},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s is %g, want %g", c.what, c.got, c.want)
		}
	}
}

// Frames of the same picture that are shorter than the drop model's step are looked at
// together: each has its sight, as it is by so much later at most.
func TestFramesLookedAtTogether(t *testing.T) {
	g := gridOf(t, trial.Lit(), design.Change{Key: "grid.cols", Value: "2"}, design.Change{Key: "grid.rows", Value: "1"})
	s := scenes.New("ms", 1, 2, 1000, 1e-3)
	for f := range s.Frames {
		s.Frames[f].Levels[min(f/495, 1)] = 1 // 495 is no multiple of what is looked at together
		if f >= 990 {
			s.Frames[f].Levels[0] = 1
		}
	}
	see := func(together int) (*Record, *script) {
		fluid := &script{cover: func(at float64, place, _ []float64) {
			clear(place)
			place[0] = max(1-at, 0)
			place[1] = at / 2
			if at > 0.753 {
				place[1] = 1
			}
		}}
		r, err := Begin(Drops, fluid, g, s, s, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		for range 1000 / together {
			if err := r.Move(float64(together)*1e-3, grid.NewPlane(g.Raster)); err != nil {
				t.Fatal(err)
			}
		}
		return r.Record(), fluid
	}
	single, one := see(1)
	joint, many := see(50)
	if one.steps != 1000 || many.steps > 65 || len(joint.Sights) != 1000 || len(joint.Delays) != len(single.Delays) {
		t.Fatalf("%d steps one by one, %d together; %d sights, %d and %d delays", one.steps, many.steps, len(joint.Sights), len(joint.Delays), len(single.Delays))
	}
	for k, got := range joint.Sights {
		last := min(k+20, 999)
		for last > k && single.Sights[last].Wanted != single.Sights[k].Wanted {
			last--
		}
		low, high := single.Sights[k], single.Sights[last]
		if got.Frame != k || math.Abs(got.End-low.End) > 1e-9 || got.Wanted != low.Wanted || got.Start != low.Start ||
			(got.Shown-low.Shown)*(got.Shown-high.Shown) > 0 || (got.Mean-low.Mean)*(got.Mean-high.Mean) > 1e-12 {
			t.Fatalf("frame %d: %+v together, %+v … %+v one by one", k, got, low, high)
		}
	}
	for k, d := range joint.Delays {
		if late := d.Seconds - single.Delays[k].Seconds; d.Frame != single.Delays[k].Frame || late < -1e-9 || late > together {
			t.Errorf("delay %d: %+v together, %+v one by one", k, d, single.Delays[k])
		}
	}
}

// Nothing wanted is shown wholly; what is there then is stray.
func TestNothingWanted(t *testing.T) {
	g := gridOf(t, trial.Lit(), design.Change{Key: "grid.cols", Value: "2"}, design.Change{Key: "grid.rows", Value: "1"})
	fluid := &script{cover: func(_ float64, place, cell []float64) {
		place[1] = 1
		if cell != nil {
			cell[1] = 1
		}
	}}
	dark := scenes.New("dark", 1, 2, 2, 1)
	r, err := Begin(Drops, fluid, g, dark, dark, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Move(2, grid.NewPlane(g.Raster)); err != nil {
		t.Fatal(err)
	}
	share, stray := r.Record().Share()
	if share != 1 || stray != 2 || r.Record().Worst() != -1 || len(r.Record().Sights) != 2 {
		t.Errorf("share %g, stray %g, %+v", share, stray, r.Record())
	}
	if _, err := Begin(Drops, fluid, g, dark, scenes.New("else", 3, 3, 1, 1), 0.9); err == nil {
		t.Error("a scene for other pixels passed")
	}
}

// It is all one whether a scene is gone through frame by frame, as a report does, or by
// instants that have nothing to do with its frames, as a film does, which ends later.
func TestRunByInstants(t *testing.T) {
	g := gridOf(t, design.Demo(), design.Change{Key: "grid.cols", Value: "3"}, design.Change{Key: "grid.rows", Value: "2"},
		design.Change{Key: "drive.mode", Value: "kick"}, design.Change{Key: "drive.hold_duty", Value: "5 %"}, design.Change{Key: "drive.kick_time", Value: "150 ms"})
	s := scenes.New("steps", 2, 3, 4, 0.4)
	for f := range s.Frames {
		s.Frames[f].Duration = []float64{0.4, 0.1, 0.7, 0.3}[f]
		s.Frames[f].Levels[f], s.Frames[f].Levels[f+2] = 1, 1
	}
	see := func(through func(*Run) error) *Record {
		p, err := player.New(g)
		if err != nil {
			t.Fatal(err)
		}
		drops, err := player.NewDroplets(g, 0)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Begin(Drops, drops, g, s, s, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if err := through(NewRun(p, s, r)); err != nil {
			t.Fatal(err)
		}
		return r.Record()
	}
	frames := 0
	whole := see(func(r *Run) error {
		return r.Each(t.Context(), func() bool { frames++; return true })
	})
	parts := see(func(r *Run) (err error) {
		for n := 1; err == nil && r.Time() < 1.6; n++ {
			err = r.To(t.Context(), float64(n)/13)
		}
		return err
	})
	if frames != 4 || len(whole.Sights) != 4 || len(parts.Sights) != 4 {
		t.Fatalf("%d frames, %d and %d seen; want 4", frames, len(whole.Sights), len(parts.Sights))
	}
	for i, a := range whole.Sights {
		// Steps of other lengths: by as much as half a step changes a share.
		if b := parts.Sights[i]; a.Wanted != b.Wanted || a.Shown != b.Shown || math.Abs(a.End-b.End) > 1e-12 || math.Abs(a.Mean-b.Mean) > 0.01 {
			t.Errorf("frame %d: %+v by frames, %+v by instants", i+1, a, b)
		}
	}
	if err := NewRun(nil, s).To(t.Context(), 0); err != nil {
		t.Errorf("nothing to go on to: %v", err)
	}
}

// resting is a script that rests from a while after the plane has changed.
type resting struct {
	script
	since, after float64
}

func (s *resting) Step(dt float64, p *grid.Plane) error {
	s.since += dt
	return s.script.Step(dt, p)
}
func (s *resting) Resting() bool { return s.since >= s.after }

// Fluid that rests is looked at as a picture begins and as its frame ends, and not in between; what is
// recorded is the same. Here both pixels have their drops all the time.
func TestFluidThatRests(t *testing.T) {
	g := gridOf(t, trial.Lit(), design.Change{Key: "grid.cols", Value: "2"}, design.Change{Key: "grid.rows", Value: "1"})
	s := scenes.New("hand", 1, 2, 2, 40)
	s.Frames[0].Levels[0], s.Frames[1].Levels[1] = 1, 1
	var seen []*Record
	var steps []int
	for _, after := range []float64{math.Inf(1), 2} {
		fluid := &resting{script{cover: func(_ float64, place, _ []float64) { place[0], place[1] = 1, 1 }}, 0, after}
		r, err := Begin(Drops, fluid, g, s, s, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Move(80, nil); err != nil {
			t.Fatal(err)
		}
		seen, steps = append(seen, r.Record()), append(steps, fluid.steps)
	}
	if steps[0] != 800 || steps[1] < 20+3 || steps[1] > 20+4 {
		t.Errorf("%d steps: want 800 without rest, with it 20 until it rests and then one to each frame's end and one as the second begins", steps)
	}
	for i, a := range seen[0].Sights {
		if b := seen[1].Sights[i]; a.Shown != b.Shown || math.Abs(a.Running-b.Running) > 1e-9 || math.Abs(a.End-b.End) > 1e-9 {
			t.Errorf("frame %d: %+v, resting %+v", i, a, b)
		}
	}
	if a, b := seen[0].Delays[0].Seconds, seen[1].Delays[0].Seconds; math.Abs(a-b) > 1e-9 || math.Abs(a-every) > 1e-9 {
		t.Errorf("delays %g and %g s, want %g", a, b, every)
	}
}
