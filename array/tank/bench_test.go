package tank_test

import (
	"fmt"
	"os"
	"runtime"
	"testing"
	"time"

	"lodegrid/array/tank/poisson"
)

// One op is a frame of 1/60 s of a display with every other pixel lit and a drop on each;
// the light moves by one pixel and back every half second.
func BenchmarkDrops(b *testing.B) {
	for _, c := range []struct{ cols, rows, cells int }{{16, 10, 8}, {16, 10, 12}, {16, 10, 16}, {64, 64, 8}, {126, 78, 16}} {
		b.Run(fmt.Sprintf("%dx%d at %d", c.cols, c.rows, c.cells), func(b *testing.B) {
			d := newBoard(b, c.cols, c.rows, 8, c.cells, 0.02)
			tk := d.tank(b, nil)
			var sides [2][]int
			for k := range c.cols * c.rows {
				side := (k/c.cols + k%c.cols) % 2
				sides[side] = append(sides[side], k)
				if side == 0 {
					at := d.grid.Center(k/c.cols, k%c.cols)
					drop(b, tk, at.X, at.Y, d.grid.Drop().Diameter/2)
				}
			}
			var pi [2][]float64
			for s := range sides {
				pi[s] = append(pi[s], d.light(b, sides[s]...)...)
			}
			run(b, tk, 1.0/60, pi[0])
			n, frames := 0, 0
			runtime.LockOSThread()
			defer runtime.UnlockOSThread()
			begun := onProcessor()
			b.ReportAllocs()
			for b.Loop() {
				n += run(b, tk, 1.0/60, pi[frames/30%2]).Substeps
				frames++
			}
			took := (onProcessor() - begun).Seconds()
			// In solves of the pressure on the same raster, in the same run.
			p := tk.Params()
			s := poisson.New(p.Rows, p.Cols, 1, 1)
			const solves = 100
			begun = onProcessor()
			for range solves {
				for i := range p.Rows {
					s.Row(i)[i%p.Cols] = 1
				}
				s.Solve()
			}
			b.ReportMetric(took/float64(n)/((onProcessor()-begun).Seconds()/solves), "solves/substep")
			b.ReportMetric(took*1e9/float64(n)/float64(p.Rows*p.Cols), "ns/cell")
			b.ReportMetric(float64(frames)/60/took, "×real")
		})
	}
}

// onProcessor is how long this thread has been on a processor, where the system tells: the
// machine may be busy with other work. Elsewhere it is the time of day.
func onProcessor() time.Duration {
	if text, err := os.ReadFile("/proc/thread-self/schedstat"); err == nil {
		var ns int64
		if _, err := fmt.Sscan(string(text), &ns); err == nil {
			return time.Duration(ns)
		}
	}
	return time.Duration(time.Now().UnixNano())
}
