package lattice

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// yardstick is the shape all comparisons are made at.
var yardstick = Shape{Rows: 64, Cols: 64, Samples: 8, Components: 3}

func benchmarkFrame(b *testing.B, s Shape, k Kernel, opts ...Option) {
	e := mustNew(b, s, k, append(opts, FramesOnly(), MemoryLimit(8<<30))...)
	p := e.NewPlanes()
	levels := randomLevels(rand.New(rand.NewPCG(3, 3)), s.Pixels())
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		if err := e.Superpose(p, levels); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p.data)), "ns/output")
}

// BenchmarkFrame is a whole frame at the yardstick: 64×64 pixels, 8×8 samples
// each, three components, full range, float64.
func BenchmarkFrame(b *testing.B) { benchmarkFrame(b, yardstick, square, Field()) }

// BenchmarkFrameNoSymmetry is the same for a kernel without any symmetry.
func BenchmarkFrameNoSymmetry(b *testing.B) { benchmarkFrame(b, yardstick, square) }

// BenchmarkFrameHalfTurn is the same for a kernel known to look the same after
// half a turn.
func BenchmarkFrameHalfTurn(b *testing.B) {
	benchmarkFrame(b, yardstick, square, Symmetry{Point: []int{-1, -1, 1}})
}

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

// BenchmarkFrameTruncated leaves out at most one percent.
func BenchmarkFrameTruncated(b *testing.B) {
	benchmarkFrame(b, yardstick, square, Field(), Truncated(1e-2))
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

// BenchmarkPixel is one changed pixel over the full range.
func BenchmarkPixel(b *testing.B) {
	e := mustNew(b, yardstick, square, Field())
	p := e.NewPlanes()
	r := rand.New(rand.NewPCG(4, 4))
	b.ReportAllocs()
	for b.Loop() {
		e.add(p, []change{e.change(r.IntN(yardstick.Pixels()), r.Float64()-0.5)})
	}
}

// BenchmarkPixelNoSymmetry is the same with a table that holds every phase.
func BenchmarkPixelNoSymmetry(b *testing.B) {
	e := mustNew(b, yardstick, square)
	p := e.NewPlanes()
	r := rand.New(rand.NewPCG(4, 4))
	b.ReportAllocs()
	for b.Loop() {
		e.add(p, []change{e.change(r.IntN(yardstick.Pixels()), r.Float64()-0.5)})
	}
}

// BenchmarkCopyPlane is the row-major raster of one component.
func BenchmarkCopyPlane(b *testing.B) {
	e := mustNew(b, yardstick, square, Field(), FramesOnly())
	p := e.NewPlanes()
	dst := make([]float64, yardstick.RasterRows()*yardstick.RasterCols())
	b.ReportAllocs()
	for b.Loop() {
		p.CopyPlane(dst, 1)
	}
}

// BenchmarkLevels is the part of a frame that does not depend on the number of
// components and samples.
func BenchmarkLevels(b *testing.B) {
	e := mustNew(b, yardstick, square, Field(), FramesOnly())
	levels := randomLevels(rand.New(rand.NewPCG(3, 3)), yardstick.Pixels())
	b.ReportAllocs()
	for b.Loop() {
		e.transformLevels(levels)
	}
}

// BenchmarkNew prepares the yardstick with a cheap kernel.
func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		mustNew(b, yardstick, square, Field())
	}
}
