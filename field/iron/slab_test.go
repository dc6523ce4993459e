package iron

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// µ0 of the reference tables is 4π·10⁻⁷; results scale with µ0.
const muScale = field.Mu0 / (4e-7 * math.Pi)

// Loop of radius 10 mm, 1 A, at height h above a slab with its front at z = 0.
// Values: image series to 1e-24 T and Hankel integral agree to all digits shown
// (computed with mpmath; the forms derived from the boundary conditions, W. R.
// Smythe, Static and Dynamic Electricity, from memory).
func TestSlabMeetsTheFullSeries(t *testing.T) {
	for _, c := range []struct {
		h, t, mu, r, z, br, bz float64
	}{
		{0.2, 1, 1000, 0, 2, 0, 1.174589294351e-4},
		{0.2, 0.5, 200, 0, 2, 0, 1.100637086666e-4},
		{1, 0.5, 100, 5, 3, 2.644639714476e-5, 1.09939329963e-4},
		{0.2, 1, 5, 0, 2, 0, 7.115616224105e-5},
	} {
		loop := field.Coaxial{Loops: []field.CoaxialLoop{{Radius: 10e-3, Z: c.h * 1e-3, Current: 1}}}
		s := NewSlab(loop, 0, c.t*1e-3, c.mu)
		p := r3.Vec{X: c.r * 1e-3, Z: c.z * 1e-3}
		b := r3.Add(loop.B(p), s.B(p))
		t.Logf("µr %g, t %g mm: %d images, error %.1e", c.mu, c.t, s.Images(), b.Z/muScale/c.bz-1)
		if math.Abs(b.Z/muScale-c.bz) > 1e-10*c.bz || math.Abs(b.X/muScale-c.br) > 1e-10*c.bz {
			t.Errorf("µr %g, t %g mm: B = (%.12e, %.12e) T, reference (%.12e, %.12e)", c.mu, c.t, b.X/muScale, b.Z/muScale, c.br, c.bz)
		}
	}
}

// A very thick sheet is a plain mirror; one of air is nothing.
func TestSlabLimits(t *testing.T) {
	loop := field.Coaxial{Loops: []field.CoaxialLoop{{Radius: 5e-3, Z: 1e-3, Current: 1}}}
	p := r3.Vec{X: 2e-3, Y: 1e-3, Z: 3e-3}
	thick := NewSlab(loop, 0, 10, 300)
	want := field.Mirror{Source: loop, Z: 0, Factor: field.ImageFactor(300)}.B(p)
	if d := r3.Norm(r3.Sub(thick.B(p), want)); d > 1e-8*r3.Norm(want) {
		t.Errorf("thick sheet differs from a mirror by %g of its field", d/r3.Norm(want))
	}
	air := NewSlab(loop, 0, 1e-3, 1)
	if b := r3.Norm(air.B(p)); b != 0 {
		t.Errorf("a sheet of air adds %g T", b)
	}
}

func TestSumRuleIsExact(t *testing.T) {
	nodes, weights := sumRule(32, 8)
	for degree := range 16 {
		var want, got float64
		for i := range 32 {
			want += math.Pow(float64(i)/32, float64(degree))
		}
		for j, x := range nodes {
			got += weights[j] * math.Pow(x/32, float64(degree))
		}
		if math.Abs(got-want) > 1e-12*want {
			t.Errorf("degree %d: %g, want %g", degree, got, want)
		}
	}
}

// A loop below a slab: the sheet lets through what the two faces' conditions (Bz and Hr
// continuous at each) give, solved here as a linear system for each wave number and
// summed over them; and nothing is left out where the sheet is air.
func TestScreenMeetsTheBoundaryConditions(t *testing.T) {
	const radius, deep, thick = 4e-3, 1.5e-3, 0.7e-3 // m; the loop that far below the back face
	for _, mu := range []float64{1, 5, 300} {
		loop := field.Coaxial{Loops: []field.CoaxialLoop{{Radius: radius, Z: -thick - deep, Current: 1}}}
		s := NewScreen(loop, thick, mu)
		for _, p := range []r3.Vec{{Z: 1e-3}, {X: 3e-3, Z: 0.5e-3}, {X: 9e-3, Z: 4e-3}} {
			got := r3.Add(loop.B(p), s.B(p))
			var br, bz float64
			const steps, top = 8_000, 4e4 // Simpson in ∛q to a wave number where e^(−q·deep) is nothing
			for i := 0; i <= steps; i++ {
				u := (float64(i) + 1e-9) / steps
				q := top * u * u * u
				weight := 3 * top * u * u / steps / 3 * float64(2+2*(i&1))
				if i == 0 || i == steps {
					weight /= 2
				}
				// φ = a e^{−qz} above, b e^{−q(z+t)} + c e^{qz} inside, e^{−q(z+t)} + d e^{q(z+t)}
				// below: the source's own amplitude is 1 at the back face.
				e := math.Exp(-q * thick)
				m := mat.NewDense(4, 4, []float64{
					1, -e, -1, 0,
					1, -mu * e, mu, 0,
					0, 1, e, -1,
					0, mu, -mu * e, 1,
				})
				var x mat.VecDense
				if err := x.SolveVec(m, mat.NewVecDense(4, []float64{0, 0, 1, 1})); err != nil {
					t.Fatal(err)
				}
				f := weight * field.Mu0 / 2 * radius * q * math.J1(q*radius) * math.Exp(-q*(p.Z+deep)) * x.AtVec(0)
				br += f * math.J1(q*p.X)
				bz += f * math.J0(q*p.X)
			}
			if d := math.Hypot(got.X-br, got.Z-bz); d > 1e-8*math.Hypot(br, bz) {
				t.Errorf("µr %g at %v: %v, boundary conditions give (%g, %g)", mu, p, got, br, bz)
			}
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a sheet of no thickness is accepted")
		}
	}()
	NewScreen(field.Coaxial{Loops: []field.CoaxialLoop{{Radius: 1e-3}}}, 0, 100)
}
