package lattice

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// yardstick is the shape all comparisons are made at.
var yardstick = Shape{Rows: 64, Cols: 64, Samples: 8, Components: 3}

// measure runs f and reports its fastest run beside the average, because the
// machine may have other work. It is what rivals are compared by.
func measure(b *testing.B, f func() error) {
	fastest := time.Duration(math.MaxInt64)
	b.ReportAllocs()
	for b.Loop() {
		start := time.Now()
		if err := f(); err != nil {
			b.Fatal(err)
		}
		fastest = min(fastest, time.Since(start))
	}
	b.ReportMetric(float64(fastest.Nanoseconds()), "fastest-ns")
}

func benchmarkFrame(b *testing.B, s Shape, k Kernel, y Symmetry) {
	e, p := mustNew(b, s, k, y), rasters(s)
	levels := randomLevels(rand.New(rand.NewPCG(3, 3)), s.Pixels())
	measure(b, func() error {
		e.Superpose(p, levels)
		return nil
	})
}

// BenchmarkFrame is a whole frame at the yardstick: 64×64 pixels, 8×8 samples
// each, three components, full range, float64.
func BenchmarkFrame(b *testing.B) { benchmarkFrame(b, yardstick, square, Field()) }

// BenchmarkFrameNoSymmetry is the same for a kernel without any symmetry.
func BenchmarkFrameNoSymmetry(b *testing.B) { benchmarkFrame(b, yardstick, square, Symmetry{}) }

// BenchmarkFrameMargin is the same with a margin of one pitch.
func BenchmarkFrameMargin(b *testing.B) {
	s := yardstick
	s.Margin = 1
	benchmarkFrame(b, s, square, Field())
}

// BenchmarkFrameGradients has eight components, the field and its gradient.
func BenchmarkFrameGradients(b *testing.B) {
	s := yardstick
	s.Components = 8
	benchmarkFrame(b, s, gradients, gradientSymmetry())
}

// BenchmarkSize is a whole frame on square grids, from which the exponent in the
// number of pixels is taken.
func BenchmarkSize(b *testing.B) {
	for _, n := range []int{16, 32, 64, 128, 256} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			benchmarkFrame(b, Shape{Rows: n, Cols: n, Samples: 8, Components: 3}, square, Field())
		})
	}
}

// BenchmarkDemo is the grid of a 16×10 sign with a margin of one pitch.
func BenchmarkDemo(b *testing.B) {
	benchmarkFrame(b, Shape{Rows: 10, Cols: 16, Samples: 8, Margin: 1, Components: 3}, square, Field())
}

// BenchmarkCentres is the field at pixel centres only.
func BenchmarkCentres(b *testing.B) {
	benchmarkFrame(b, Shape{Rows: 64, Cols: 64, Samples: 1, Components: 3}, square, Field())
}

// BenchmarkNew prepares the yardstick with a cheap kernel.
func BenchmarkNew(b *testing.B) {
	measure(b, func() error { _, err := New(b.Context(), yardstick, square, Field()); return err })
}

// BenchmarkFew is a frame with a share of the pixels on, one by one and by transforms.
func BenchmarkFew(b *testing.B) {
	for _, s := range []Shape{{Rows: 10, Cols: 16, Samples: 8, Margin: 1, Components: 3}, {Rows: 64, Cols: 64, Samples: 8, Margin: 1, Components: 3}} {
		e, p := mustNew(b, s, square, Field()), rasters(s)
		for _, on := range []int{1, 8, e.few, e.few + 1} {
			levels := make([]float64, s.Pixels())
			for k := range on {
				levels[k*s.Pixels()/on] = 1
			}
			b.Run(fmt.Sprintf("%dx%d/%d", s.Cols, s.Rows, on), func(b *testing.B) {
				measure(b, func() error {
					e.Superpose(p, levels)
					return nil
				})
			})
		}
	}
}
