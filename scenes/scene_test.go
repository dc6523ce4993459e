package scenes

import (
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestValidate(t *testing.T) {
	good := func() Scene {
		s := New("x", 2, 3, 2, 1)
		s.Frames[1].Levels[4] = -1
		return s
	}
	if err := good().Validate(); err != nil {
		t.Error(err)
	}
	for want, change := range map[string]func(s *Scene){
		"a grid of 0 rows × 3 columns: 1 to 512 pixels along a side are possible": func(s *Scene) { s.Rows = 0 },
		"1 to 512 pixels along a side are possible":                               func(s *Scene) { s.Rows = 1 << 40 },
		"no frames": func(s *Scene) { s.Frames = nil },
		"frame 2: 5 levels for a grid of 2 rows × 3 columns, want 6":                          func(s *Scene) { s.Frames[1].Levels = s.Frames[1].Levels[:5] },
		"frame 1: row 2, column 3: level NaN is not a number in −1…1":                         func(s *Scene) { s.Frames[0].Levels[5] = math.NaN() },
		"frame 1: row 1, column 2: level 1.0000000001":                                        func(s *Scene) { s.Frames[0].Levels[1] = 1.0000000001 },
		"frame 2: duration 0 s is not a positive, finite time":                                func(s *Scene) { s.Frames[1].Duration = 0 },
		"frame 1: duration -1 s":                                                              func(s *Scene) { s.Frames[0].Duration = -1 },
		"frame 1: duration NaN s":                                                             func(s *Scene) { s.Frames[0].Duration = math.NaN() },
		"frame 1: duration +Inf s":                                                            func(s *Scene) { s.Frames[0].Duration = math.Inf(1) },
		"lasts 700001 s, the limit is 604800 s":                                               func(s *Scene) { s.Frames[0].Duration = 7e5 },
		"1000001 frames, the limit is 1000000":                                                func(s *Scene) { s.Frames = make([]Frame, 1_000_001) },
		"600000 frames of 65536 pixels, the limit is 33554432 levels in all: 512 such frames": func(s *Scene) { s.Frames, s.Rows, s.Cols = make([]Frame, 600_000), 256, 256 },
	} {
		s := good()
		change(&s)
		if err := s.Validate(); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), `scene "x"`) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

func TestAt(t *testing.T) {
	s := New("x", 1, 1, 3, 0.5)
	s.Frames[1].Duration = 2
	for at, want := range map[float64]int{-1: 0, 0: 0, 0.49: 0, 0.5: 1, 2.49: 1, 2.5: 2, 2.99: 2, 3: 2, 99: 2} {
		if got := s.At(at); got != want {
			t.Errorf("At(%g) = %d, want %d", at, got, want)
		}
	}
	if got := (Scene{}).At(0); got != -1 {
		t.Errorf("At of no frames = %d", got)
	}
	if got := s.Duration(); got != 3 {
		t.Errorf("duration %g, want 3", got)
	}
}

func TestShared(t *testing.T) {
	s := New("alike", 1, 2, 4, 1)
	for f, v := range []float64{0, 1, 1, 0} {
		s.Frames[f].Levels[1] = v
	}
	got := s.Shared()
	if !reflect.DeepEqual(got, s) || &got.Frames[1].Levels[0] != &got.Frames[2].Levels[0] || &got.Frames[0].Levels[0] == &got.Frames[3].Levels[0] {
		t.Errorf("got %+v of %+v", got, s)
	}
	for _, c := range [][3]int{{0, 1, 0}, {1, 2, 1}, {0, 3, 1}} {
		if s.Frames[c[0]].Alike(s.Frames[c[1]]) != (c[2] == 1) || got.Frames[c[0]].Alike(got.Frames[c[1]]) != (c[2] == 1) {
			t.Errorf("frames %v", c)
		}
	}
}
