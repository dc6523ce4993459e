package ferrofluid_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// A disc of 8 mm in a tank of 2 mm, χ 3, Ms 48 kA/m. The values were computed apart from
// this package, Π both in closed form and as Simpson's integral of µ0 M·dH0 over 4000
// steps, which agree in all digits given.
func TestSpheroidAgainstTable(t *testing.T) {
	s := ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 3, Saturation: 48e3}, 0.25)
	if apart(s.Axial, 0.703641486657) > 1e-11 || apart(s.Across, 0.148179256671) > 1e-11 {
		t.Errorf("factors %.12g and %.12g", s.Axial, s.Across)
	}
	for _, c := range []struct{ bz, br, hz, hr, mz, mr, pi float64 }{
		{3.761, 0, 963.482094, 0, 2884.17703, 0, 5.425590558},
		{0, 3.761, 0, 2078.26191, 0, 6172.56971, 11.64794432},
		{2, 3, 514.034095, 1656.21266, 1531.3414, 4933.9665, 8.952002976},
		{30, 10, 8823.282, 5854.71147, 21388.6756, 14192.5107, 409.9806965},
		{50, 200, 32905.9307, 152440.239, 9781.69317, 45314.7385, 8331.346061},
		{1, 0.5, 255.857564, 275.470752, 767.31853, 826.138611, 0.5902380223},
	} {
		hz, hr := s.Inside(c.bz*1e-3/field.Mu0, c.br*1e-3/field.Mu0)
		m := s.MOf(r3.Vec{X: c.br * 0.6e-3, Y: c.br * 0.8e-3, Z: c.bz * 1e-3})
		pi := s.PiOf(r3.Vec{X: c.br * 0.6e-3, Y: c.br * 0.8e-3, Z: c.bz * 1e-3})
		for _, v := range [][2]float64{{hz, c.hz}, {hr, c.hr}, {m.Z, c.mz}, {math.Hypot(m.X, m.Y), c.mr}, {pi, c.pi}} {
			if apart(v[0], v[1]) > 5e-9 {
				t.Errorf("at %g, %g mT: %.10g, want %.10g", c.bz, c.br, v[0], v[1])
			}
		}
	}
}

// The magnetisation is the slope of Π in every direction; with equal factors, and along
// the axis, the spheroid is the Body of that factor; a linear one is in closed form.
func TestSpheroidProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		f := ferrofluid.Fluid{Susceptibility: 5 * rng.Float64(), Saturation: math.Pow(10, 3+3*rng.Float64())}
		s := ferrofluid.NewSpheroid(f, math.Pow(10, 2*rng.Float64()-1.5))
		size := math.Pow(10, -5+5*rng.Float64())
		b := r3.Scale(size, r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
		m, h := s.MOf(b), 1e-3*size
		for j, step := range []r3.Vec{{X: h}, {Y: h}, {Z: h}} {
			at := func(k float64) float64 { return s.PiOf(r3.Add(b, r3.Scale(k, step))) }
			slope := (8*(at(1)-at(-1)) - (at(2) - at(-2))) / (12 * h)
			got := []float64{m.X, m.Y, m.Z}[j]
			if math.Abs(got-slope) > 2e-7*r3.Norm(m)+1e-12 {
				t.Fatalf("%+v in %v T: M_%d = %g, slope of Π %g", s, b, j, got, slope)
			}
		}
		body := s.Axially()
		if along := (r3.Vec{Z: b.Z}); apart(s.PiOf(along), body.PiOf(along)) > 1e-12 {
			t.Fatalf("along the axis %g, as a body %g", s.PiOf(along), body.PiOf(along))
		}
		s.Axial, s.Across = 0.4, 0.4
		if body = s.Axially(); apart(s.PiOf(b), body.PiOf(b)) > 1e-12 {
			t.Fatalf("equal factors: %g, as a body %g", s.PiOf(b), body.PiOf(b))
		}
		linear := ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: f.Susceptibility, Saturation: math.Inf(1)}, 0.3)
		br2 := b.X*b.X + b.Y*b.Y
		want := f.Susceptibility / (2 * field.Mu0) * (b.Z*b.Z/(1+linear.Axial*f.Susceptibility) + br2/(1+linear.Across*f.Susceptibility))
		if apart(linear.PiOf(b), want) > 1e-12 {
			t.Fatalf("linear: %g, want %g", linear.PiOf(b), want)
		}
	}
	// Osborn's factors sum to 1; a sphere's are a third each.
	for ratio, want := range map[float64]float64{1: 1. / 3, 1e-6: 1, 1e4: 0} {
		s := ferrofluid.NewSpheroid(ferrofluid.Fluid{}, ratio)
		if math.Abs(s.Axial-want) > 1e-5 || apart(s.Axial+2*s.Across, 1) > 1e-15 {
			t.Errorf("ratio %g: factors %g and %g", ratio, s.Axial, s.Across)
		}
	}
}

// Demagnetising factors along the axis as tabled by J. A. Osborn, Phys. Rev. 67 (1945)
// 351, from memory: a sphere 1/3, prolate 2:1 0.1736 and 10:1 0.0203, oblate 1:2 0.5272
// and 1:10 0.8608; and by quadrature of the integral they come from.
func TestSpheroidFactor(t *testing.T) {
	for _, c := range []struct{ ratio, want, tol float64 }{
		{1, 1. / 3, 1e-15}, {2, 0.1736, 5e-5}, {10, 0.0203, 5e-5}, {0.5, 0.5272, 5e-5}, {0.1, 0.8608, 5e-5},
		{1e-9, 1, 1e-8}, {1e6, 0, 1e-10},
	} {
		if got := ferrofluid.NewSpheroid(ferrofluid.Fluid{}, c.ratio).Axial; math.Abs(got-c.want) > c.tol {
			t.Errorf("ratio %g: %.6f, want %.6f", c.ratio, got, c.want)
		}
	}
	// N = ½∫ ratio ds/((s+1)(s+ratio²)^{3/2}) with the other half axis 1, s = tan²: the
	// three factors of a spheroid add to 1.
	across := func(a float64) float64 { // one of the two short factors, by quadrature
		const n = 200000
		sum := 0.0
		for k := range n {
			u := (float64(k) + 0.5) / n // s = u²/(1−u)²
			s, ds := u*u/(1-u)/(1-u), 2*u/(1-u)/(1-u)/(1-u)
			sum += a / 2 * ds / ((s + 1) * (s + 1) * math.Sqrt(s+a*a))
		}
		return sum / n
	}
	for _, a := range []float64{0.2, 0.999, 0.99996, 1.00004, 1.001, 3} {
		if got, want := ferrofluid.NewSpheroid(ferrofluid.Fluid{}, a).Axial, 1-2*across(a); math.Abs(got-want) > 2e-6 {
			t.Errorf("ratio %g: %.8f, 1 less the other two by quadrature %.8f", a, got, want)
		}
	}
}
