package grid

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/pixel"
)

// The worst pattern against all patterns of a small grid tried one by one.
func TestWorstPatternAgainstAll(t *testing.T) {
	for _, changes := range [][]string{{"drive.bridge=h-bridge"}, {"drive.bridge=low-side"}, {"drive.bridge=h-bridge", "drive.most_lit=2"}, {"drive.bridge=low-side", "drive.most_lit=3"}} {
		g := trial.Build(t, New, 1, append(changes, "grid.cols=3", "grid.rows=2", "coil.shape=square")...)
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
					sum, on := 0.0, 0
					for q, l := range pattern {
						if q != p {
							offset := r3.Sub(g.Center(p/3, p%3), g.Center(q/3, q%3))
							sum += l * g.Kernel.At(offset.X, offset.Y).Z
							if l != 0 {
								on++
							}
						}
					}
					if on <= g.Design.Drive.MostLit {
						best[p] = max(best[p], math.Abs(sum))
					}
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
				t.Errorf("%v, pixel %d: worst %g, all tried %g", changes, p, w.Bz, best[p])
			}
			most = max(most, w.Share)
		}
		if w := g.WorstAnywhere(); math.Abs(w.Share/most-1) > 1e-12 {
			t.Errorf("%v: worst anywhere %g, worst of all pixels %g", changes, w.Share, most)
		}
	}
}

// Of coils in series the worst pattern is that of whole strings: against all of them, on every
// pixel, its own string off; without effort single pixels bound it.
func TestWorstStringsAgainstAll(t *testing.T) {
	for _, changes := range [][]string{{"drive.bridge=h-bridge"}, {"drive.bridge=low-side"}, {"drive.bridge=h-bridge", "drive.most_lit=5"}, {"drive.bridge=low-side", "drive.most_lit=4"}} {
		g := trial.Build(t, New, 1, append(changes, "grid.cols=6", "grid.rows=2", "coil.shape=square", "drive.in_series=2")...)
		levels := []float64{0, 1}
		if changes[0] == "drive.bridge=h-bridge" {
			levels = append(levels, -1)
		}
		most, strings := 0.0, make([]float64, 6)
		var walk func(k int)
		walk = func(k int) {
			if k < len(strings) {
				for _, strings[k] = range levels {
					walk(k + 1)
				}
				return
			}
			for p := range 12 {
				sum, on := 0.0, 0
				for q := range 12 {
					if l := strings[q/2]; q/2 != p/2 && l != 0 {
						offset := r3.Sub(g.Center(p/6, p%6), g.Center(q/6, q%6))
						sum += l * g.Kernel.At(offset.X, offset.Y).Z
						on++
					}
				}
				if on <= g.Design.Drive.MostLit {
					most = max(most, math.Abs(sum))
				}
			}
		}
		walk(0)
		w := g.WorstAnywhere()
		if math.Abs(math.Abs(w.Bz)/most-1) > 1e-12 || !w.Exact() {
			t.Errorf("%v: worst %g, all tried %g", changes, w.Bz, most)
		}
		sum, own := 0.0, (w.Row*6+w.Col)/2
		for q, l := range w.Levels {
			offset := r3.Sub(g.Center(w.Row, w.Col), g.Center(q/6, q%6))
			sum += l * g.Kernel.At(offset.X, offset.Y).Z
			if l != w.Levels[q-q%2] || q/2 == own && l != 0 {
				t.Errorf("%v: levels %v do not light whole strings, or the pixel's own", changes, w.Levels)
			}
		}
		if math.Abs(sum/w.Bz-1) > 1e-12 {
			t.Errorf("%v: the pattern makes %g T, told %g T", changes, sum, w.Bz)
		}
		if hasty := g.worstStrings(0); hasty.Bound < w.Share*(1-1e-12) || hasty.Exact() && hasty.Share < w.Share {
			t.Errorf("%v without effort: share %g, bound %g; the worst is %g", changes, hasty.Share, hasty.Bound, w.Share)
		}
	}
}

// The running sums against one pixel after the other.
func TestWorstAnywhereIsTheWorst(t *testing.T) {
	for _, changes := range [][]string{
		{"grid.cols=16", "grid.rows=9"}, {"grid.cols=9", "grid.rows=16", "drive.bridge=low-side", "coil.shape=hexagon"},
		{"grid.cols=1", "grid.rows=1"}, {"grid.cols=1", "grid.rows=12"}, {"grid.cols=13", "grid.rows=1"},
		{"grid.cols=16", "grid.rows=9", "drive.most_lit=12"}, {"grid.cols=9", "grid.rows=4", "drive.bridge=low-side", "drive.most_lit=30"},
		// where the field of the next pixel but one is the strongest, the middle is not the worst
		{"grid.cols=3", "grid.rows=1", "drive.most_lit=1", "fluid.height=6 mm"},
	} {
		g := trial.Build(t, New, 1, changes...)
		n := g.Design.Pixels()
		want := 0.0
		for k := range n {
			want = max(want, g.WorstPattern(k/g.Design.Grid.Cols, k%g.Design.Grid.Cols).Share)
		}
		got := g.WorstAnywhere()
		if math.Abs(got.Share-want) > 1e-12*want || len(got.Levels) != n || !got.Exact() {
			t.Errorf("%v: share %g, one by one %g, bound %g", changes, got.Share, want, got.Bound)
		}
		// Where the effort ends first, the bound says so: it ends after one pixel, which here is
		// the worst only where its bound is reached.
		if hasty := g.worstAnywhere(-1); hasty.Share > want*(1+1e-12) || hasty.Bound < want*(1-1e-12) || hasty.Exact() == slices.Contains(changes, "drive.most_lit=30") {
			t.Errorf("%v without effort: share %g, bound %g, exact %v; the worst is %g", changes, hasty.Share, hasty.Bound, hasty.Exact(), want)
		}
		if n == 1 && (got.Share != 0 || got.Row != 0 || got.Col != 0) {
			t.Errorf("a single pixel is disturbed: %+v", got)
		}
	}
}

// Nearly all lit of more pixels than can be looked at one by one: no more than the few that
// the bound leaves are.
func TestWorstAnywhereOfMany(t *testing.T) {
	g := trial.Build(t, New, 1, "grid.cols=200", "grid.rows=150", "drive.most_lit=29000", `tank.spacers="20 mm"`)
	w := g.WorstAnywhere()
	if !w.Exact() || w.Row != 74 || w.Col != 99 {
		t.Errorf("share %g on pixel %d, %d, bound %g", w.Share, w.Row, w.Col, w.Bound)
	}
}

// A full bridge over magnets that saturate the steel: reversed neighbours add otherwise, and
// of the two ways round the worse is told.
func TestWorstPatternOfBiasedSteel(t *testing.T) {
	g := trial.Build(t, New, 1, "grid.cols=2", "grid.rows=1", "drive.bridge=h-bridge", "coil.shape=round")
	for _, share := range []float64{0.8, 1.25} {
		on := g.Pixel.Full.On.Average
		g.Pixel.Iron.Levels = []pixel.LevelGain{{Current: -on, Share: share}, {Current: on, Share: 1}}
		w := g.WorstAnywhere()
		want := max(1, share) * math.Abs(g.Axial()[1])
		sum := 0.0
		for _, v := range w.Levels {
			sum += v * g.Axial()[1] * g.Pixel.Iron.Share(v*on)
		}
		if math.Abs(math.Abs(w.Bz)/want-1) > 1e-12 || math.Abs(sum/w.Bz-1) > 1e-12 {
			t.Errorf("reversed by %g: %g, of these levels %g, worst %g", share, w.Bz, sum, want)
		}
	}
}

func TestNeighbours(t *testing.T) {
	g := trial.Build(t, New, 1)
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
	hex := trial.Build(t, New, 1, "coil.shape=hexagon").Neighbours(1)
	if len(hex) != 2 || hex[0].Ratio == hex[1].Ratio {
		t.Errorf("hexagonal neighbours %+v", hex)
	}
}

func BenchmarkWorstAnywhere(b *testing.B) {
	for _, c := range []struct{ name, side string }{{"16", "16"}, {"64", "64"}, {"256", "256"}} {
		b.Run(c.name, func(b *testing.B) {
			g := trial.Build(b, New, 1, "grid.cols="+c.side, "grid.rows="+c.side, "coil.shape=square")
			for b.Loop() {
				g.WorstAnywhere()
			}
		})
	}
	// One pixel after the other, as a rival.
	b.Run("64, pixel by pixel", func(b *testing.B) {
		g := trial.Build(b, New, 1, "grid.cols=64", "grid.rows=64", "coil.shape=square")
		for b.Loop() {
			for r := range 32 {
				for c := range 32 {
					g.WorstPattern(r, c)
				}
			}
		}
	})
}

// The field of the worst pattern, at the pixel it is worst for, is the pattern's own sum.
func TestWorstField(t *testing.T) {
	g := trial.Build(t, New, 5) // an odd number of samples: one lies on the axis
	w, plane := g.WorstField()
	i, j := g.Raster.Cell(w.Row, w.Col)
	k := (i+2)*g.Raster.Cols + j + 2
	if got, want := plane.Bz[k], w.Bz*g.Pixel.FullCurrent; trial.Off(got, want) > 1e-6 {
		t.Errorf("Bz %g T at row %d, column %d; the pattern's sum is %g T", got, w.Row, w.Col, want)
	}
}
