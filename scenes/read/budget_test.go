package read

import (
	"context"
	"io"
	"math"
	"os"
	"testing"

	"lodegrid/field/peak"
	"lodegrid/scenes"
)

// largeGIF is a picture of 9000 × 7000 pixels with 63 small changes here and there.
func largeGIF(w io.Writer) {
	b := newGIF(9000, 7000, blackWhite)
	b.frame(0, 0, 9000, 7000, make([]byte, 9000*7000)...)
	for i := range 63 {
		b.control(2, i%4, -1).frame(i*140, i*110, 3, 3, 1, 1, 1, 1, 1, 1, 1, 1, 1)
	}
	b.end()
	_, _ = b.WriteTo(w)
}

// Small changes on a large picture cost no more than themselves.
func TestGIFOfSmallChanges(t *testing.T) {
	path := peak.File(t, "large.gif", largeGIF)
	o := DefaultOptions()
	o.Fit = Stretch
	peak.Below(t, 300<<20, func() {
		s, _, err := Open(context.Background(), path, 10, 16, o)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Frames) != 64 {
			t.Fatalf("%d frames", len(s.Frames))
		}
		// Lit pixels of the first cell: two changes stay, the next is cleared, the next
		// put back, and the fifth, which stays, lies over its edge.
		for i, want := range map[int]float64{0: 0, 1: 9, 2: 18, 3: 27, 4: 27, 5: 25.5, 63: 25.5} {
			if got := s.Frames[i].Levels[0] * 562.5 * 700; math.Abs(got-want) > 1e-6 {
				t.Errorf("frame %d: %g pixels of the first cell are lit, want %g", i, got, want)
			}
		}
	})
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p := gifPlan{limits: scenes.DefaultLimits(), grid: 160, averager: func(w, h int) *averager { return newAverager(w, h, 10, 16, Stretch, 0) }}
	if err := p.each(context.Background(), f, 0, "large.gif", p.count); err != nil {
		t.Fatal(err)
	}
	// The picture once, decoded and averaged, and up to four cells of it, of 0.35
	// megapixels, for each change, twice where it is taken back.
	if most := int64(2*63e6 + 63*1.5*4*0.4e6); p.work > most {
		t.Errorf("%d pixels to look at, want at most %d", p.work, most)
	}
}
