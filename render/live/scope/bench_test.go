package scope

import (
	"slices"
	"testing"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes/generate"
)

// One op is one frame's own work at 32 × 20 pixels with 8 samples per pitch, fluid
// and heat on: a tick of the simulation, whose scene changes its levels every third
// tick, and the picture of the tank at the size a 1280 × 800 window shows. Times are
// processor time of the one thread that does it.
func BenchmarkFrame(b *testing.B) {
	for _, o := range []Overlay{Fluid, Strength, Arrows, Hold, Temperature, Crosstalk} {
		b.Run(o.String(), func(b *testing.B) {
			d, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "32"}, design.Change{Key: "grid.rows", Value: "20"})
			if err != nil {
				b.Fatal(err)
			}
			tide, err := generate.Defaults("tide", 20, 32)
			if err != nil {
				b.Fatal(err)
			}
			tide.FrameTime = 3.0 / TicksPerSecond
			c := withScene(b, d, tide)
			c.end() // no verdict beside it
			c.SetOverlay(o)
			p := NewPicture(&c.View, 880)
			for range 30 {
				tick(b, c)
				p.Draw(&c.View)
			}
			now, stop := cpuClock()
			defer stop()
			spent := make([]time.Duration, 0, 1<<16)
			b.ReportAllocs()
			for b.Loop() {
				start := now()
				tick(b, c)
				p.Draw(&c.View)
				spent = append(spent, now()-start)
			}
			slices.Sort(spent)
			milli := func(share float64) float64 {
				return spent[min(int(share*float64(len(spent))), len(spent)-1)].Seconds() * 1e3
			}
			b.ReportMetric(milli(0.5), "median-ms")
			b.ReportMetric(milli(0.99), "p99-ms")
			b.ReportMetric(milli(1), "max-ms")
		})
	}
}
