package drive

import "lodegrid/field/material"

// PowerLaw is the heat in watts of one pixel's coil, and of a diode in its path and the steel
// about it, as a function of the coil's temperature, while the pixel holds a level:
//
//	P(T) = R(T) I_rms²(R(T)) + Vs I_mean(R(T)) + Rs I_ripple²(R(T)),  R(T) = R20 [1 + α (T − 293.15 K)]
//
// with the settled PWM current (in mode Kick that of the hold, in mode Scan the
// mean over a scan).
type PowerLaw struct {
	Drive        *Drive
	Pixel        int
	Level        float64
	Resistance20 float64 // Ω at 20 °C
	Alpha        float64 // 1/K at 20 °C
}

// At returns the power in watts and its slope in W/K at a temperature in kelvin,
// which is what a thermal stepper needs to take the feedback implicitly:
// P ≈ At(T0) + slope·(T − T0). The resistance must be positive at the temperature.
func (l PowerLaw) At(temperature float64) (watts, wattsPerKelvin float64) {
	r := l.Resistance20 * material.Linear(l.Alpha, temperature)
	watts, perOhm := l.Drive.copper(l.Pixel, l.Level, r)
	return watts, perOhm * l.Resistance20 * l.Alpha
}

// slopeStep is the relative step in resistance of the slope's central difference:
// the third derivative leaves an error of about its square.
const slopeStep = 1e-4

// copper returns the settled heat of pixel i's coil and its slope in W/Ω.
func (d *Drive) copper(i int, level, resistance float64) (watts, wattsPerOhm float64) {
	if level == 0 {
		return 0, 0
	}
	var mid, low, high PixelState
	h := slopeStep * resistance
	d.steady(&mid, i, level, resistance)
	d.steady(&low, i, level, resistance-h)
	d.steady(&high, i, level, resistance+h)
	heat := func(s *PixelState) float64 { return s.Copper + s.OnBoard }
	return heat(&mid), (heat(&high) - heat(&low)) / (2 * h)
}

// Heating is the settled heat of every coil at given levels as a function of their
// temperatures, in the form a thermal stepper asks for.
type Heating struct {
	Drive        *Drive
	Levels       []float64 // one per pixel
	Resistance20 float64   // Ω at 20 °C
	Alpha        float64   // 1/K at 20 °C
	Led          []float64 // by what each pixel's tracks to its driver raise its resistance; nil where they are not counted
}

// Power writes each pixel's heat in watts and its slope in W/K at the coil
// temperatures in kelvin. All slices have one entry per pixel; nothing is
// allocated. A temperature so low that the linear law gives no positive resistance
// yields NaN.
func (h *Heating) Power(watts, perKelvin, coil []float64) {
	cold := func(i int) float64 {
		if h.Led != nil {
			return h.Resistance20 * h.Led[i]
		}
		return h.Resistance20
	}
	d := h.Drive
	if d.p.Series == 1 {
		for i, t := range coil {
			watts[i], perKelvin[i] = PowerLaw{d, i, h.Levels[i], cold(i), h.Alpha}.At(t)
		}
		return
	}
	// In a string the current i(r) follows the mean r of the resistances, and a coil's heat is
	// i² of its own R: with P = i² r and its slope P',  ∂(i² R)/∂R = P/r + (P' − P/r) R/(n r).
	for i := range coil {
		if d.first(i) {
			from, to := d.string(i)
			r, n := 0.0, float64(to-from)
			for k := from; k < to; k++ {
				watts[k] = cold(k) * material.Linear(h.Alpha, coil[k])
				r += watts[k] / n
			}
			all, slope := d.copper(i, h.Levels[i], r)
			for k := from; k < to; k++ {
				own := watts[k] / r
				watts[k], perKelvin[k] = all*own, (all/r+(slope-all/r)*own/n)*cold(k)*h.Alpha
			}
		}
	}
}
