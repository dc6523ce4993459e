package design

import "math"

// At is the fluid, and the liquid round it, at a temperature in kelvin: densities change
// evenly with it, viscosities by Andrade's law, ln η = A + B/T (from memory), and the
// susceptibility as 1/T, as that of independent moments does (R. E. Rosensweig,
// Ferrohydrodynamics, 1985, from memory).
func (f Fluid) At(kelvin float64) Fluid {
	dt := kelvin - f.Temperature
	f.DensityDifference += f.DensityDrift * dt
	f.Density *= 1 - f.Expansion*dt
	cools := f.Temperature / kelvin
	thins := math.Exp(f.ViscosityDrift * dt * cools)
	f.Viscosity *= thins
	f.CarrierViscosity *= thins
	f.ViscosityDrift *= cools * cools
	f.Susceptibility *= cools
	f.Temperature = kelvin
	return f
}
