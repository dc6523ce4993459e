package drive

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// grid64 is 64 × 64 pixels with pictures that change every frame.
func grid64(mode Mode) Params {
	p := testParams(mode, FullBridge)
	p.Rows, p.Cols = 64, 64
	return p
}

func BenchmarkFrame(b *testing.B) {
	for _, mode := range modes {
		b.Run(string(mode), func(b *testing.B) {
			d := mustNew(b, grid64(mode))
			r := rand.New(rand.NewPCG(1, 1))
			var levels [2][]float64
			var resistance []float64
			for k := range levels {
				levels[k], resistance = picture(r, d)
			}
			dst := make([]PixelState, d.Pixels())
			k := 0
			for b.Loop() {
				if err := d.Frame(dst, levels[k&1], resistance); err != nil {
					b.Fatal(err)
				}
				k++
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(d.Pixels()), "ns/pixel")
		})
	}
}

// BenchmarkFrameAgainstStepping is Frame's closed form against marching through the
// frame's periods one by one (each in closed form, as a period-by-period simulation
// would): the ratio is the gain.
func BenchmarkFrameAgainstStepping(b *testing.B) {
	d := mustNew(b, grid64(Direct))
	levels, resistance := picture(rand.New(rand.NewPCG(1, 1)), d)
	dst := make([]PixelState, d.Pixels())
	b.Run("closed", func(b *testing.B) {
		for b.Loop() {
			if err := d.Frame(dst, levels, resistance); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("by-period", func(b *testing.B) {
		n := int(d.p.FrameTime/d.period + 0.5)
		for b.Loop() {
			for i := range dst {
				c := d.Circuit(i, 1, resistance[i])
				duty, _ := d.Duty(levels[i])
				t := newTrain(&c, duty, d.period)
				var s sums
				at := dst[i].End
				for range n {
					at = t.run(at, 1, &s)
				}
				dst[i].End = at
			}
		}
	})
}

func BenchmarkHeating(b *testing.B) {
	for _, mode := range modes {
		b.Run(string(mode), func(b *testing.B) {
			d := mustNew(b, grid64(mode))
			levels, _ := picture(rand.New(rand.NewPCG(1, 1)), d)
			h := Heating{d, levels, 4, 0.00393, nil}
			watts, slope, temp := constant(d.Pixels(), 0), constant(d.Pixels(), 0), constant(d.Pixels(), 330)
			for b.Loop() {
				h.Power(watts, slope, temp)
			}
		})
	}
}

func BenchmarkLoad(b *testing.B) {
	for _, mode := range modes {
		for _, lit := range []string{"grey", "black and white"} {
			b.Run(fmt.Sprintf("%s/%s", mode, lit), func(b *testing.B) {
				d := mustNew(b, grid64(mode))
				levels, resistance := picture(rand.New(rand.NewPCG(1, 1)), d)
				if lit != "grey" {
					for i, v := range levels {
						if v != 0 {
							levels[i] = 1
						}
					}
				}
				m := d.NewMeter()
				for b.Loop() {
					if _, err := m.FrameLoad(b.Context(), nil, levels, resistance, d.p.FrameTime); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkWiring(b *testing.B) {
	w := Wiring{Rows: 64, Cols: 64, Voltage: 12, Lead: 0.005, Row: Feeders{0.002, 0.0005, FeedBoth}, Column: Feeders{0.002, 0.0005, FeedNear}}
	b.Run("factorise", func(b *testing.B) {
		for b.Loop() {
			if _, err := NewNetwork(w); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("solve", func(b *testing.B) {
		net, err := NewNetwork(w)
		if err != nil {
			b.Fatal(err)
		}
		g := constant(4096, 0.01)
		var d Drops
		for b.Loop() {
			if d, err = net.Solve(g, nil); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(100*d.FarVoltage, "%-at-far-corner")
	})
}
