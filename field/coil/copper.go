package coil

// resistivity is that of annealed copper, Ω·m, at tempK kelvin: 1/58 Ω·mm²/m at
// 20 °C (IEC 60028) and 0.00393/K (IEC 60028, from memory).
func resistivity(tempK float64) float64 {
	return 1e-6 / 58 * (1 + 0.00393*(tempK-293.15))
}
