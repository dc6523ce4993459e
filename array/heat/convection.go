package heat

import (
	"math"

	"lodegrid/field"
)

// Rayleigh returns the Rayleigh number g β ΔT L³/(ν α) of a surface of
// characteristic length (m) that is difference kelvin away from the air. The
// sign of the difference does not matter.
func Rayleigh(air Air, difference, length float64) float64 {
	return field.Gravity * air.Expansion * math.Abs(difference) * length * length * length /
		(air.Viscosity * air.Diffusivity)
}

// NusseltVertical returns the mean Nusselt number of an isothermal vertical
// plate in still air, on its height, for any Rayleigh number (laminar and
// turbulent):
//
//	Nu = {0.825 + 0.387 Ra^(1/6) / [1 + (0.492/Pr)^(9/16)]^(8/27)}²
//
// S. W. Churchill, H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323,
// doi:10.1016/0017-9310(75)90243-4.
func NusseltVertical(ra, pr float64) float64 {
	s := 0.825 + 0.387*math.Pow(ra, 1.0/6)/math.Pow(1+math.Pow(0.492/pr, 9.0/16), 8.0/27)
	return s * s
}

// NusseltHotUp returns the mean Nusselt number of a hot plate facing up (or a
// cold one facing down) on the length area ÷ perimeter:
//
//	Nu = 0.54 Ra^(1/4)   1e4 … 1e7
//	Nu = 0.15 Ra^(1/3)   1e7 … 1e11
//
// W. H. McAdams, Heat Transmission, 3rd ed., McGraw-Hill 1954; the length after
// J. R. Lloyd, W. R. Moran, J. Heat Transfer 96 (1974) 443. The published
// branches meet with a jump of 6 %; here the greater of the two is taken, which
// joins them without a jump at Ra = (0.54/0.15)^12 = 4.7e6 and equals the
// published form below that and above 1e7. Below 1e4 the first is extended.
func NusseltHotUp(ra float64) float64 {
	return math.Max(0.54*math.Sqrt(math.Sqrt(ra)), 0.15*math.Cbrt(ra))
}

// NusseltHotDown returns the mean Nusselt number of a hot plate facing down (or
// a cold one facing up) on the length area ÷ perimeter:
//
//	Nu = 0.27 Ra^(1/4)   1e5 … 1e10
//
// McAdams 1954, as NusseltHotUp. Below 1e5 it is extended, which is where small
// boards lie: expect errors of 20 % and more there.
func NusseltHotDown(ra float64) float64 {
	return 0.27 * math.Sqrt(math.Sqrt(ra))
}

// NusseltForced returns the mean Nusselt number of an isothermal flat plate in a
// stream along it, on its length:
//
//	Nu = 0.664 Re^(1/2) Pr^(1/3)               Re up to 5e5
//	Nu = (0.037 Re^(4/5) − 871) Pr^(1/3)       Re 5e5 … 1e8
//
// F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 5th
// ed., Wiley 2002, eqs. 7.30 and 7.38 (from memory). The branches are joined by
// taking the greater of the two.
func NusseltForced(re, pr float64) float64 {
	return math.Cbrt(pr) * math.Max(0.664*math.Sqrt(re), 0.037*math.Pow(re, 0.8)-871)
}

// NusseltMixed combines natural and forced convection that aid each other or
// cross: Nu³ = Nu_forced³ + Nu_natural³ (Incropera & DeWitt, sect. 9.9, from
// memory). It is at least the greater of the two and at most 26 % above it.
func NusseltMixed(natural, forced float64) float64 {
	if forced == 0 {
		return natural
	}
	return math.Cbrt(natural*natural*natural + forced*forced*forced)
}
