package array

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"
)

// The coupling against sums over the coils' conductors, as table, product and matrix;
// and its reciprocity: two like coils in one plane put the same axial field onto each
// other, and opposite fields along the line between them.
func TestCoupling(t *testing.T) {
	for _, changes := range [][]string{{"coil.shape=square"}, {"coil.shape=hexagon", "grid.cols=5"}, {"iron.model=slab", "iron.gap=0.3 mm", "iron.thickness=1 mm"}} {
		g := testGrid(t, 2, changes...)
		n := g.Design.Pixels()
		rng := rand.New(rand.NewPCG(3, 4))
		for _, gains := range [][]float64{nil, make([]float64, n)} {
			g.Gains = gains
			for k := range gains {
				gains[k] = 2*rng.Float64() - 1
			}
			c, err := g.Coupling(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			own := r3.Norm(g.Kernel.At(0, 0))
			currents, got, want := make([]float64, n), make([]r3.Vec, n), make([]r3.Vec, n)
			for k := range currents {
				currents[k] = rng.Float64() - 0.5
			}
			if err := c.Product(got, currents); err != nil {
				t.Fatal(err)
			}
			m, err := c.Dense()
			if err != nil {
				t.Fatal(err)
			}
			source := g.Pixel.CoilField()
			for to := range n {
				for from := range n {
					offset := r3.Sub(g.Center(to/c.cols, to%c.cols), g.Design.PixelCenter(from/c.cols, from%c.cols))
					b := r3.Scale(g.gain(from), source.B(offset))
					if e := r3.Norm(r3.Sub(b, c.At(to, from))); e > 1e-9*own {
						t.Fatalf("%v: pixel %d onto %d is %v, the coil says %v", changes, from, to, c.At(to, from), b)
					}
					if m.At(to, from) != c.At(to, from).Z {
						t.Fatalf("matrix entry (%d, %d) is not the table's", to, from)
					}
					want[to] = r3.Add(want[to], r3.Scale(currents[from], b))
					if gains == nil {
						a, b := c.At(to, from), c.At(from, to)
						if a.Z != b.Z || math.Abs(a.X+b.X) > 1e-12*own || math.Abs(a.Y+b.Y) > 1e-12*own {
							t.Fatalf("not reciprocal: %v and %v", a, b)
						}
					}
				}
			}
			for k := range n {
				if r3.Norm(r3.Sub(got[k], want[k])) > 1e-9*own {
					t.Fatalf("%v: product at pixel %d is %v, direct sum %v", changes, k, got[k], want[k])
				}
			}
			if allocs := testing.AllocsPerRun(3, func() { _ = c.Product(got, currents) }); allocs != 0 {
				t.Errorf("a product allocates %v times", allocs)
			}
			if c.Product(got[:1], currents) == nil || c.Product(got, append([]float64{math.NaN()}, currents[1:]...)) == nil {
				t.Error("a bad product passes")
			}
		}
	}
	g := testGrid(t, 1, "grid.cols=50", "grid.rows=41")
	c, err := g.Coupling(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Dense(); err == nil {
		t.Error("2050 pixels are written out")
	}
}

// The worst pattern against all patterns of a small grid tried one by one.
func TestWorstPatternAgainstAll(t *testing.T) {
	for _, changes := range [][]string{{"drive.bridge=h-bridge"}, {"drive.bridge=low-side"}} {
		g := testGrid(t, 1, append(changes, "grid.cols=3", "grid.rows=2", "coil.shape=square")...)
		for _, gains := range [][]float64{nil, {1, 0.5, -1, 0, 2, 1}} {
			g.Gains = gains
			levels := []float64{0, 1}
			if changes[0] == "drive.bridge=h-bridge" {
				levels = []float64{-1, 0, 1}
			}
			best := make([]float64, 6)
			pattern := make([]float64, 6)
			var walk func(k int)
			walk = func(k int) {
				if k == 6 {
					for p := range 6 {
						sum := 0.0
						for q, l := range pattern {
							if q != p {
								offset := r3.Sub(g.Center(p/3, p%3), g.Center(q/3, q%3))
								sum += l * g.gain(q) * g.Kernel.At(offset.X, offset.Y).Z
							}
						}
						best[p] = max(best[p], math.Abs(sum))
					}
					return
				}
				for _, l := range levels {
					pattern[k] = l
					walk(k + 1)
				}
			}
			walk(0)
			most := 0.0
			for p := range 6 {
				w := g.WorstPattern(p/3, p%3)
				if math.Abs(math.Abs(w.Bz)/best[p]-1) > 1e-12 || w.Levels[p] != 0 {
					t.Errorf("%v, gains %v, pixel %d: worst %g, all tried %g", changes, gains, p, w.Bz, best[p])
				}
				most = max(most, w.Share)
			}
			if w := g.WorstAnywhere(); math.Abs(w.Share/most-1) > 1e-12 {
				t.Errorf("%v: worst anywhere %g, worst of all pixels %g", changes, w.Share, most)
			}
		}
	}
}

// The running sums and the convolution against one pixel after the other.
func TestWorstAnywhereIsTheWorst(t *testing.T) {
	for _, changes := range [][]string{
		{"grid.cols=16", "grid.rows=9"}, {"grid.cols=9", "grid.rows=16", "drive.bridge=low-side", "coil.shape=hexagon"},
		{"grid.cols=1", "grid.rows=1"}, {"grid.cols=1", "grid.rows=12"}, {"grid.cols=13", "grid.rows=1"},
	} {
		g := testGrid(t, 1, changes...)
		n := g.Design.Pixels()
		rng := rand.New(rand.NewPCG(1, 5))
		for _, gains := range [][]float64{nil, make([]float64, n)} {
			for k := range gains {
				gains[k] = 1.2*rng.Float64() - 0.2
			}
			g.Gains = gains
			want := 0.0
			for k := range n {
				want = max(want, g.WorstPattern(k/g.Design.Grid.Cols, k%g.Design.Grid.Cols).Share)
			}
			got := g.WorstAnywhere()
			if math.Abs(got.Share-want) > 1e-12*want || len(got.Levels) != n {
				t.Errorf("%v: share %g, one by one %g", changes, got.Share, want)
			}
			if n == 1 && (got.Share != 0 || got.Row != 0 || got.Col != 0) {
				t.Errorf("a single pixel is disturbed: %+v", got)
			}
			if gains != nil {
				axial := g.axial()
				p, m := g.weightedSums(axial)
				q, l := g.sumsOneByOne(axial)
				scale := floats.Max(q) - floats.Min(l) + 1e-300
				if floats.Distance(p, q, math.Inf(1)) > 1e-12*scale || floats.Distance(m, l, math.Inf(1)) > 1e-12*scale {
					t.Errorf("%v: convolution and direct sums differ", changes)
				}
			}
		}
	}
}

func TestNeighbours(t *testing.T) {
	g := testGrid(t, 1)
	list := g.Neighbours(2)
	if len(list) != 3 || list[0].Right != 1 || list[0].Up != 0 || list[1].Up != 1 || list[2].Right != 2 {
		t.Fatalf("neighbours %+v", list)
	}
	own := g.Pixel.CoilField().B(r3.Vec{Z: 2e-3})
	for _, n := range list {
		b := g.Pixel.CoilField().B(r3.Vec{X: float64(n.Right) * 10e-3, Y: float64(n.Up) * 10e-3, Z: 2e-3})
		if math.Abs(n.Ratio-r3.Norm(b)/r3.Norm(own)) > 1e-9 || math.Abs(n.Signed-b.Z/own.Z) > 1e-9 || math.Abs(n.DB-20*math.Log10(n.Ratio)) > 1e-12 {
			t.Errorf("%+v, the coil gives %v of %v", n, b, own)
		}
	}
	if len(g.Neighbours(0)) != 0 {
		t.Error("neighbours within no distance")
	}
	// A hexagon differs along and across.
	hex := testGrid(t, 1, "coil.shape=hexagon").Neighbours(1)
	if len(hex) != 2 || hex[0].Ratio == hex[1].Ratio {
		t.Errorf("hexagonal neighbours %+v", hex)
	}
}

func BenchmarkWorstAnywhere(b *testing.B) {
	for _, c := range []struct{ name, side string }{{"16", "16"}, {"64", "64"}, {"256", "256"}} {
		b.Run(c.name, func(b *testing.B) {
			g := testGrid(b, 1, "grid.cols="+c.side, "grid.rows="+c.side, "coil.shape=square")
			for b.Loop() {
				g.WorstAnywhere()
			}
		})
	}
	// One pixel after the other, as a rival.
	b.Run("64, pixel by pixel", func(b *testing.B) {
		g := testGrid(b, 1, "grid.cols=64", "grid.rows=64", "coil.shape=square")
		for b.Loop() {
			for r := range 32 {
				for c := range 32 {
					g.WorstPattern(r, c)
				}
			}
		}
	})
}
