package player

import (
	"math"
	"testing"

	"lodegrid/scenes"
)

// A scene played from its warm state is what it is after many more loops, also where
// half of it is bright and half dark for minutes, so that the board swings by tens of
// kelvin and its mean is not where it starts.
func TestWarmStateRepeats(t *testing.T) {
	for name, length := range map[string]float64{"a minute": 0.5, "ten minutes": 5} {
		p := newPlayer(t, small(t, "heat.orientation=face-up"))
		s := scenes.Scene{Name: name, Rows: 3, Cols: 4}
		for k := range 120 {
			level := 0.0
			if k < 60 {
				level = 0.5
			}
			s.Frames = append(s.Frames, scenes.Frame{Levels: p.Uniform(level), Duration: length})
		}
		board, touch, err := p.LoopPeaks(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		swing := 0.0
		var later, laterTouch float64
		for range 8 {
			later, laterTouch = 0, 0
			low := math.Inf(1)
			for _, f := range s.Frames {
				e := Entry{Duration: f.Duration}
				p.measure()
				if err := p.power(t.Context(), &e, f.Levels); err != nil {
					t.Fatal(err)
				}
				p.tellHeat(&e)
				later, laterTouch, low = max(later, e.Hottest), max(laterTouch, e.Touch), min(low, e.Hottest)
			}
			swing = later - low
		}
		if swing < 3 {
			t.Errorf("%s: the loop swings by %.3g K, too little to test with", name, swing)
		}
		if math.Abs(board-later) > 0.1 || math.Abs(touch-laterTouch) > 0.1 {
			t.Errorf("%s: peaks of %.2f and %.2f K, eight loops later %.2f and %.2f K", name, board, touch, later, laterTouch)
		}
		t.Logf("%s: %.3f K, eight loops later %.3f K, swing %.3g K", name, board, later, swing)
	}
}
