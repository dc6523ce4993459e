package ferrofluid

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Fluid is a ferrofluid's magnetisation law, M(H) = Ms L(3χH/Ms) with Langevin's L.
type Fluid struct {
	Susceptibility float64 // initial, χ = dM/dH at H = 0, SI, ≥ 0
	Saturation     float64 // Ms in A/m, > 0; +Inf makes a linear fluid, M = χH
}

// Check returns an error that names the value out of range, or nil.
func (f Fluid) Check() error {
	if !(f.Susceptibility >= 0) || math.IsInf(f.Susceptibility, 0) {
		return fmt.Errorf("ferrofluid: susceptibility %v, want a finite number from 0 up", f.Susceptibility)
	}
	if !(f.Saturation > 0) {
		return fmt.Errorf("ferrofluid: saturation %v A/m, want a number above 0, or +Inf for a linear fluid", f.Saturation)
	}
	return nil
}

// linear reports whether the fluid never saturates.
func (f Fluid) linear() bool { return math.IsInf(f.Saturation, 1) }

// M returns the magnetisation in A/m at the field strength h in A/m inside the fluid.
func (f Fluid) M(h float64) float64 {
	if f.linear() {
		return f.Susceptibility * h
	}
	return f.Saturation * Langevin(3*f.Susceptibility*h/f.Saturation)
}

// DM returns dM/dH, the differential susceptibility, at h in A/m.
func (f Fluid) DM(h float64) float64 {
	if f.linear() {
		return f.Susceptibility
	}
	return 3 * f.Susceptibility * LangevinSlope(3*f.Susceptibility*h/f.Saturation)
}

// Pi returns the magnetic pressure µ0 ∫ M dH in Pa from zero to H = b/µ0, where b is the
// flux density in tesla that the field would have in air:
//
//	Π = µ0 Ms²/(3χ) ln(sinh ξ/ξ),  ξ = 3χH/Ms
//
// It takes the fluid as transparent to the field: see Body for what a body of fluid
// does to the field in itself. Only |b| counts.
func (f Fluid) Pi(b float64) float64 {
	if f.linear() {
		return f.Susceptibility * b * b / (2 * field.Mu0)
	}
	if f.Susceptibility == 0 {
		return 0
	}
	xi := 3 * f.Susceptibility / (field.Mu0 * f.Saturation) * b
	return field.Mu0 * f.Saturation * f.Saturation / (3 * f.Susceptibility) * LogSinhOver(xi)
}

// DPi returns dΠ/db in Pa/T, which is the magnetisation M(b/µ0) in A/m.
func (f Fluid) DPi(b float64) float64 { return f.M(b / field.Mu0) }

// Pressure is the magnetic pressure in a body of fluid as a function of the size of the
// flux density that the field has without it; Fluid and Body are such.
type Pressure interface {
	Pi(b float64) float64  // Pa
	DPi(b float64) float64 // Pa/T
}

// Directed is Pressure by the flux density's direction too: the pressure and its
// gradient, which is the magnetisation. Fluid, Body and Spheroid are such.
type Directed interface {
	PiOf(b r3.Vec) float64 // Pa
	MOf(b r3.Vec) r3.Vec   // A/m
}

// PiOf implements Directed.
func (f Fluid) PiOf(b r3.Vec) float64 { return f.Pi(r3.Norm(b)) }

// MOf implements Directed.
func (f Fluid) MOf(b r3.Vec) r3.Vec { return along(b, f.DPi) }

// PiOf implements Directed: the poles weaken a field of any direction alike.
func (b Body) PiOf(flux r3.Vec) float64 { return b.Pi(r3.Norm(flux)) }

// MOf implements Directed.
func (b Body) MOf(flux r3.Vec) r3.Vec { return along(flux, b.DPi) }

// along is a magnetisation along a flux density.
func along(b r3.Vec, m func(float64) float64) r3.Vec {
	size := r3.Norm(b)
	if size == 0 {
		return r3.Vec{}
	}
	return r3.Scale(m(size)/size, b)
}

// Body is an ellipsoidal body of fluid in a field that hardly varies across it. Its own
// poles weaken the field inside to H = b/µ0 − N M.
type Body struct {
	Fluid
	Demagnetisation float64 // N, 0…1: 1/3 for a sphere, Layer, or 0 for a needle along the field
}

// Demagnetising factors along the field (textbook values, from memory).
const (
	Layer = 1. // a wide flat layer, field normal to it
)

// Inside returns the field strength inside, in A/m, when it is h in A/m without the
// body.
func (b Body) Inside(h float64) float64 {
	if b.Demagnetisation == 0 || h == 0 || math.IsInf(h, 0) || math.IsNaN(h) {
		return h
	}
	// x + N M(x) − h rises and bends down for x > 0: from the left Newton's
	// steps climb to the root without passing it.
	y := math.Abs(h)
	x := y / (1 + b.Demagnetisation*b.Susceptibility)
	for range 60 {
		step := (y - x - b.Demagnetisation*b.M(x)) / (1 + b.Demagnetisation*b.DM(x))
		x += step
		if step <= 1e-15*x {
			break
		}
	}
	return math.Copysign(x, h)
}

// DPi implements Pressure: the magnetisation in A/m, which is the force per volume
// per gradient of the undisturbed flux density.
func (b Body) DPi(flux float64) float64 { return b.M(b.Inside(flux / field.Mu0)) }

// Pi implements Pressure: ∫ M db of the undisturbed field b, that is µ0 ∫ M dH inside and
// µ0 N M²/2.
func (b Body) Pi(flux float64) float64 {
	h := b.Inside(flux / field.Mu0)
	m := b.M(h)
	return b.Fluid.Pi(field.Mu0*h) + field.Mu0*b.Demagnetisation*m*m/2
}
