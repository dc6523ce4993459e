package scope

import (
	"slices"
	"testing"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes/generate"
)

// One op is one frame at 32 × 20 pixels with 8 samples per pitch, fluid and heat on, the
// scene's levels changing every third tick: the drawing's own work, which is the picture of
// the tank at the size a 1280 × 800 window shows (draw), and beside it the simulation's, a
// tick and the view that it hands out (tick). Times are processor time of the thread.
func BenchmarkFrame(b *testing.B) {
	for _, o := range Overlays() {
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
			v := &View{}
			c.Copy(v)
			p := NewPicture(v, 880)
			for range 30 {
				tick(b, c)
				c.Copy(v)
				p.Draw(v)
			}
			now, stop := cpuClock()
			defer stop()
			var drawn, ticked []time.Duration
			b.ReportAllocs()
			for b.Loop() {
				start := now()
				tick(b, c)
				c.Copy(v)
				middle := now()
				p.Draw(v)
				ticked, drawn = append(ticked, middle-start), append(drawn, now()-middle)
			}
			for _, m := range []struct {
				name  string
				spent []time.Duration
			}{{"draw", drawn}, {"tick", ticked}} {
				slices.Sort(m.spent)
				for name, share := range map[string]float64{"median": 0.5, "p99": 0.99} {
					b.ReportMetric(m.spent[int(share*float64(len(m.spent)-1))].Seconds()*1e3, m.name+"-"+name+"-ms")
				}
			}
		})
	}
}
