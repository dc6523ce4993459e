package grid

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/lattice"
)

func randomCurrents(g *Grid, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	i := make([]float64, g.Design.Pixels())
	for k := range i {
		i[k] = (2*rng.Float64() - 1) * g.Pixel.FullCurrent
	}
	return i
}

// direct sums conductors, steel and magnets of every pixel, without kernel or engine.
func direct(g *Grid, currents []float64, at r3.Vec) r3.Vec {
	d := g.Design
	var b r3.Vec
	coil, magnet := g.Pixel.CoilField(), g.Pixel.MagnetField()
	for k, i := range currents {
		from := d.PixelCenter(k/d.Grid.Cols, k%d.Grid.Cols)
		q := r3.Sub(at, from)
		b = r3.Add(b, r3.Scale(g.Pixel.Iron.Effective(i), coil.B(q)))
		if magnet != nil {
			b = r3.Add(b, magnet.B(q))
			b = r3.Add(b, g.Bias.answers(q.X, q.Y))
		}
		b = r3.Add(b, r3.Scale(g.Pixel.Iron.Effective(i), g.Kernel.answers(q.X, q.Y)))
	}
	if g.sheet != nil {
		b = r3.Add(b, g.sheet.With.B(at))
	}
	return b
}

// The engine against sums over all conductors of all pixels, at seeded samples.
func TestFieldAgainstDirectSums(t *testing.T) {
	steel := []string{"iron.gap=0.3 mm", "iron.thickness=1 mm"}
	for name, changes := range map[string][]string{
		"round":             nil,
		"square":            {"coil.shape=square", "grid.cols=2", "grid.rows=5"},
		"rounded square":    {"coil.shape=rounded-square", "coil.corner_radius=2 mm", "grid.cols=3", "grid.rows=2"},
		"hexagon":           {"coil.shape=hexagon", "grid.cols=5", "grid.rows=2"},
		"image":             append(steel, "iron.model=image", "coil.shape=square"),
		"slab":              append(steel, "iron.model=slab"),
		"slab, square":      append(steel, "iron.model=slab", "coil.shape=square", "grid.cols=3"),
		"finite elements":   append(steel, "iron.model=fem", "iron.radius=4 mm"),
		"magnets per pixel": {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm"},
		"magnets and steel": {"iron.gap=3 mm", "iron.thickness=1 mm", "iron.model=image", "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm"},
		"sheet":             {"magnet.kind=sheet", "magnet.length=2 mm"},
		"one pixel":         {"grid.cols=1", "grid.rows=1"},
		"one row":           {"grid.cols=7", "grid.rows=1"},
		"one column":        {"grid.cols=1", "grid.rows=6"},
	} {
		t.Run(name, func(t *testing.T) {
			g := trial.Build(t, New, 5, changes...)
			currents := randomCurrents(g, 3)
			p := g.Field(Steady(currents))
			peak, _, _ := p.MaxAbs()
			rng := rand.New(rand.NewPCG(9, 9))
			worst := 0.0
			for range 16 {
				k := rng.IntN(g.Raster.Len())
				want := direct(g, currents, g.Raster.Point(k/g.Raster.Cols, k%g.Raster.Cols))
				got := r3.Vec{X: p.Bx[k], Y: p.By[k], Z: p.Bz[k]}
				worst = max(worst, r3.Norm(r3.Sub(got, want))/peak)
				if e := math.Abs(p.Abs[k] - r3.Norm(got)); e > 1e-15*peak {
					t.Errorf("|B| differs from its components by %g T", e)
				}
				if pi := g.Fluid.PiOf(got); math.Abs(p.Pi[k]-pi) > 2e-6*pi {
					t.Errorf("Π is %g Pa, the fluid's %g", p.Pi[k], pi)
				}
			}
			t.Logf("worst difference %.1e of the largest |B|", worst)
			if worst > 1e-9 {
				t.Errorf("differs from the direct sum by %.2g of the largest |B|, want under 1e-9", worst)
			}
		})
	}
}

// All pixels together are the sum of each alone; twice the current is twice the
// field; the field of a pixel one place on is the same field one pitch on.
func TestFieldIsLinearAndMoves(t *testing.T) {
	g := trial.Build(t, New, 4, "coil.shape=square")
	currents := randomCurrents(g, 5)
	all := g.Field(Steady(currents))
	peak, _, _ := all.MaxAbs()
	sum, one := NewPlane(g.Raster), make([]float64, len(currents))
	for k, i := range currents {
		clear(one)
		one[k] = i
		p := g.Field(Steady(one))
		for n := range sum.Bx {
			sum.Bx[n] += p.Bx[n]
			sum.By[n] += p.By[n]
			sum.Bz[n] += p.Bz[n]
		}
	}
	doubled := make([]float64, len(currents))
	for k, i := range currents {
		doubled[k] = -2 * i
	}
	twice := g.Field(Steady(doubled))
	for n := range sum.Bx {
		for c, v := range [3][3]float64{{all.Bx[n], sum.Bx[n], twice.Bx[n]}, {all.By[n], sum.By[n], twice.By[n]}, {all.Bz[n], sum.Bz[n], twice.Bz[n]}} {
			if math.Abs(v[0]-v[1]) > 1e-10*peak {
				t.Fatalf("component %d, sample %d: %g together, %g one by one", c, n, v[0], v[1])
			}
			if math.Abs(v[2]+2*v[0]) > 1e-12*peak {
				t.Fatalf("component %d, sample %d: %g at −2 times the current of %g", c, n, v[2], v[0])
			}
		}
	}
	clear(one)
	one[g.Design.Pixel(1, 1)] = 0.1
	here := g.Field(Steady(one))
	clear(one)
	one[g.Design.Pixel(2, 2)] = 0.1
	there := g.Field(Steady(one))
	r := g.Raster
	for i := range r.Rows - r.Samples {
		for j := range r.Cols - r.Samples {
			a, b := i*r.Cols+j, (i+r.Samples)*r.Cols+j+r.Samples
			if math.Abs(here.Bz[a]-there.Bz[b]) > 1e-12*peak || math.Abs(here.Bx[a]-there.Bx[b]) > 1e-12*peak {
				t.Fatalf("sample (%d, %d): %g, moved by a pitch %g", i, j, here.Bz[a], there.Bz[b])
			}
		}
	}
}

// A picture mirrored gives the field mirrored: Bx turns its sign left to right, By
// top to bottom.
func TestFieldMirrors(t *testing.T) {
	for _, changes := range [][]string{{"coil.shape=hexagon"}, {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm"}, {"magnet.kind=sheet", "magnet.length=2 mm"}} {
		g := trial.Build(t, New, 5, changes...)
		r, d := g.Raster, g.Design.Grid
		currents := randomCurrents(g, 8)
		flipped := make([]float64, len(currents))
		for k, i := range currents {
			flipped[(k/d.Cols)*d.Cols+d.Cols-1-k%d.Cols] = i
		}
		p, q := g.Field(Steady(currents)), g.Field(Steady(flipped))
		peak, _, _ := p.MaxAbs()
		for i := range r.Rows {
			for j := range r.Cols {
				a, b := i*r.Cols+j, i*r.Cols+r.Cols-1-j
				if e := math.Abs(p.Bx[a]+q.Bx[b]) + math.Abs(p.By[a]-q.By[b]) + math.Abs(p.Bz[a]-q.Bz[b]); e > 1e-9*peak {
					t.Fatalf("%v: sample (%d, %d) differs from its mirror image by %g T", changes, i, j, e)
				}
			}
		}
	}
}

// ∇·B = 0 and ∇×B = 0 in front of the board, by differences between planes: eighth
// order within a plane, sixth across seven planes.
func TestFieldHasNoSourcesInAir(t *testing.T) {
	const step = 0.2e-3
	var planes [7]*Plane
	var g *Grid
	for k := range planes {
		g = trial.Build(t, New, 24, "grid.cols=2", "grid.rows=1", "coil.shape=square", "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm",
			fmt.Sprintf("fluid.height=%.1f mm", 3+(float64(k)-3)*step*1e3))
		planes[k] = g.Field(Steady([]float64{0.3, -0.1}))
	}
	r := g.Raster
	h := r.Spacing
	eighth := func(v []float64, k, by int) float64 {
		return (672*(v[k+by]-v[k-by]) - 168*(v[k+2*by]-v[k-2*by]) + 32*(v[k+3*by]-v[k-3*by]) - 3*(v[k+4*by]-v[k-4*by])) / (840 * h)
	}
	sixth := func(c func(*Plane) []float64, k int) float64 {
		v := func(n int) float64 { return c(planes[3+n])[k] }
		return (45*(v(1)-v(-1)) - 9*(v(2)-v(-2)) + (v(3) - v(-3))) / (60 * step)
	}
	m := planes[3]
	var scale, div, curl float64
	for i := 4; i < r.Rows-4; i++ {
		for j := 4; j < r.Cols-4; j++ {
			k := i*r.Cols + j
			dx := func(v []float64) float64 { return eighth(v, k, 1) }
			dy := func(v []float64) float64 { return -eighth(v, k, r.Cols) } // rows count downwards
			dzz := sixth(func(p *Plane) []float64 { return p.Bz }, k)
			scale = max(scale, math.Abs(dzz))
			div = max(div, math.Abs(dx(m.Bx)+dy(m.By)+dzz))
			curl = max(curl, math.Abs(dx(m.By)-dy(m.Bx)),
				math.Abs(dx(m.Bz)-sixth(func(p *Plane) []float64 { return p.Bx }, k)),
				math.Abs(dy(m.Bz)-sixth(func(p *Plane) []float64 { return p.By }, k)))
		}
	}
	t.Logf("divergence %.1e, curl %.1e of the largest gradient", div/scale, curl/scale)
	if div > 1e-5*scale || curl > 1e-5*scale {
		t.Errorf("divergence %.2g, curl %.2g of the largest gradient, want under 1e-5", div/scale, curl/scale)
	}
}

// The bias at pixel axes against sums over the magnets themselves.
func TestBiasAt(t *testing.T) {
	for _, changes := range [][]string{{"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=2 mm"}, {"magnet.kind=sheet", "magnet.length=2 mm"}, nil} {
		g := trial.Build(t, New, 4, changes...)
		for row := range g.Design.Grid.Rows {
			for col := range g.Design.Grid.Cols {
				want := direct(g, make([]float64, g.Design.Pixels()), g.Center(row, col))
				if got := g.BiasAt(row, col); r3.Norm(r3.Sub(got, want)) > 1e-9*(r3.Norm(want)+1e-12) {
					t.Errorf("%v: bias at row %d, column %d is %v, direct sum %v", changes, row, col, got, want)
				}
			}
		}
	}
}

func TestBuildRefuses(t *testing.T) {
	huge := trial.Design(t)
	huge.Grid.Rows, huge.Grid.Cols = 512, 512
	beyond := huge
	beyond.Grid.Cols = 1 << 20
	none := trial.Design(t)
	none.Grid.Cols = 0
	inside := trial.Design(t)
	inside.Fluid.Height = -0.2e-3
	for name, c := range map[string]struct {
		d       design.Design
		samples int
		says    string
	}{
		"too large for memory": {huge, 64, "GiB"},
		"beyond any":           {beyond, 8, "along a side"},
		"no pixels":            {none, 8, "3 rows × 0 columns"},
		"negative samples":     {trial.Design(t), -1, "-1 samples"},
		"too many samples":     {trial.Design(t), 4000, "4000 samples"},
		"plane in the board":   {inside, 8, "-0.2 mm"},
	} {
		_, err := New(t.Context(), c.d, c.samples)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.says)
		}
	}
	if g := trial.Build(t, New, 0); g.Raster.Samples != DefaultSamples {
		t.Errorf("0 samples give %d, want %d", g.Raster.Samples, DefaultSamples)
	}
	g := trial.Build(t, New, 4)
	p := NewPlane(g.Raster)
	for name, currents := range map[string][]float64{
		"too few": {1, 2}, "none": nil, "not a number": append(make([]float64, 11), math.NaN()), "infinite": append(make([]float64, 11), math.Inf(-1)),
	} {
		if panics(func() { g.FieldInto(p, Steady(currents)) }) == nil {
			t.Errorf("%s: currents %v pass", name, currents)
		}
	}
	for _, p := range []*Plane{nil, NewPlane(Raster{Rows: 1, Cols: 1, Samples: 1})} {
		if panics(func() { g.FieldInto(p, Steady(make([]float64, 12))) }) == nil {
			t.Error("a plane of another raster passes")
		}
	}
}

// panics is what f panics with, nil where it does not.
func panics(f func()) (said any) {
	defer func() { said = recover() }()
	f()
	return nil
}

// What the design promises about memory, against the lattice's own estimate.
func TestAffordableAsksTheLattice(t *testing.T) {
	d := trial.Design(t)
	d.Grid.Rows, d.Grid.Cols = 128, 128
	if err := affordable(d, 8); err != nil {
		t.Errorf("128 × 128 pixels: %v", err)
	}
	need := lattice.Estimate(lattice.Shape{Rows: 128, Cols: 128, Samples: 64, Margin: 1, Components: 3}, lattice.Field())
	if need > float64(lattice.MemoryLimit) {
		if err := affordable(d, 64); err == nil {
			t.Errorf("needs %g bytes and is allowed", need)
		}
	}
}
