package coil

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// fine returns the closed-turn field with every track as n × m equal filaments at
// the middles of equal parts: nothing in common with the rule under test but the
// turns.
func (c *Coil) fine(n, m int) field.Source {
	var loops []field.CoaxialLoop
	var paths field.Sum
	for i, l := range c.spec.Layers {
		for _, t := range c.turns {
			for a := range n {
				for b := range m {
					out := ((float64(a)+0.5)/float64(n) - 0.5) * c.spec.Track
					up := ((float64(b)+0.5)/float64(m) - 0.5) * l.Copper
					current := c.share[i] * t.weight / float64(n*m)
					if c.spec.Shape == Round {
						loops = append(loops, field.CoaxialLoop{Radius: t.apothem + out, Z: l.Z + up, Current: current})
						continue
					}
					points := lift(c.spec.ring(t.apothem+out, max(0, t.corner+out), 1./512), l.Z+up)
					paths = append(paths, field.Path{Points: points, Current: current})
				}
			}
		}
	}
	if c.spec.Shape == Round {
		return field.Coaxial{Loops: loops}
	}
	return paths
}

// probes are points in front of the coil at one height: across tracks near the
// edges and the middle, then far out.
func probes(c *Coil, height float64) []r3.Vec {
	var p []r3.Vec
	half := c.spec.Outer / 2
	for _, angle := range []float64{0, 0.3, math.Pi / 4} {
		sin, cos := math.Sincos(angle)
		var rs []float64
		for k := range 12 { // fine steps over the outermost and innermost turns
			rs = append(rs, half-float64(k)*c.spec.Track/5, c.spec.Inner/2+float64(k)*c.spec.Track/5)
		}
		for k := range 8 {
			rs = append(rs, half*float64(k)/7, half*(1+float64(k*k)/3))
		}
		for _, r := range rs {
			p = append(p, r3.Vec{X: r * cos, Y: r * sin, Z: height})
		}
	}
	return p
}

// The filaments Source chooses keep the error it promises, in front and behind.
func TestSourceKeepsItsError(t *testing.T) {
	for _, test := range []struct {
		shape  Shape
		layers int
		height float64
		relErr float64
		n, m   int // the reference's filaments
	}{
		{Round, 2, 2e-3, 1e-3, 12, 4},
		{Round, 2, 1e-3, 1e-3, 12, 4},
		{Round, 2, 1e-3, 1e-6, 64, 16},
		{Round, 2, 0.3e-3, 1e-3, 24, 8},
		{Round, 2, 0.1e-3, 1e-2, 24, 8},
		{Round, 2, 0.05e-3, 1e-3, 64, 16},
		{Square, 1, 1e-3, 1e-3, 8, 3},
		{Square, 1, 0.2e-3, 1e-2, 16, 4},
		{Hexagon, 1, 0.5e-3, 1e-3, 12, 4},
		{Round, 2, 20e-3, 1e-4, 12, 4},
		{Round, 12, 2e-3, 1e-3, 6, 1},
		{Round, 12, 2e-3, 1e-5, 12, 2},
		{Square, 12, 2e-3, 1e-3, 4, 1},
		{RoundedSquare, 1, 1e-3, 1e-3, 6, 2},
		{RoundedSquare, 1, 0.3e-3, 3e-3, 8, 3},
	} {
		s := usual(t, test.shape, test.layers)
		if test.layers < 12 {
			s.Inner = 7e-3
		}
		c := build(t, s)
		src, ref := c.Source(test.height, test.relErr), c.fine(test.n, test.m)
		for _, z := range []float64{test.height, -s.Layers[test.layers-1].Copper/2 + s.Layers[test.layers-1].Z - test.height} {
			worst, peak, local := 0.0, 0.0, 0.0
			for _, p := range probes(c, z) {
				b := ref.B(p)
				d := r3.Norm(r3.Sub(src.B(p), b))
				worst, peak = max(worst, d), max(peak, r3.Norm(b))
				local = max(local, d/r3.Norm(b))
			}
			t.Logf("%s at %g mm, %g wanted: %d filaments, error %.1e of the peak, %.1e of the field at the point",
				test.shape, z*1e3, test.relErr, filaments(src), worst/peak, local)
			if worst > test.relErr*peak {
				t.Errorf("%s at %g mm: error %.1e of the peak, want %.0e", test.shape, z*1e3, worst/peak, test.relErr)
			}
			if local > 3*test.relErr {
				t.Errorf("%s at %g mm: error %.1e of the field at the point", test.shape, z*1e3, local)
			}
		}
	}
}

func filaments(s field.Source) int {
	switch s := s.(type) {
	case field.Coaxial:
		return len(s.Loops)
	case field.Sum:
		return len(s)
	}
	return 0
}

// An n-point rule has the moments of the points up to the order 2n − 1, its nodes lie
// among them and its weights are positive.
func TestGaussOfPoints(t *testing.T) {
	var x, w []float64
	for i := range 17 {
		x, w = append(x, 4.6e-3-0.2e-3*float64(i)), append(w, 1)
	}
	w[16] = 0.4
	moment := func(x, w []float64, k int) float64 {
		sum := 0.0
		for i := range x {
			sum += w[i] * math.Pow(x[i]/3e-3-1, float64(k))
		}
		return sum
	}
	for n := 1; n <= 12; n++ {
		nodes, weights := gaussOf(x, w, n)
		if len(nodes) != n {
			t.Fatalf("%d nodes for %d", len(nodes), n)
		}
		for k := range 2 * n {
			if d := math.Abs(moment(nodes, weights, k) - moment(x, w, k)); d > 1e-12 {
				t.Errorf("%d nodes: moment %d is off by %g", n, k, d)
			}
		}
		for i := range nodes {
			if weights[i] <= 0 || nodes[i] > x[0] || nodes[i] < x[16] {
				t.Errorf("%d nodes: weight %g at %g", n, weights[i], nodes[i])
			}
		}
	}
	if nodes, _ := gaussOf([]float64{1, 1, 2}, []float64{1, 1, 1}, 3); len(nodes) != 3 {
		t.Errorf("as many nodes as points: %v", nodes)
	}
	if nodes, weights := gaussOf([]float64{1, 1, 2, 2}, []float64{1, 2, 3, 4}, 3); len(nodes) != len(weights) || math.Abs(moment(nodes, weights, 5)-moment([]float64{1, 2}, []float64{3, 7}, 5)) > 1e-6*moment(nodes, weights, 5) {
		t.Errorf("fewer distinct points than nodes: %v, %v", nodes, weights)
	}
}

// The field of each track alone, which the sum can only better.
func TestStripErrorAgainstManyFilaments(t *testing.T) {
	const w, d = 0.2e-3, 0.15e-3
	field := func(n int, equal bool, x float64) complex128 {
		var g gauss
		if !equal {
			g = gaussLegendre(n)
		}
		sum := complex(0, 0)
		for i := range n {
			at, weight := (float64(i)+0.5)/float64(n)-0.5, 1/float64(n)
			if !equal {
				at, weight = g.x[i], g.w[i]
			}
			sum += complex(weight, 0) / (complex(x, d) - complex(at*w, 0))
		}
		return sum
	}
	for n := 1; n <= 6; n++ {
		worst := 0.0
		for k := range 200 {
			x := float64(k) / 100 * w
			ref := field(2000, true, x)
			got := field(n, false, x)
			worst = max(worst, math.Hypot(real(got-ref), imag(got-ref))/math.Hypot(real(ref), imag(ref)))
		}
		if e := stripError(w, d, n, false); worst > e*1.05 || worst < e/1.3 {
			t.Errorf("%d filaments: worst error %g, the rule says %g", n, worst, e)
		}
	}
}

// One ampere: the field on the axis by µ0 I r²/2(r²+z²)^{3/2} summed over turns and
// their width.
func TestSourceOnAxis(t *testing.T) {
	s := usual(t, Round, 4)
	s.ParallelGroups = 2
	c := build(t, s)
	const z = 1.5e-3
	want := 0.0
	for i, l := range s.Layers {
		for _, turn := range c.turns {
			for k := range 50 {
				r := turn.apothem + ((float64(k)+0.5)/50-0.5)*s.Track
				h := z - l.Z
				want += c.share[i] * turn.weight / 50 * field.Mu0 / 2 * r * r / math.Pow(r*r+h*h, 1.5)
			}
		}
	}
	b := c.Source(z, 1e-4).B(r3.Vec{Z: z})
	if e := relative(b.Z, want); e > 1e-4 || b.X != 0 || b.Y != 0 {
		t.Errorf("%v T, want %g along z", b, want)
	}
	if b.Z <= 0 {
		t.Error("a positive current makes a field away from the viewer")
	}
}

// Far away the field is that of the magnetic moment.
func TestMomentIsTheFarField(t *testing.T) {
	for _, shape := range Shapes() {
		for _, groups := range []int{1, 2} {
			s := usual(t, shape, 4)
			s.Inner, s.Turns, s.ParallelGroups = 0, 10.25, groups
			c := build(t, s)
			const far = 3.0
			m := c.MagneticMoment()
			b := c.Source(1e-3, 1e-2).B(r3.Vec{Z: far}).Z
			// The next term is of the order of (size/distance)².
			if e := relative(b, field.Mu0*m/(2*math.Pi*far*far*far)); e > 2e-3 {
				t.Errorf("%s: %g T, dipole %g", shape, b, field.Mu0*m/(2*math.Pi*far*far*far))
			}
			side := c.SpiralSource(1e-3, 1e-2).B(r3.Vec{Z: far}).Z
			if e := relative(side, b); e > 0.02 {
				t.Errorf("%s: true path %g T far away, closed turns %g", shape, side, b)
			}
		}
	}
	// A hundred-turn thought: N turns of area A have the moment N A.
	c := build(t, func() Spec { s := usual(t, Square, 2); s.Turns, s.Inner = 1, 0; return s }())
	a := 2 * c.turns[0].apothem
	if e := relative(c.MagneticMoment(), 2*(a*a+s4(c))); e > 1e-12 {
		t.Errorf("two square turns: %g A·m²", c.MagneticMoment())
	}
}

// s4 is what the width of a square's track adds to its mean area.
func s4(c *Coil) float64 { return 4 * c.spec.Track * c.spec.Track / 12 }

// div B = 0 and curl B = 0 off the copper for both forms; the true path is a closed
// circuit, or it would have a curl.
func TestFieldsAreFree(t *testing.T) {
	for _, shape := range Shapes() {
		for _, how := range [][2]int{{2, 1}, {3, 1}, {4, 2}, {3, 3}} {
			s := usual(t, shape, how[0])
			s.Inner, s.ParallelGroups = 6e-3, how[1]
			c := build(t, s)
			for name, src := range map[string]field.Source{"closed": c.Source(1e-3, 1e-3), "true": c.SpiralSource(1e-3, 1e-3)} {
				p := r3.Vec{X: 2.1e-3, Y: -1.3e-3, Z: 1.4e-3}
				g := field.Gradient(src, p, 0.1e-3)
				scale, div := 0.0, 0.0
				for i := range 3 {
					div += g[i][i]
					for j := range 3 {
						scale = max(scale, math.Abs(g[i][j]))
					}
				}
				if math.Abs(div) > 1e-6*scale {
					t.Errorf("%s %v %s: divergence %g of %g T/m", shape, how, name, div, scale)
				}
				for _, k := range [][2]int{{0, 1}, {1, 2}, {2, 0}} {
					if curl := math.Abs(g[k[0]][k[1]] - g[k[1]][k[0]]); curl > 1e-6*scale {
						t.Errorf("%s %v %s: curl %g of %g T/m", shape, how, name, curl, scale)
					}
				}
			}
		}
	}
}

// The two forms draw together with height.
func TestFormDifference(t *testing.T) {
	for _, shape := range Shapes() {
		c := build(t, usual(t, shape, 2))
		last := math.Inf(1)
		for _, h := range []float64{0.5e-3, 1e-3, 2e-3, 4e-3} {
			worst, axis := c.FormDifference(h)
			t.Logf("%s at %g mm: true path and closed turns differ by %.2f %% of the peak, %.2f %% on the axis", shape, h*1e3, 100*worst, 100*axis)
			if worst > 0.06 || axis > worst || worst > last || worst == 0 {
				t.Errorf("%s at %g mm: %g of the peak, axis %g, nearer %g", shape, h*1e3, worst, axis, last)
			}
			last = worst
		}
	}
}

// Wrong arguments get the nearest bound, not a panic or a field that is none.
func TestSourceBounds(t *testing.T) {
	s := usual(t, Round, 1)
	s.Inner, s.Turns = 0, 1
	c := build(t, s)
	for _, a := range [][2]float64{{0, 1e-3}, {-1, 1e-3}, {math.NaN(), math.NaN()}, {1e-3, 0}, {1e-3, -1}, {1e-3, 5}} {
		b := c.Source(a[0], a[1]).B(r3.Vec{X: 1e-3, Z: 2e-3})
		if !(b.Z > 0) || math.IsInf(b.Z, 0) {
			t.Errorf("height %g, error %g: field %v", a[0], a[1], b)
		}
	}
}

// What a few rings for all turns gain over every turn as one filament, and over the
// true path, in the same run.
func BenchmarkSource(b *testing.B) {
	p := r3.Vec{X: 2e-3, Y: 1e-3, Z: 2e-3}
	for _, shape := range []Shape{Round, Square, RoundedSquare} {
		c := build(b, usual(b, shape, 12))
		for _, s := range []struct {
			name   string
			source field.Source
		}{
			{"2 mm, 1e-3", c.Source(2e-3, 1e-3)},
			{"2 mm, 1e-6", c.Source(2e-3, 1e-6)},
			{"every turn", c.fine(1, 1)},
			{"true path, 1e-3", c.SpiralSource(2e-3, 1e-3)},
		} {
			b.Run(fmt.Sprintf("%s/%s", shape, s.name), func(b *testing.B) {
				for b.Loop() {
					sink = s.source.B(p).Z
				}
			})
		}
	}
}

func BenchmarkMakeSource(b *testing.B) {
	c := build(b, usual(b, Round, 12))
	for b.Loop() {
		sink = float64(filaments(c.Source(2e-3, 1e-3)))
	}
}
