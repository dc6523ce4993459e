package scope

import (
	"slices"
	"testing"
	"time"
)

// One op is one frame's own work at 32 × 20 pixels with 8 samples per pitch, fluid
// and heat on: a tick of the simulation, whose scene changes its levels every third
// tick, and the picture of the tank at the size a 1280 × 800 window shows. Times are
// processor time of the one thread that does it.
func BenchmarkFrame(b *testing.B) {
	for _, o := range []Overlay{Fluid, Strength, Arrows, Hold, Crosstalk} {
		b.Run(o.String(), func(b *testing.B) {
			c := newScope(b, 32, 20)
			c.SetOverlay(o)
			p := NewPicture(c, 880)
			for range 30 {
				tick(b, c)
				p.Draw(c)
			}
			now, stop := cpuClock()
			defer stop()
			var spent []time.Duration
			b.ReportAllocs()
			for b.Loop() {
				start := now()
				tick(b, c)
				p.Draw(c)
				spent = append(spent, now()-start)
			}
			slices.Sort(spent)
			milli := func(share float64) float64 {
				return spent[min(int(share*float64(len(spent))), len(spent)-1)].Seconds() * 1e3
			}
			b.ReportMetric(milli(0.5), "median-ms")
			b.ReportMetric(milli(0.99), "p99-ms")
			b.ReportMetric(spent[len(spent)-1].Seconds()*1e3, "max-ms")
		})
	}
}

func tick(tb testing.TB, c *Scope) {
	tb.Helper()
	if _, err := c.Tick(); err != nil {
		tb.Fatal(err)
	}
}
