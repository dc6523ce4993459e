package field_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

func rectangle(w, h, z float64) []r3.Vec {
	return []r3.Vec{
		{X: w / 2, Y: h / 2, Z: z}, {X: -w / 2, Y: h / 2, Z: z},
		{X: -w / 2, Y: -h / 2, Z: z}, {X: w / 2, Y: -h / 2, Z: z}, {X: w / 2, Y: h / 2, Z: z},
	}
}

func polygon(radius float64, sides int, current float64) field.Path {
	points := make([]r3.Vec, sides+1)
	for i := range sides {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(sides))
		points[i] = r3.Vec{X: radius * c, Y: radius * s}
	}
	points[sides] = points[0]
	return field.Path{Points: points, Current: current}
}

// sources are closed, so their fields are free of divergence and of curl outside
// conductors and magnets; all lie within 14 mm of the origin.
func sources() map[string]field.Source {
	loop := field.Loop{Radius: 6 * mm, Current: 2, Center: r3.Vec{X: 1 * mm, Y: -2 * mm, Z: 0.5 * mm}}
	cuboid := field.CuboidMagnet{Size: r3.Vec{X: 8 * mm, Y: 3 * mm, Z: 5 * mm}, Remanence: 1.1}
	tangle := field.Path{Current: -3, Points: []r3.Vec{
		{X: 5 * mm}, {Y: 4 * mm, Z: 2 * mm}, {X: -6 * mm, Y: 1 * mm}, {X: -1 * mm, Y: -5 * mm, Z: -3 * mm}, {X: 5 * mm},
	}}
	return map[string]field.Source{
		"loop": loop,
		"coaxial": field.Coaxial{Center: r3.Vec{X: 1 * mm}, Loops: []field.CoaxialLoop{
			{Radius: 3 * mm, Current: 1}, {Radius: 4 * mm, Z: -1 * mm, Current: 1.5}, {Radius: 8 * mm, Z: 2 * mm, Current: -0.7},
		}},
		"square path":     field.Path{Points: rectangle(9*mm, 9*mm, 0), Current: 1},
		"tangled path":    tangle,
		"cylinder magnet": field.CylinderMagnet{Radius: 4 * mm, Length: 6 * mm, Remanence: -1.2, Center: r3.Vec{Z: -1 * mm}},
		"thin disc":       field.CylinderMagnet{Radius: 7 * mm, Length: 0.2 * mm, Remanence: 1},
		"thin rod":        field.CylinderMagnet{Radius: 0.3 * mm, Length: 14 * mm, Remanence: 1},
		"cuboid magnet":   cuboid,
		"dipole":          field.Dipole{Moment: r3.Vec{X: 1, Y: -2, Z: 0.5}, Center: r3.Vec{X: 1 * mm}},
		"image":           field.Mirror{Source: tangle, Z: -5 * mm, Factor: 0.9},
		"moved cuboid":    shifted{cuboid, r3.Vec{X: 2 * mm}},
		"sum":             field.Sum{loop, field.Scaled{Source: cuboid, Factor: -0.1}},
	}
}

func direction(rng *rand.Rand) r3.Vec {
	return r3.Unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
}

// ∇·B = 0 and ∇×B = 0 away from currents: Maxwell's equations themselves.
func TestFieldsHaveNoDivergenceAndNoCurl(t *testing.T) {
	for name, s := range sources() {
		rng := rand.New(rand.NewPCG(4, 4))
		worst := 0.0
		for range 300 {
			p := r3.Scale((20+80*rng.Float64())*mm, direction(rng))
			if name == "image" && p.Z < -5*mm {
				continue
			}
			checkMaxwell(t, name, s, p, 0.15*mm, 1e-9, &worst)
		}
		t.Logf("%-16s largest divergence or curl / |∇B|: %.1e", name, worst)
	}
	// Inside a loop's circle, near the conductor.
	rng := rand.New(rand.NewPCG(5, 5))
	worst := 0.0
	for range 300 {
		p := r3.Vec{X: 2 * mm * rng.Float64(), Y: -2 * mm * rng.Float64(), Z: 4 * mm * (rng.Float64() - 0.5)}
		checkMaxwell(t, "loop's inside", field.Loop{Radius: 4 * mm, Current: 1}, p, 0.02*mm, 1e-8, &worst)
	}
}

func checkMaxwell(t *testing.T, name string, s field.Source, p r3.Vec, h, tol float64, worst *float64) {
	t.Helper()
	g := field.Gradient(s, p, h)
	size := 0.0
	for _, row := range g {
		for _, v := range row {
			size = math.Max(size, math.Abs(v))
		}
	}
	for what, v := range map[string]float64{
		"divergence": g[0][0] + g[1][1] + g[2][2],
		"curl x":     g[2][1] - g[1][2], "curl y": g[0][2] - g[2][0], "curl z": g[1][0] - g[0][1],
	} {
		*worst = math.Max(*worst, math.Abs(v)/size)
		// The second term is the differences' rounding.
		if !(math.Abs(v) <= tol*size+2e-15*r3.Norm(s.B(p))/h) {
			t.Fatalf("%s at %v: %s %.2e T/m with |∇B| = %.2e T/m", name, p, what, v, size)
		}
	}
}

func TestGradientsAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, name := range []string{"loop", "coaxial"} {
		s := sources()[name].(field.Differentiable)
		axis := r3.Vec{X: 1 * mm, Y: -2 * mm, Z: 3 * mm}
		if name == "coaxial" {
			axis.Y = 0
		}
		points := []r3.Vec{axis, r3.Add(axis, r3.Vec{X: 1e-9}), r3.Add(axis, r3.Vec{X: 1e-6, Y: 1e-6})}
		for range 300 {
			points = append(points, r3.Scale((12+60*rng.Float64())*mm, direction(rng)))
			points = append(points, r3.Vec{X: 6 * mm * rng.NormFloat64(), Y: 6 * mm * rng.NormFloat64(), Z: 6*mm + 9*mm*rng.Float64()})
		}
		worst := 0.0
		for _, p := range points {
			want := field.Gradient(s, p, 0.05*mm)
			got := s.Gradient(p)
			size, off := 0.0, 0.0
			for i := range 3 {
				for j := range 3 {
					size = math.Max(size, math.Abs(want[i][j]))
					off = math.Max(off, math.Abs(got[i][j]-want[i][j]))
				}
			}
			worst = math.Max(worst, off/size)
			if !(off <= 1e-9*size) {
				t.Fatalf("%s at %v: gradient %v, by differences %v", name, p, got, want)
			}
		}
		t.Logf("%s: largest difference %.1e of the largest entry", name, worst)
	}
}

// A magnet cut in two makes the field of the whole. The halves change between the
// closed form and the stack of turns at other distances than the whole does, so
// this also checks one against the other.
func TestMagnetsAddUp(t *testing.T) {
	half := func(m field.CuboidMagnet, axis int) field.Sum {
		a, b := m, m
		switch axis {
		case 0:
			a.Size.X, b.Size.X = 0.3*m.Size.X, 0.7*m.Size.X
			a.Center.X, b.Center.X = -0.35*m.Size.X, 0.15*m.Size.X
		case 1:
			a.Size.Y, b.Size.Y = 0.3*m.Size.Y, 0.7*m.Size.Y
			a.Center.Y, b.Center.Y = -0.35*m.Size.Y, 0.15*m.Size.Y
		default:
			a.Size.Z, b.Size.Z = 0.3*m.Size.Z, 0.7*m.Size.Z
			a.Center.Z, b.Center.Z = -0.35*m.Size.Z, 0.15*m.Size.Z
		}
		return field.Sum{a, b}
	}
	cuboid := field.CuboidMagnet{Size: r3.Vec{X: 8 * mm, Y: 3 * mm, Z: 5 * mm}, Remanence: 1.1}
	plate := field.CuboidMagnet{Size: r3.Vec{X: 20 * mm, Y: 20 * mm, Z: 0.5 * mm}, Remanence: 1.1}
	rod := field.CuboidMagnet{Size: r3.Vec{X: 1 * mm, Y: 1 * mm, Z: 20 * mm}, Remanence: 1.1}
	cylinder := field.CylinderMagnet{Radius: 6 * mm, Length: 2 * mm, Remanence: 0.9}
	pairs := map[string][2]field.Source{
		"cylinder cut across": {cylinder, field.Sum{
			field.CylinderMagnet{Radius: 6 * mm, Length: 0.5 * mm, Remanence: 0.9, Center: r3.Vec{Z: -0.75 * mm}},
			field.CylinderMagnet{Radius: 6 * mm, Length: 1.5 * mm, Remanence: 0.9, Center: r3.Vec{Z: 0.25 * mm}},
		}},
	}
	for name, m := range map[string]field.CuboidMagnet{"cuboid": cuboid, "plate": plate, "rod": rod} {
		for axis := range 3 {
			pairs[fmt.Sprintf("%s cut along axis %d", name, axis)] = [2]field.Source{m, half(m, axis)}
		}
	}
	for name, pair := range pairs {
		rng := rand.New(rand.NewPCG(7, 7))
		worst := 0.0
		for range 3000 {
			p := r3.Scale(math.Exp(rng.Float64()*math.Log(3000))*mm, direction(rng))
			whole, parts := pair[0].B(p), pair[1].B(p)
			off := vectorApart(parts, whole)
			worst = math.Max(worst, off)
			if !(off <= 1e-11) {
				t.Fatalf("%s at %v: whole %v, parts %v, apart %.1e", name, p, whole, parts, off)
			}
		}
		t.Logf("%-24s largest difference %.1e of |B|", name, worst)
	}
}

// Helmholtz's pair: two coaxial loops one radius apart make
// (4/5)^(3/2) µ0 I/a at the middle (textbook result, from memory), where the second
// derivative of Bz vanishes too.
func TestHelmholtzPair(t *testing.T) {
	const a, i = 30 * mm, 1.5
	pair := field.Sum{
		field.Loop{Radius: a, Current: i, Center: r3.Vec{Z: a / 2}},
		field.Loop{Radius: a, Current: i, Center: r3.Vec{Z: -a / 2}},
	}
	want := math.Pow(0.8, 1.5) * field.Mu0 * i / a
	if got := pair.B(r3.Vec{}); apart(got.Z, want) > 1e-15 || got.X != 0 || got.Y != 0 {
		t.Errorf("centre field %v, want Bz = %v", got, want)
	}
	// Fourth order flat: Bz(z)/Bz(0) = 1 − (144/125)(z/a)⁴.
	z := a / 20
	want *= 1 - 144./125*math.Pow(0.05, 4)
	if got := pair.B(r3.Vec{Z: z}).Z; apart(got, want) > 2e-8 {
		t.Errorf("Bz at z = a/20 is %v, want %v", got, want)
	}
}

// A square loop of side a makes 2√2 µ0 I/(πa) at its centre, a regular polygon of
// n sides and circumradius R makes n µ0 I/(2πR) tan(π/n) (textbook results, from
// memory); n → ∞ is the circle.
func TestPolygonCentreFields(t *testing.T) {
	const i = 0.7
	side := 12 * mm
	square := field.Path{Points: rectangle(side, side, 0), Current: i}
	if got, want := square.B(r3.Vec{}).Z, 2*math.Sqrt2*field.Mu0*i/(math.Pi*side); apart(got, want) > 1e-15 {
		t.Errorf("square: %v, want %v", got, want)
	}
	if got, want := square.Length(), 4*side; apart(got, want) > 1e-15 {
		t.Errorf("length of the square %v, want %v", got, want)
	}
	for _, n := range []int{3, 6, 50, 1000} {
		got := polygon(5*mm, n, i).B(r3.Vec{}).Z
		want := float64(n) * field.Mu0 * i / (2 * math.Pi * 5 * mm) * math.Tan(math.Pi/float64(n))
		if apart(got, want) > 1e-14 {
			t.Errorf("%d sides: %v, want %v", n, got, want)
		}
	}
}

// A polygon of n sides on the same area tends to the loop as 1/n² off axis too.
func TestPolygonTendsToLoop(t *testing.T) {
	p := r3.Vec{X: 3 * mm, Y: 2 * mm, Z: 4 * mm}
	want := field.Loop{Radius: 5 * mm, Current: 1}.B(p)
	last := math.Inf(1)
	for _, n := range []int{50, 100, 200, 400} {
		off := vectorApart(polygon(5*mm, n, 1).B(p), want)
		if r := last / off; !math.IsInf(last, 1) && (r < 3.9 || r > 4.1) {
			t.Errorf("%d sides: error fell by %.2f on doubling, want 4", n, r)
		}
		last = off
	}
	if last > 1e-4 {
		t.Errorf("400 sides still %.1e off", last)
	}
}

// Far away every source is its dipole, up to the square of size over distance.
func TestDipoleLimit(t *testing.T) {
	cylinder := field.CylinderMagnet{Radius: 5 * mm, Length: 4 * mm, Remanence: 1.2}
	cuboid := field.CuboidMagnet{Size: r3.Vec{X: 10 * mm, Y: 6 * mm, Z: 3 * mm}, Remanence: 1.3}
	for name, c := range map[string]struct {
		source field.Source
		moment r3.Vec
	}{
		"loop":     {field.Loop{Radius: 5 * mm, Current: 2}, r3.Vec{Z: 2 * math.Pi * 25e-6}},
		"square":   {field.Path{Points: rectangle(8*mm, 8*mm, 0), Current: 2}, r3.Vec{Z: 2 * 64e-6}},
		"cylinder": {cylinder, r3.Vec{Z: 1.2 / field.Mu0 * math.Pi * 25e-6 * 4 * mm}},
		"cuboid":   {cuboid, cuboid.Moment()},
	} {
		rng := rand.New(rand.NewPCG(8, 8))
		dipole := field.Dipole{Moment: c.moment}
		for _, r := range []float64{1, 10, 100} {
			for range 50 {
				p := r3.Scale(r, direction(rng))
				off := vectorApart(c.source.B(p), dipole.B(p))
				if limit := 6*math.Pow(5*mm/r, 2) + 5e-12*r; !(off <= limit) {
					t.Errorf("%s at %v m: %.1e off its dipole, want below %.1e", name, r, off, limit)
				}
			}
		}
	}
	// On the axis of a loop the exact ratio is (1 + (a/z)²)^(−3/2).
	got := field.Loop{Radius: 10 * mm, Current: 1}.B(r3.Vec{Z: 1}).Z
	want := field.Dipole{Moment: r3.Vec{Z: math.Pi * 1e-4}}.B(r3.Vec{Z: 1}).Z * math.Pow(1.0001, -1.5)
	if apart(got, want) > 1e-15 {
		t.Errorf("loop on axis at 1 m: %v, want %v", got, want)
	}
}

// Ampère's law: ∮B·dl around a wire is µ0 I, around nothing 0. The trapezium rule
// on a circle converges geometrically.
func TestAmpereLaw(t *testing.T) {
	circulation := func(s field.Source, center, u, v r3.Vec, radius float64) float64 {
		const n = 400
		sum := 0.0
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
			p := r3.Add(center, r3.Scale(radius, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
			along := r3.Add(r3.Scale(-sin, u), r3.Scale(cos, v))
			sum += r3.Dot(s.B(p), along)
		}
		return sum * 2 * math.Pi * radius / n
	}
	x, z := r3.Vec{X: 1}, r3.Vec{Z: 1}
	const i = 3
	for name, s := range map[string]field.Source{
		"loop":   field.Loop{Radius: 10 * mm, Current: i},
		"square": field.Path{Points: rectangle(20*mm, 20*mm, 0), Current: i},
	} {
		// z × x: right-handed about +y, the way the current runs at x = 10 mm.
		if got, want := circulation(s, r3.Vec{X: 10 * mm}, z, x, 4*mm), field.Mu0*i; apart(got, want) > 1e-12 {
			t.Errorf("%s: circulation %v about the wire, want %v", name, got, want)
		}
		if got := circulation(s, r3.Vec{X: 3 * mm}, z, x, 4*mm); math.Abs(got) > 1e-12*field.Mu0 {
			t.Errorf("%s: circulation %v about nothing", name, got)
		}
	}
}

// On the face of ideal steel the field has no component along the face.
func TestMirrorFaceCondition(t *testing.T) {
	all := sources()
	for _, name := range []string{"tangled path", "cylinder magnet", "moved cuboid", "loop"} {
		both := field.Sum{all[name], field.Mirror{Source: all[name], Z: -16 * mm, Factor: 1}}
		rng := rand.New(rand.NewPCG(9, 9))
		for range 100 {
			p := r3.Vec{X: 20 * mm * rng.NormFloat64(), Y: 20 * mm * rng.NormFloat64(), Z: -16 * mm}
			b := both.B(p)
			if math.Hypot(b.X, b.Y) > 1e-14*math.Abs(b.Z)+1e-18 {
				t.Fatalf("%s: B at the face is %v", name, b)
			}
		}
	}
}

func TestCombinations(t *testing.T) {
	p := r3.Vec{X: 4 * mm, Y: 9 * mm, Z: 12 * mm}
	loop := field.Loop{Radius: 5 * mm, Current: 1}
	at := r3.Vec{X: 1 * mm, Y: 2 * mm, Z: -3 * mm}
	moved := loop
	moved.Center = at
	for name, pair := range map[string][2]r3.Vec{
		"Moved":  {shifted{loop, at}.B(p), moved.B(p)},
		"Scaled": {field.Scaled{Source: loop, Factor: -2}.B(p), field.Loop{Radius: 5 * mm, Current: -2}.B(p)},
		"Sum":    {field.Sum{loop, moved}.B(p), r3.Add(loop.B(p), moved.B(p))},
		"Coaxial": {
			field.Coaxial{Center: at, Loops: []field.CoaxialLoop{{Radius: 5 * mm, Current: 1}, {Radius: 3 * mm, Z: 2 * mm, Current: -1}}}.B(p),
			field.Sum{moved, field.Loop{Radius: 3 * mm, Current: -1, Center: r3.Add(at, r3.Vec{Z: 2 * mm})}}.B(p),
		},
	} {
		if vectorApart(pair[0], pair[1]) > 4e-15 {
			t.Errorf("%s: %v, want %v", name, pair[0], pair[1])
		}
	}
	if b := (field.Sum{}).B(p); b != (r3.Vec{}) {
		t.Errorf("empty sum: %v", b)
	}
	if b := (field.Path{Points: []r3.Vec{p}, Current: 1}).B(p); b != (r3.Vec{}) {
		t.Errorf("path of one point: %v", b)
	}
}

// A thin wire has no field of its own on itself: a loop says NaN, a straight
// conductor zero, as each documents. No call may hang.
func TestOnTheWire(t *testing.T) {
	loop := field.Loop{Radius: 5 * mm, Current: 1}
	for name, b := range map[string]r3.Vec{
		"loop":    loop.B(r3.Vec{X: 3 * mm, Y: 4 * mm}),
		"coaxial": field.Coaxial{Loops: []field.CoaxialLoop{{Radius: 5 * mm, Current: 1}}}.B(r3.Vec{X: -5 * mm}),
		"NaN":     loop.B(r3.Vec{X: math.NaN()}),
	} {
		if !math.IsNaN(b.Z) {
			t.Errorf("%s: %v, want NaN", name, b)
		}
	}
	if g := loop.Gradient(r3.Vec{X: 5 * mm}); !math.IsNaN(g[2][2]) {
		t.Errorf("gradient of the loop: %v, want NaN", g)
	}
	s := field.Segment{From: r3.Vec{X: -1 * mm}, To: r3.Vec{X: 3 * mm}, Current: 1}
	for _, x := range []float64{-4, -1, 0, 3, 5} {
		if b := s.B(r3.Vec{X: x * mm}); b != (r3.Vec{}) {
			t.Errorf("segment at %v mm of its own line: %v, want zero", x, b)
		}
	}
	// A loop of no size is no source.
	if br, bz := field.LoopField(0, 1*mm, 1*mm); br != 0 || bz != 0 {
		t.Errorf("loop of no radius: %v, %v", br, bz)
	}
}

// Coaxial's batches and LoopField must agree turn by turn, near wires included.
func TestCoaxialIsTheSumOfItsLoops(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	worst := 0.0
	for n := range 40 {
		var c field.Coaxial
		for range n {
			c.Loops = append(c.Loops, field.CoaxialLoop{
				Radius: (1 + 9*rng.Float64()) * mm, Z: rng.NormFloat64() * mm, Current: 0.1 + rng.Float64(),
			})
		}
		for k := range 50 {
			rho, z := 12*mm*rng.Float64(), 3*mm*rng.NormFloat64()
			if n > 0 && k%2 == 0 {
				l := c.Loops[rng.IntN(n)]
				rho, z = l.Radius+1e-5*rng.NormFloat64()*math.Pow(10, -4*rng.Float64()), l.Z+1e-5*rng.NormFloat64()
			}
			var br, bz, size float64
			for _, l := range c.Loops {
				r, v := field.LoopField(l.Radius, rho, z-l.Z)
				br += l.Current * r
				bz += l.Current * v
				size += l.Current * math.Hypot(r, v)
			}
			gr, gz := c.Field(rho, z)
			off := math.Hypot(gr-br, gz-bz)
			if size > 0 {
				worst = math.Max(worst, off/size)
			}
			if !(off <= 4e-15*size) {
				t.Fatalf("%d loops at (%v, %v): (%v, %v), one by one (%v, %v)", n, rho, z, gr, gz, br, bz)
			}
		}
	}
	t.Logf("largest difference: %.1e", worst)
}

// Planes of faces, extensions of edges and axes hold the 0/0 cases of the closed
// forms. Outside the sources every one of them must give a finite field that its
// neighbourhood confirms.
func TestDegeneratePlacesAreSmooth(t *testing.T) {
	at := []float64{-9, -5, -3, -1.5, 0, 1.5, 3, 5, 9}
	magnets := map[string]interface {
		field.Source
		Contains(r3.Vec) bool
	}{
		"cuboid":   field.CuboidMagnet{Size: r3.Vec{X: 10 * mm, Y: 6 * mm, Z: 3 * mm}, Remanence: 1},
		"cylinder": field.CylinderMagnet{Radius: 5 * mm, Length: 3 * mm, Remanence: 1},
	}
	nudge := r3.Vec{X: 1.1e-9, Y: -0.7e-9, Z: 0.9e-9}
	for name, m := range magnets {
		checked := 0
		for _, x := range at {
			for _, y := range at {
				for _, z := range at {
					p := r3.Scale(mm, r3.Vec{X: x, Y: y, Z: z})
					if m.Contains(p) {
						continue
					}
					checked++
					b, near := m.B(p), m.B(r3.Add(p, nudge))
					// Gradients here reach some 1 T/mm, 2e-6 T on the way.
					if !(r3.Norm(r3.Sub(b, near)) < 4e-6) {
						t.Errorf("%s at (%v, %v, %v) mm: %v, two nanometres off %v", name, x, y, z, b, near)
					}
				}
			}
		}
		if checked < 300 {
			t.Errorf("%s: only %d points lay outside", name, checked)
		}
	}
}

func TestNoAllocation(t *testing.T) {
	p := r3.Vec{X: 21 * mm, Y: 9 * mm, Z: 12 * mm}
	for name, s := range sources() {
		if n := testing.AllocsPerRun(100, func() { s.B(p) }); n != 0 {
			t.Errorf("%s: %v allocations a call", name, n)
		}
	}
}

// shifted is a source shifted by by (metres).
type shifted struct {
	source field.Source
	by     r3.Vec
}

func (m shifted) B(p r3.Vec) r3.Vec { return m.source.B(r3.Sub(p, m.by)) }
