package iron

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// plateCase is a loop or a coil above a conducting plate or half-space of
// testdata/eddy/dodd_deeds.json; the plate's top is z = 0.
type plateCase struct {
	ID           string
	MuR          float64  `json:"relative_permeability"`
	Conductivity float64  `json:"conductivity_S_per_m"`
	Thickness    *float64 `json:"plate_thickness_mm"`
	Loop         float64  `json:"loop_radius_mm"`
	Height       float64  `json:"height_above_conductor_mm"`
	Inner        float64  `json:"inner_radius_mm"`
	Outer        float64  `json:"outer_radius_mm"`
	Lower        float64  `json:"lower_face_height_mm"`
	Upper        float64  `json:"upper_face_height_mm"`
	Turns        float64
	Rows         []struct {
		Frequency float64     `json:"frequency_hz"`
		Z         complexPair `json:"delta_Z_ohm"`
		Axis      []struct {
			Z  float64     `json:"z_mm"`
			Re complexPair `json:"re_im"`
		} `json:"reflected_Bz_on_axis_T_per_A"`
	}
}

func plateCases(t *testing.T) []plateCase {
	t.Helper()
	var f struct{ Cases []plateCase }
	data, err := os.ReadFile("../../testdata/eddy/dodd_deeds.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	return f.Cases
}

// reflection is Dodd and Deeds' factor of a plate or half-space at wave number k.
func (c plateCase) reflection(k, omega float64) complex128 {
	k1 := cmplx.Sqrt(complex(k*k, omega*field.Mu0*c.MuR*c.Conductivity))
	plus, minus := complex(c.MuR*k, 0)+k1, complex(c.MuR*k, 0)-k1
	if c.Thickness == nil {
		return minus / plus
	}
	e := cmplx.Exp(-2 * k1 * complex(*c.Thickness*1e-3, 0))
	return minus * plus * (1 - e) / (plus*plus - minus*minus*e)
}

// spectrum is the source's at k, its height's factor included: a J1(ka) e^{−kh}, or that
// integrated over the coil's section with its turns.
func (c plateCase) spectrum(k float64) float64 {
	if c.Loop > 0 {
		a := c.Loop * 1e-3
		return a * math.J1(k*a) * math.Exp(-k*c.Height*1e-3)
	}
	const points = 24
	x, w := make([]float64, points), make([]float64, points)
	quad.Legendre{}.FixedLocations(x, w, c.Inner*1e-3, c.Outer*1e-3)
	var sum float64
	for i, r := range x {
		sum += w[i] * r * math.J1(k*r)
	}
	lo, hi := c.Lower*1e-3, c.Upper*1e-3
	return c.Turns / ((c.Outer - c.Inner) * 1e-3 * (hi - lo)) * sum * math.Exp(-k*lo) * -math.Expm1(-k*(hi-lo)) / k
}

// integrals returns ΔZ and the reflected Bz on the axis by quadrature.
func (c plateCase) integrals(omega float64, heights []float64) (z complex128, bz []complex128) {
	bz = make([]complex128, len(heights))
	lowest := c.Height
	if c.Loop == 0 {
		lowest = c.Lower
	}
	const intervals, points = 160, 16
	top := 40 / (lowest * 1e-3)
	x, w := make([]float64, points), make([]float64, points)
	for i := range intervals {
		a, b := float64(i)/intervals, float64(i+1)/intervals
		quad.Legendre{}.FixedLocations(x, w, a*a*a*top, b*b*b*top)
		for j, k := range x {
			s, g := c.spectrum(k), c.reflection(k, omega)
			z += complex(0, omega*math.Pi*field.Mu0*w[j]*s*s) * g
			for h := range heights {
				bz[h] += complex(field.Mu0/2*w[j]*k*s*math.Exp(-k*heights[h]), 0) * g
			}
		}
	}
	return z, bz
}

// The integrals of C. V. Dodd and W. E. Deeds, J. Appl. Phys. 39 (1968) 2829 (equations
// from the data's header), meet twelve-digit values made independently; and the finite
// elements meet the integrals over plates, of which a disc of 250 mm stands for the
// endless one.
func TestEddyCurrentsInPlates(t *testing.T) {
	for _, c := range plateCases(t) {
		p := EddyProblem{Scale: max(c.Loop, c.Outer) * 1e-3, Far: 1}
		if c.Loop > 0 {
			p.Coil = field.Coaxial{Loops: []field.CoaxialLoop{{Radius: c.Loop * 1e-3, Z: c.Height * 1e-3, Current: 1}}, Center: r3.Vec{}}
		} else {
			p.Coil.Loops = annulus(c.Inner*1e-3, c.Outer*1e-3, c.Lower*1e-3, c.Upper*1e-3, c.Turns, 20, 6)
		}
		if c.Thickness != nil {
			p.Steel = []Conductor{{R1: 0.25, Z0: -*c.Thickness * 1e-3, Z1: 0, MuR: c.MuR, Conductivity: c.Conductivity}}
		}
		for _, r := range c.Rows {
			p.Frequencies = append(p.Frequencies, r.Frequency)
			var heights []float64
			for _, a := range r.Axis {
				heights = append(heights, a.Z*1e-3)
			}
			z, bz := c.integrals(2*math.Pi*r.Frequency, heights)
			// The data's µ0 is 4π·10⁻⁷; with ours σ µ0 differs too, by 1e-10.
			if d := cmplx.Abs(z/complex(muScale, 0)-r.Z.value()) / cmplx.Abs(r.Z.value()); d > 1e-9 {
				t.Errorf("%s at %g Hz: ΔZ %v Ω, tabulated %v, %.1e off", c.ID, r.Frequency, z, r.Z, d)
			}
			for h, a := range r.Axis {
				if d := cmplx.Abs(bz[h]/complex(muScale, 0)-a.Re.value()) / cmplx.Abs(a.Re.value()); d > 1e-9 {
					t.Errorf("%s at %g Hz, z = %g mm: Bz %v T/A, tabulated %v, %.1e off", c.ID, r.Frequency, a.Z, bz[h], a.Re, d)
				}
			}
		}
		if c.Thickness == nil {
			continue
		}
		got, err := SolveEddy(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		for k, r := range c.Rows {
			omega := 2 * math.Pi * r.Frequency
			z := complex(got[k].Resistance, omega*got[k].Inductance)
			d := cmplx.Abs(z-r.Z.value()) / cmplx.Abs(r.Z.value())
			worst := 0.0
			for _, a := range r.Axis {
				worst = max(worst, cmplx.Abs(got[k].Axis(a.Z*1e-3)-a.Re.value())/cmplx.Abs(a.Re.value()))
			}
			t.Logf("%s %6.0f Hz: ΔZ %.3f %% off (R %+.3f %%), field %.3f %%", c.ID, r.Frequency, d*100, 100*(real(z)/r.Z[0]-1), worst*100)
			if d > 0.003 || worst > 0.003 {
				t.Errorf("%s at %g Hz: elements give ΔZ %v Ω, integrals %v, %.2f %% off; field %.2f %% off", c.ID, r.Frequency, z, r.Z, d*100, worst*100)
			}
		}
	}
}
