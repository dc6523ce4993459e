package tank

import (
	"math"
	"testing"

	"lodegrid/field"
)

// growth is the rate, 1/s, at which a level front between the magnetic liquid above and the
// other below grows a wave of wavenumber k, in the equations of doc.go: with α = 12η/b² and
// q² = k² + 12/b² + ρs/η on either side, the vertical velocity is a e^(−k|y|) + b e^(−q|y|);
// velocity and shear stress are continuous, the normal stress jumps by (Δρ g − σk²)ζ, and
// the pressure is ∓(ρs+α)a/k. For equal viscosities that comes to
//
//	s(ρs+α) = ½k(Δρ g − σk²)(1 − k/q).
func growth(p Params, above, below, k float64) float64 {
	response := func(s float64) float64 {
		q1, q2 := math.Sqrt(k*k+12/(p.Gap*p.Gap)+p.Density*s/below), math.Sqrt(k*k+12/(p.Gap*p.Gap)+p.Density*s/above)
		a1, a2 := p.Density*s+12*below/(p.Gap*p.Gap), p.Density*s+12*above/(p.Gap*p.Gap)
		// Of a1, b1 (below), a2, b2 (above), for a unit force upwards.
		m := [4][5]float64{
			{1, 1, -1, -1, 0},
			{k, q1, k, q2, 0},
			{below * 2 * k * k, below * (q1*q1 + k*k), -above * 2 * k * k, -above * (q2*q2 + k*k), 0},
			{a1/k + 2*below*k, 2 * below * q1, a2/k + 2*above*k, 2 * above * q2, 1},
		}
		x := solve4(m)
		return x[0] + x[1]
	}
	f := -p.DensityDifference*p.GravityY - p.SurfaceTension*k*k
	s := 0.0
	for range 200 {
		s = 0.5*s + 0.5*response(s)*f
	}
	return s
}

// solve4 solves four equations by elimination with pivots.
func solve4(m [4][5]float64) [4]float64 {
	for c := range 4 {
		best := c
		for r := c; r < 4; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[best][c]) {
				best = r
			}
		}
		m[c], m[best] = m[best], m[c]
		for r := range 4 {
			if r != c {
				f := m[r][c] / m[c][c]
				for k := c; k < 5; k++ {
					m[r][k] -= f * m[c][k]
				}
			}
		}
	}
	return [4]float64{m[0][4] / m[0][0], m[1][4] / m[1][1], m[2][4] / m[2][2], m[3][4] / m[3][3]}
}

// waveHeight is the front's amplitude at the wavenumber over the middle wavelength.
func waveHeight(tk *Tank, k float64) float64 {
	c := tk.Fraction()
	sum, n := 0.0, 0
	for j := range tk.nx {
		x, _ := tk.middle(0, j)
		if math.Abs(x) > math.Pi/k {
			continue
		}
		h := 0.0
		for i := range tk.ny {
			h -= c[i*tk.nx+j] * tk.dy // the liquid is above
		}
		sum += h * math.Cos(k*x)
		n++
	}
	return 2 * sum / float64(n)
}

// The classical rate, which knows no shear layer and no inertia, is the limit of long waves:
// P. G. Saffman & G. Taylor, Proc. R. Soc. A 245 (1958) 312-329,
// doi:10.1098/rspa.1958.0085 (from memory).
func TestGrowthOfLongWaves(t *testing.T) {
	p := Params{Gap: 1e-3, Density: 1000, DensityDifference: 1, SurfaceTension: 1e-3, GravityY: -field.Gravity}
	for _, c := range [][2]float64{{0.01, 0.01}, {0.1, 0.01}, {0.01, 0.1}} {
		for _, k := range []float64{0.1, 1} {
			got := growth(p, c[0], c[1], k)
			want := k * (p.DensityDifference*field.Gravity - p.SurfaceTension*k*k) * p.Gap * p.Gap / (12 * (c[0] + c[1]))
			if math.Abs(got/want-1) > 2*k*p.Gap {
				t.Errorf("viscosities %v, k = %g 1/m: %g 1/s, want %g", c, k, got, want)
			}
		}
	}
}

// A heavy front above a light liquid of the same viscosity and of a tenth of it, over five
// wavelengths: the last is within a third of where surface tension stops it, and what it
// has left is the difference of two forces.
func TestFingers(t *testing.T) {
	for _, below := range []float64{0.015, 0.0015} {
		p := Params{Width: 0.12, Height: 0.096, Cols: 120, Rows: 96, Gap: 2e-3, Density: 1361, DensityDifference: 200,
			Viscosity: 0.015, OuterViscosity: below, SurfaceTension: 0.01, GravityY: -field.Gravity}
		waveCounts := []int{1, 3, 6}
		if patient(0, 1) == 1 {
			waveCounts = []int{1, 2, 3, 4, 6}
		}
		for _, waves := range waveCounts {
			k := 2 * math.Pi * float64(waves) / p.Width
			tk := newTank(t, p)
			shape(t, tk, func(x, y float64) bool { return y > 0.0003+1e-4*math.Cos(k*x) })
			step(t, tk, 0.3, nil)
			a := waveHeight(tk, k)
			const seconds = 0.2
			step(t, tk, seconds, nil)
			b := waveHeight(tk, k)
			got, want := math.Log(b/a)/seconds, growth(p, p.Viscosity, below, k)
			classical := k * (p.DensityDifference*field.Gravity - p.SurfaceTension*k*k) * p.Gap * p.Gap / (12 * (p.Viscosity + below))
			t.Logf("%g below, wavelength %.3g mm: %.4f 1/s, theory %.4f: %+.2f %% (classical %.4f), %.3g to %.3g mm", below, 120.0/float64(waves), got, want, (got/want-1)*100, classical, a*1e3, b*1e3)
			if math.Abs(got/want-1) > 0.03 {
				t.Errorf("%g Pa·s below, wavelength %g mm: grows at %g 1/s, want %g", below, 120.0/float64(waves), got, want)
			}
		}
	}
}
