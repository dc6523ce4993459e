package ferrofluid

import (
	"fmt"
	"math"

	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/field/root"
)

// Rise returns how much higher, in metres, a free surface of fluid stands where the
// undisturbed flux density is b (tesla) than where there is no field: Π/(Δρ g), with
// densityDifference Δρ > 0 in kg/m³ between the fluid and what lies above it.
//
// This is the ferrohydrodynamic Bernoulli equation. Give p as the Fluid for a
// field along the surface, and as a Body with Layer for one normal to it, whose Pi
// holds the normal jump µ0 M²/2. Surface tension is left out.
func Rise(p Pressure, b, densityDifference float64) quantity.Derived {
	return quantity.Derived{
		Value: p.Pi(b) / (densityDifference * field.Gravity),
		Why: fmt.Sprintf("Π/(Δρ g), Π = µ0 ∫ M dH + µ0 M²/2 at %.4g T normal to the surface = %.5g Pa / (%.5g kg/m³ × %.5g m/s²); surface tension left out",
			b, p.Pi(b), densityDifference, field.Gravity),
	}
}

// Onset is the state at which a flat surface in a field normal to it breaks into
// peaks.
type Onset struct {
	M          float64 // A/m, magnetisation of the fluid
	Inside     float64 // A/m, field strength in the fluid
	Applied    float64 // A/m, field strength without the fluid, and above it
	B          float64 // T, flux density, the same in the fluid, above it and without it
	Wavenumber float64 // 1/m
	Wavelength float64 // m
	Spacing    float64 // m, between neighbouring peaks of the hexagonal pattern
}

// Peaks returns the onset of peaks for a deep layer of the fluid, of density
// difference Δρ > 0 (kg/m³) to the lighter liquid or air above and the tension σ > 0
// (N/m) of its surface. reached is false when the fluid saturates before: then no
// field raises peaks.
//
//	Mc² = (2/µ0)(1 + 1/r) √(g Δρ σ),  r = √((1 + M/H)(1 + dM/dH)),  kc = √(Δρ g/σ)
//
// M. D. Cowley & R. E. Rosensweig, "The interfacial stability of a ferromagnetic
// fluid", J. Fluid Mech. 30 (1967) 671 (abstract seen, formulas from memory). A layer
// thinner than about a wavelength needs more field.
func (f Fluid) Peaks(densityDifference, tension float64) (onset Onset, reached bool, err error) {
	if err := f.Check(); err != nil {
		return Onset{}, false, fmt.Errorf("onset of peaks: %w", err)
	}
	if !(densityDifference > 0) || !(tension > 0) {
		return Onset{}, false, fmt.Errorf("onset of peaks: density difference %v kg/m³ and tension %v N/m, want both above 0", densityDifference, tension)
	}
	k := math.Sqrt(densityDifference * field.Gravity / tension)
	onset = Onset{Wavenumber: k, Wavelength: 2 * math.Pi / k, Spacing: 4 * math.Pi / (k * math.Sqrt(3))}
	if f.Susceptibility == 0 {
		return onset, false, nil
	}
	scale := 2 / field.Mu0 * math.Sqrt(field.Gravity*densityDifference*tension)
	excess := func(h float64) float64 {
		m := f.M(h)
		r := math.Sqrt((1 + m/h) * (1 + f.DM(h)))
		return m*m - scale*(1+1/r)
	}
	// At this H even the linear law gives no more than the least M² ever needed.
	// From there up, look for the first change of sign.
	low := math.Sqrt(scale) / f.Susceptibility
	saturated := 2*low + 1e4*f.Saturation/f.Susceptibility
	high := low
	for excess(high) < 0 {
		if high > saturated {
			return onset, false, nil
		}
		low, high = high, 1.1*high
	}
	_, high = root.Boundary(func(h float64) bool { return excess(h) < 0 }, low, high, 0)
	onset.Inside = high
	onset.M = f.M(high)
	onset.Applied = onset.Inside + onset.M
	onset.B = field.Mu0 * onset.Applied
	return onset, true, nil
}
