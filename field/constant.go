package field

import "math"

// Mu0 is the vacuum magnetic permeability in H/m: CODATA 2022, 1.25663706127(20)e-6
// N/A² (NIST SP 961; the value as quoted by several public packages, the table
// itself not seen). It is 1.3e-10 below the 4π·1e-7 of the SI before 2019.
const Mu0 = 1.25663706127e-6

// Boltzmann is k in J/K, exact in the SI of 2019.
const Boltzmann = 1.380649e-23

// ImageFactor returns κ = (µr − 1)/(µr + 1): the strength of the mirror image of
// a current, or a magnet, in the flat face of a thick, wide piece of linear steel
// of relative permeability muR. It is 0 for air, 1 for µr = +Inf, and NaN for a
// negative muR. (Method of images, W. R. Smythe, Static and Dynamic Electricity;
// J. D. Jackson, Classical Electrodynamics, problem 5.17; both from memory.)
func ImageFactor(muR float64) float64 {
	switch {
	case muR < 0:
		return math.NaN()
	case math.IsInf(muR, 1):
		return 1
	}
	return (muR - 1) / (muR + 1)
}
