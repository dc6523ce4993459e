package ferrofluid

import (
	"math"

	"lodegrid/field"
)

// Brownian is the time in seconds in which the magnetisation of grains that turn in their
// liquid follows a field, 3Vη/(kT) with V the volume of a grain with what clings to it:
// its outer diameter in m, viscosity in Pa·s, temperature in K (W. F. Brown, Phys. Rev. 130
// (1963) 1677, from memory; as used with the fluid's own viscosity by A. Pshenichnikov, A.
// Lebedev & A. O. Ivanov, Nanomaterials 9 (2019) 1711). Small grains' magnetisation turns
// inside them and is faster (Néel).
func Brownian(diameter, viscosity, tempK float64) float64 {
	return 3 * math.Pi / 6 * diameter * diameter * diameter * viscosity / (field.Boltzmann * tempK)
}

// Lag is the time in seconds by which the magnetisation of a body with a demagnetising
// factor lags behind the field that there is without it, for weak fields: of a fluid that
// follows the field inside by χ/(1 + iωτ) it is χ/(1 + Nχ)/(1 + iωτ'), τ' = τ/(1 + Nχ).
// The body's poles shorten the time.
func (b Body) Lag(relaxation float64) float64 {
	return relaxation / (1 + b.Demagnetisation*b.Susceptibility)
}
