package iron

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"lodegrid/field"
)

// A flat coil a tenth of a millimetre over aluminium, as on a board with a metal core: the
// elements against the integrals of Dodd and Deeds (the reflection that
// TestEddyCurrentsInPlates holds against twelve-digit values), turn by turn. What the plate
// sees varies from track to track, far finer than the coil is wide.
func TestPlateCloseToTurns(t *testing.T) {
	const turns, outer, track, height = 14, 4.8e-3, 0.3e-3, 0.117e-3
	plate := 1.5
	c := plateCase{MuR: 1, Conductivity: 20e6, Thickness: &plate}
	p := EddyProblem{Scale: 5e-3, Steel: []Conductor{{R1: 60e-3, Z0: -1.5e-3, MuR: 1, Conductivity: 20e6}}, Frequencies: []float64{250, 4e3, 20e3, 100e3, 400e3}}
	for k := range turns {
		for side := range 4 { // across a track of 0.2 mm
			p.Coil.Loops = append(p.Coil.Loops, field.CoaxialLoop{Radius: outer - track*float64(k) + (float64(side)-1.5)*0.05e-3, Z: height, Current: 0.25})
		}
	}
	got, err := SolveEddy(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	for k, f := range p.Frequencies {
		omega := 2 * math.Pi * f
		var z, b complex128
		const intervals, points, axis = 400, 16, 2e-3
		x, w := make([]float64, points), make([]float64, points)
		for i := range intervals {
			lo, hi := float64(i)/intervals, float64(i+1)/intervals
			quad.Legendre{}.FixedLocations(x, w, lo*lo*30/height, hi*hi*30/height)
			for j, k := range x {
				s := 0.0
				for _, l := range p.Coil.Loops {
					s += l.Current * l.Radius * math.J1(k*l.Radius)
				}
				s *= math.Exp(-k * height)
				g := c.reflection(k, omega)
				z += complex(0, omega*math.Pi*field.Mu0*w[j]*s*s) * g
				b += complex(field.Mu0/2*w[j]*k*s*math.Exp(-k*axis), 0) * g
			}
		}
		have := complex(got[k].Resistance, omega*got[k].Inductance)
		off, offR := cmplx.Abs(have-z)/cmplx.Abs(z), math.Abs(real(have)/real(z)-1)
		offB := cmplx.Abs(got[k].Axis(axis)-b) / cmplx.Abs(b)
		t.Logf("%6.0f Hz: ΔL %.4g µH, R %.4g Ω; %.3f %% off, R %.3f %%, field %.3f %%", f, imag(z)/omega*1e6, real(z), off*100, offR*100, offB*100)
		if off > 0.003 || offR > 0.01 || offB > 0.003 {
			t.Errorf("%g Hz: elements %v Ω, integrals %v Ω; R %.2f %% off, field %.2f %%", f, have, z, offR*100, offB*100)
		}
	}
}
