package player

import (
	"math"
	"math/rand/v2"
	"testing"

	"lodegrid/scenes"
)

// What a scene is known to draw at most is what its frames drew, and a frame that would draw a
// hundredth more by a short search has its start times searched for as if it stood alone.
func TestKnownPeak(t *testing.T) {
	p, r := newPlayer(t, small(t, "drive.max_duty=30 %", "drive.frequency=20 kHz", "limits.touch=300 degC", "limits.board=390 degC", "supply.power=500 W")), rand.New(rand.NewPCG(5, 2))
	drawn := func(f scenes.Frame, known float64) float64 {
		p.Reset()
		p.known = known
		e, err := p.Step(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		return e.SupplyPeakCurrent
	}
	s, told := scenes.New("random", 3, 4, 40, 0.02), 0
	for _, f := range s.Frames {
		for k := range f.Levels {
			if r.IntN(2) == 0 {
				f.Levels[k] = r.Float64()
			}
		}
		long, short := drawn(f, 0), drawn(f, math.MaxFloat64)
		if short < 1.005*long {
			continue
		}
		told++
		if got := drawn(f, short/1.01); got != long {
			t.Errorf("%g A, %g A of what a scene is known to draw: told are %g A", long, short/1.01, got)
		}
	}
	if told < 5 {
		t.Errorf("the short search ended higher for %d of 40 frames: no test", told)
	}
	p.Reset()
	l, err := p.Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	if most := l.Summary().PeakCurrent; p.known != most || most == 0 {
		t.Errorf("known are %g A, the frames drew %g A at most", p.known, most)
	}
}
