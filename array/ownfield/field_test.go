package ownfield

import (
	"math"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/field"
)

// lit is a grid's plane with pixels at full current, on n samples a pitch.
func lit(t *testing.T, g *grid.Grid, pixels ...int) *grid.Plane {
	t.Helper()
	mean := make([]float64, g.Design.Pixels())
	for _, i := range pixels {
		mean[i] = g.Pixel.FullCurrent
	}
	p := g.Field(grid.Currents{Mean: mean})
	return p
}

// cover is the share of a plane's samples' squares that discs cover.
func cover(r grid.Raster, radius float64, centers ...[2]float64) []float64 {
	share := make([]float64, r.Len())
	const fine = 10
	for k := range share {
		at := r.Point(k/r.Cols, k%r.Cols)
		for p := range fine * fine {
			x := at.X + ((float64(p%fine)+0.5)/fine-0.5)*r.Spacing
			y := at.Y + ((float64(p/fine)+0.5)/fine-0.5)*r.Spacing
			for _, c := range centers {
				if math.Hypot(x-c[0], y-c[1]) < radius {
					share[k] += 1.0 / (fine * fine)
				}
			}
		}
	}
	return share
}

// force is Σ share ∂f/∂x, per square of samples' spacing, times a weight.
func force(r grid.Raster, share []float64, weight, f func(k int) float64) float64 {
	sum := 0.0
	for k, c := range share {
		if c > 0 {
			sum += c * weight(k) * (f(k+1) - f(k-1)) / (2 * r.Spacing) * r.Spacing * r.Spacing
		}
	}
	return sum
}

func one(int) float64 { return 1 }

// A body of fluid cannot pull on itself: the sum of the pressure's gradient over a drop beside
// its lit pixel is that of M ∇B, wherever its own poles weaken the field in it. A drop without
// neighbours is pushed apart all the same: from its middle to its rim the pressure falls less
// than that of the plane does.
func TestNoForceOnItself(t *testing.T) {
	for _, strong := range []string{"fluid.susceptibility=0.5", "fluid.susceptibility=3"} {
		g := trial.Build(t, grid.New, 16, strong)
		r, p := g.Raster, lit(t, g, 5)
		at := g.Center(1, 1)
		share := cover(r, 3.5e-3, [2]float64{at.X + 3e-3, at.Y + 1e-3})
		f, err := New(t.Context(), g)
		if err != nil {
			t.Fatal(err)
		}
		pi := f.Pi(p, share)
		got := force(r, share, one, func(k int) float64 { return pi[k] })
		// Along the panes the field pulls, too: M_r is M/H times the field across.
		outer := force(r, share, func(k int) float64 { return f.m[k] }, func(k int) float64 { return p.Bz[k] })
		for _, b := range [][]float64{p.Bx, p.By} {
			outer += force(r, share, func(k int) float64 { return f.across[k] * b[k] / field.Mu0 / (1 + g.Fluid.Across*f.across[k]) }, func(k int) float64 { return b[k] })
		}
		if math.Abs(got/outer-1) > 0.04 {
			t.Errorf("%s: force %.4g N/m, by M ∇B %.4g", strong, got, outer)
		}
		middle, rim := k(r, at.X+3e-3, at.Y+1e-3), k(r, at.X+6.2e-3, at.Y+1e-3)
		if pi[middle]-pi[rim] >= p.Pi[middle]-p.Pi[rim] {
			t.Errorf("%s: from the middle to the rim the pressure falls by %.4g Pa, without the own field by %.4g", strong, pi[middle]-pi[rim], p.Pi[middle]-p.Pi[rim])
		}
		again := f.Pi(p, share)
		if math.Abs(again[middle]-pi[middle]) > 0.01*math.Abs(pi[middle]) {
			t.Errorf("%s: after one more round %g Pa, before %g", strong, again[middle], pi[middle])
		}
	}
}

// k is the sample at a place.
func k(r grid.Raster, x, y float64) int {
	return int(float64(r.Rows)/2-y/r.Spacing)*r.Cols + int(x/r.Spacing+float64(r.Cols)/2)
}

// Two drops on neighbouring pixels of weak fluid push each other off as two dipoles do, within
// what their size allows, 3µ0 m²/4πr⁴: small ones, over which the pixels' fields hardly change.
func TestDropsRepel(t *testing.T) {
	g := trial.Build(t, grid.New, 16, "fluid.susceptibility=0.05", "grid.cols=6")
	r := g.Raster
	a, b := g.Center(1, 1), g.Center(1, 3)
	p := lit(t, g, 7, 9)
	left, right := cover(r, 1e-3, [2]float64{a.X, a.Y}), cover(r, 1e-3, [2]float64{b.X, b.Y})
	both := make([]float64, len(left))
	for k := range both {
		both[k] = left[k] + right[k]
	}
	push := func(share []float64) (pull, moment float64) {
		f, err := New(t.Context(), g)
		if err != nil {
			t.Fatal(err)
		}
		pi := f.Pi(p, share)
		for k, c := range right {
			moment += c * f.m[k] * r.Spacing * r.Spacing
		}
		return force(r, right, one, func(k int) float64 { return pi[k] }), moment
	}
	with, moment := push(both)
	alone, _ := push(right)
	depth, d := g.Design.Fluid.TankGap, b.X-a.X
	want := 3 * field.Mu0 * moment * moment * depth / (4 * math.Pi * d * d * d * d) // per depth
	if got := with - alone; math.Abs(got/want-1) > 0.07 {
		t.Errorf("pushed off by %.4g N/m, two dipoles by %.4g", got, want)
	}
}

// What is left out: fluid magnetised along the panes has, over the depth, no mean field along
// the axis, so it works on its like alone. Over the demo's pixel that magnetisation is the
// larger one, but it points outwards all round: the push between drops on neighbouring lit
// pixels that it makes is smaller, and small beside their weight, by the poles −∇·M of all pairs of squares, each with the field
// (√(r² + b²)/r − 1)/2πb along the panes.
func TestAlongThePanes(t *testing.T) {
	g, err := grid.New(t.Context(), trial.Sign(t, "grid.cols=4", "grid.rows=3"), 8)
	if err != nil {
		t.Fatal(err)
	}
	r, p := g.Raster, lit(t, g, 5, 6)
	a, b := g.Center(1, 1), g.Center(1, 2)
	left, right := cover(r, 4e-3, [2]float64{a.X, a.Y}), cover(r, 4e-3, [2]float64{b.X, b.Y})
	both := make([]float64, len(left))
	for k := range both {
		both[k] = left[k] + right[k]
	}
	f, err := New(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	f.Pi(p, both)
	// The pull on poles in the field of poles, and on sheets in that of sheets, both per depth.
	m := func(b []float64, share []float64) func(k int) float64 {
		return func(k int) float64 {
			return share[k] * f.across[k] * b[k] / field.Mu0 / (1 + g.Fluid.Across*f.across[k])
		}
	}
	poles := func(share []float64) map[int]float64 {
		mx, my, out := m(p.Bx, share), m(p.By, share), map[int]float64{}
		for i := 1; i < r.Rows-1; i++ {
			for j := 1; j < r.Cols-1; j++ {
				k := i*r.Cols + j
				if q := -(mx(k+1) - mx(k-1) + my(k-r.Cols) - my(k+r.Cols)) / (2 * r.Spacing); q != 0 {
					out[k] = q * r.Spacing * r.Spacing
				}
			}
		}
		return out
	}
	depth, across, along := g.Design.Fluid.TankGap, 0.0, 0.0
	at := func(k int) (x, y float64) { v := r.Point(k/r.Cols, k%r.Cols); return v.X, v.Y }
	for i, q := range poles(left) {
		x0, y0 := at(i)
		for k, o := range poles(right) {
			x, y := at(k)
			d := math.Hypot(x-x0, y-y0)
			if d > 0 {
				across += field.Mu0 * q * o * (math.Hypot(d, depth)/d - 1) / (2 * math.Pi * depth) * (x - x0) / d
			}
		}
	}
	for i, c := range left {
		x0, y0 := at(i)
		for k, o := range right {
			if c*o == 0 {
				continue
			}
			x, y := at(k)
			d, s2 := math.Hypot(x-x0, y-y0), r.Spacing*r.Spacing
			slope := (1/(d*d) - d/math.Pow(d*d+depth*depth, 1.5)) / (2 * math.Pi * depth)
			along += field.Mu0 * c * f.m[i] * s2 * o * f.m[k] * s2 * slope * (x - x0) / d
		}
	}
	weight := g.Weight().Value
	t.Logf("neighbours push each other off with %.2f %% of their weight, what is left out adds %.2f %%", 100*along*depth/weight, 100*across*depth/weight)
	if across > 0.8*along || across*depth > 0.05*weight {
		t.Errorf("left out are %.3g N/m of %.3g", across, along+across)
	}
}
