package heat

import (
	"sort"

	"lodegrid/field"
)

// Air holds the properties of air that convection needs.
type Air struct {
	Viscosity    float64 // ν, kinematic, m²/s
	Diffusivity  float64 // α, thermal, m²/s
	Conductivity float64 // k, W/(m·K)
	Prandtl      float64 // ν/α as the table prints it
	Expansion    float64 // β, 1/K
}

// airRow is one line of the air table; density is kept so that a test can check
// the columns against each other.
type airRow struct {
	celsius, density, cp, k, alpha, mu, nu, pr float64
}

// airTable is dry air at 1 atm.
//
// Source: Y. A. Çengel, Introduction to Thermodynamics and Heat Transfer, 2nd
// ed., McGraw-Hill 2008, Table A-22 (Table A-15 in Heat Transfer, 3rd ed.,
// Table A-9 in Fluid Mechanics), read in online copies of the table.
var airTable = []airRow{
	{-150, 2.866, 983, 0.01171, 4.158e-6, 8.636e-6, 3.013e-6, 0.7246},
	{-100, 2.038, 966, 0.01582, 8.036e-6, 1.189e-5, 5.837e-6, 0.7263},
	{-50, 1.582, 999, 0.01979, 1.252e-5, 1.474e-5, 9.319e-6, 0.7440},
	{-40, 1.514, 1002, 0.02057, 1.356e-5, 1.527e-5, 1.008e-5, 0.7436},
	{-30, 1.451, 1004, 0.02134, 1.465e-5, 1.579e-5, 1.087e-5, 0.7425},
	{-20, 1.394, 1005, 0.02211, 1.578e-5, 1.630e-5, 1.169e-5, 0.7408},
	{-10, 1.341, 1006, 0.02288, 1.696e-5, 1.680e-5, 1.252e-5, 0.7387},
	{0, 1.292, 1006, 0.02364, 1.818e-5, 1.729e-5, 1.338e-5, 0.7362},
	{5, 1.269, 1006, 0.02401, 1.880e-5, 1.754e-5, 1.382e-5, 0.7350},
	{10, 1.246, 1006, 0.02439, 1.944e-5, 1.778e-5, 1.426e-5, 0.7336},
	{15, 1.225, 1007, 0.02476, 2.009e-5, 1.802e-5, 1.470e-5, 0.7323},
	{20, 1.204, 1007, 0.02514, 2.074e-5, 1.825e-5, 1.516e-5, 0.7309},
	{25, 1.184, 1007, 0.02551, 2.141e-5, 1.849e-5, 1.562e-5, 0.7296},
	{30, 1.164, 1007, 0.02588, 2.208e-5, 1.872e-5, 1.608e-5, 0.7282},
	{35, 1.145, 1007, 0.02625, 2.277e-5, 1.895e-5, 1.655e-5, 0.7268},
	{40, 1.127, 1007, 0.02662, 2.346e-5, 1.918e-5, 1.702e-5, 0.7255},
	{45, 1.109, 1007, 0.02699, 2.416e-5, 1.941e-5, 1.750e-5, 0.7241},
	{50, 1.092, 1007, 0.02735, 2.487e-5, 1.963e-5, 1.798e-5, 0.7228},
	{60, 1.059, 1007, 0.02808, 2.632e-5, 2.008e-5, 1.896e-5, 0.7202},
	{70, 1.028, 1007, 0.02881, 2.780e-5, 2.052e-5, 1.995e-5, 0.7177},
	{80, 0.9994, 1008, 0.02953, 2.931e-5, 2.096e-5, 2.097e-5, 0.7154},
	{90, 0.9718, 1008, 0.03024, 3.086e-5, 2.139e-5, 2.201e-5, 0.7132},
	{100, 0.9458, 1009, 0.03095, 3.243e-5, 2.181e-5, 2.306e-5, 0.7111},
	{120, 0.8977, 1011, 0.03235, 3.565e-5, 2.264e-5, 2.522e-5, 0.7073},
	{140, 0.8542, 1013, 0.03374, 3.898e-5, 2.345e-5, 2.745e-5, 0.7041},
	{160, 0.8148, 1016, 0.03511, 4.241e-5, 2.420e-5, 2.975e-5, 0.7014},
	{180, 0.7788, 1019, 0.03646, 4.593e-5, 2.504e-5, 3.212e-5, 0.6992},
	{200, 0.7459, 1023, 0.03779, 4.954e-5, 2.577e-5, 3.455e-5, 0.6974},
	{250, 0.6746, 1033, 0.04104, 5.890e-5, 2.760e-5, 4.091e-5, 0.6946},
	{300, 0.6158, 1044, 0.04418, 6.871e-5, 2.934e-5, 4.765e-5, 0.6935},
	{350, 0.5664, 1056, 0.04721, 7.892e-5, 3.101e-5, 5.475e-5, 0.6937},
	{400, 0.5243, 1069, 0.05015, 8.951e-5, 3.261e-5, 6.219e-5, 0.6948},
	{450, 0.4880, 1081, 0.05298, 1.004e-4, 3.415e-5, 6.997e-5, 0.6965},
	{500, 0.4565, 1093, 0.05572, 1.117e-4, 3.563e-5, 7.806e-5, 0.6986},
	{600, 0.4042, 1115, 0.06093, 1.352e-4, 3.846e-5, 9.515e-5, 0.7037},
	{700, 0.3627, 1135, 0.06581, 1.598e-4, 4.111e-5, 1.133e-4, 0.7092},
}

// AirAt returns the properties of dry air at 1 atm and the temperature, in
// kelvin, interpolated linearly in the table; β = 1/T as for an ideal gas.
// Outside the table (123 K to 973 K) the nearest line is used, with β still 1/T.
func AirAt(temperature float64) Air {
	c := temperature - field.ZeroCelsius
	n := len(airTable)
	i := sort.Search(n, func(i int) bool { return airTable[i].celsius > c })
	i = min(max(i, 1), n-1)
	a, b := &airTable[i-1], &airTable[i]
	f := (c - a.celsius) / (b.celsius - a.celsius)
	f = min(max(f, 0), 1)
	mix := func(x, y float64) float64 { return x + f*(y-x) }
	return Air{
		Viscosity:    mix(a.nu, b.nu),
		Diffusivity:  mix(a.alpha, b.alpha),
		Conductivity: mix(a.k, b.k),
		Prandtl:      mix(a.pr, b.pr),
		Expansion:    1 / temperature,
	}
}
