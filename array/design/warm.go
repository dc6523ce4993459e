package design

import "math"

// At is the fluid, and the liquid round it, at a temperature in kelvin: densities change
// evenly with it, viscosities by the same share with each kelvin, and the susceptibility as
// 1/T, as that of independent moments does (R. E. Rosensweig, Ferrohydrodynamics, 1985, from
// memory).
func (f Fluid) At(kelvin float64) Fluid {
	dt := kelvin - f.Temperature
	f.DensityDifference += f.DensityDrift * dt
	f.Density *= 1 - f.Expansion*dt
	thins := math.Exp(f.ViscosityDrift * dt)
	f.Viscosity *= thins
	f.CarrierViscosity *= thins
	f.Susceptibility *= f.Temperature / kelvin
	f.Temperature = kelvin
	return f
}
