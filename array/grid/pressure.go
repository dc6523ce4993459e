package grid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// PressureTable is the magnetic pressure of a spheroidal body of fluid for planes of many
// samples. With h the size of the field inside and m = M/h, the field inside is
//
//	h_z = H_z/(1 + N_z m),  h_r = H_r/(1 + N_r m),  h² = h_z² + h_r²
//	Π = µ0 ∫ M dh + µ0/2 m² (N_z h_z² + N_r h_r²)
//
// so that all but h is a function of h alone. The table holds m and ∫ M dh/h², which are
// smooth and even, with their slopes at equal steps of h, and joins them by cubics; h is
// found by Newton's steps. The error is under 2e-6 of Π everywhere (measured in the
// tests). Beyond its end the body is asked itself.
type PressureTable struct {
	body         ferrofluid.Spheroid
	step         float64 // A/m
	weakZ, weakR float64 // field inside over that outside, for weak fields
	knots        []pressureKnot
}

// pressureKnot holds m and ∫ M dh/h² and their slopes times the step.
type pressureKnot struct{ m, dm, g, dg float64 }

const (
	pressureSteps = 48      // per scale of the magnetisation curve
	pressureKnots = 1 << 12 // 128 KiB; a display uses the first few hundred
	pressureTries = 12      // Newton steps before the body is asked
	pressureClose = 1e-1    // of h: a step so small leaves less than 1e-3
	pressureWeak  = 6       // steps of h up to which a linear fluid's h is that near
)

func newPressureTable(s ferrofluid.Spheroid) *PressureTable {
	t := &PressureTable{body: s, weakZ: 1 / (1 + s.Axial*s.Susceptibility), weakR: 1 / (1 + s.Across*s.Susceptibility)}
	scale := s.Saturation / (3 * s.Susceptibility) // where the curve bends: ξ = 3χH/Ms = 1
	if !(scale > 0) || math.IsInf(scale, 0) {
		return t // a fluid that is not magnetic or never saturates: no table
	}
	t.step = scale / pressureSteps
	t.knots = make([]pressureKnot, pressureKnots)
	t.knots[0] = pressureKnot{m: s.Susceptibility, g: s.Susceptibility / 2}
	for k := 1; k < pressureKnots; k++ {
		h := float64(k) * t.step
		m, a := s.M(h)/h, s.Fluid.Pi(field.Mu0*h)/field.Mu0
		t.knots[k] = pressureKnot{
			m: m, dm: t.step * (s.DM(h) - m) / h,
			g: a / (h * h), dg: t.step * (m*h*h - 2*a) / (h * h * h),
		}
	}
	return t
}

// look returns m = M/h at h, h dm/dh and ∫ M dh/h²; ok is false beyond the table.
func (t *PressureTable) look(h float64) (m, slope, g float64, ok bool) {
	x := h / t.step
	k := int(x)
	if !(x < pressureKnots-1) || k >= len(t.knots)-1 {
		return 0, 0, 0, false
	}
	y := x - float64(k)
	a, b := &t.knots[k], &t.knots[k+1]
	rise, up := b.m-a.m, b.g-a.g
	square, cube := 3*rise-2*a.dm-b.dm, a.dm+b.dm-2*rise
	return a.m + y*(a.dm+y*(square+y*cube)), (a.dm + y*(2*square+3*y*cube)) * x,
		a.g + y*(a.dg+y*(3*up-2*a.dg-b.dg+y*(a.dg+b.dg-2*up))), true
}

// Pi returns the pressure in Pa for the squares of the flux density along the axis and
// across it, T².
func (t *PressureTable) Pi(along2, across2 float64) float64 {
	const perMu0 = 1 / field.Mu0
	z2, r2 := along2*(perMu0*perMu0), across2*(perMu0*perMu0)
	if z2+r2 == 0 {
		return 0
	}
	nz, nr := t.body.Axial, t.body.Across
	h := math.Sqrt(z2*t.weakZ*t.weakZ + r2*t.weakR*t.weakR)
	near := h < pressureWeak*t.step // where the fluid is as good as linear
	for range pressureTries {
		m, slope, g, ok := t.look(h)
		if !ok {
			break
		}
		z, r := 1+nz*m, 1+nr*m
		hz2, hr2 := z2/(z*z), r2/(r*r)
		inside := math.Sqrt(hz2 + hr2)
		if near {
			// µ0 (M·H − Σ N M²/2 − ∫ h dM) is greatest at the true magnetisation, so that
			// the error left in h counts by its square.
			d := inside - h
			dm := m + slope // dM/dh
			ratio := (m*h + dm*d) / inside
			a := g*h*h + m*h*d + dm*d*d/2
			return field.Mu0 * (ratio*(hz2*z+hr2*r) - ratio*ratio/2*(nz*hz2+nr*hr2) - ratio*inside*inside + a)
		}
		// Newton for |H inside|/h = 1, whose inverse is nearly straight in h.
		rate := 1 + slope*(hz2*nz/z+hr2*nr/r)/(hz2+hr2)
		next := h * (1 + (inside/h-1)/rate)
		near = math.Abs(next-h) < pressureClose*h
		h = next
	}
	return t.body.PiOf(r3.Vec{X: math.Sqrt(across2), Z: math.Sqrt(along2)})
}
