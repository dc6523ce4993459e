package heat

import (
	"lodegrid/field/material"
)

// Load is the heat made in the coils. Power writes, for each pixel, the power in
// watts and its slope in W/K at the coil temperatures given in kelvin. It must
// not keep or change the slices and should not allocate: it is called once or a
// few times per step. All three slices have Rows*Cols entries.
//
// Pass a pointer to the load; what it holds may change between steps.
type Load interface {
	Power(watts, perKelvin, coil []float64)
}

// Copper is a winding whose resistance follows the linear law of IEC 60028,
//
//	R(T) = R20 [1 + α (T − 293.15 K)]
type Copper struct {
	Resistance20 float64 // Ω at 20 °C
	Alpha        float64 // 1/K; 0.00393 for annealed copper
}

// Resistance returns R in ohms at a temperature in kelvin.
func (c Copper) Resistance(temperature float64) float64 {
	return c.Resistance20 * material.Linear(c.Alpha, temperature)
}

// FixedPower is a load that does not depend on temperature.
type FixedPower struct {
	Watts []float64 // one per pixel
}

// Power implements Load.
func (f *FixedPower) Power(watts, perKelvin, coil []float64) {
	for i := range watts {
		watts[i] = f.Watts[i]
	}
	clear(perKelvin)
}

// VoltageDrive puts a voltage across each coil in series with a switch,
//
//	P = share · (i² R(T) + i Vd),  i = (V − Vd)/(R(T) + R_series)
//
// with a diode beside it that drops Vd, which falls with temperature where the coil has more resistance than the
// switch.
type VoltageDrive struct {
	Copper Copper
	Volts  float64
	Series float64   // Ω, of switches and wiring outside the coil
	Diode  float64   // V, of a diode in its path, whose heat counts as the coil's
	Share  []float64 // share of the time (duty) per pixel, 0…1; nil = 1 everywhere
}

// Power implements Load.
func (d *VoltageDrive) Power(watts, perKelvin, coil []float64) {
	volts := max(0, d.Volts-d.Diode)
	r0 := d.Copper.Resistance(0)
	r1 := d.Copper.Resistance20 * d.Copper.Alpha
	perKelvin = perKelvin[:len(coil)]
	watts = watts[:len(coil)]
	for i, t := range coil {
		r := r0 + r1*t
		inv := 1 / (r + d.Series)
		amps := volts * inv
		p := amps * amps
		share := 1.0
		if d.Share != nil {
			share = d.Share[i]
		}
		watts[i] = share * (p*r + amps*d.Diode)
		perKelvin[i] = share * (p*(d.Series-r) - amps*d.Diode) * inv * r1
	}
}

// CurrentDrive sends a current through each coil,
//
//	P = share · I² R(T)
//
// which grows with temperature and so can run away.
type CurrentDrive struct {
	Copper Copper
	Amps   float64
	Share  []float64 // share of full power per pixel (duty, or level squared); nil = 1 everywhere
}

// Power implements Load.
func (d *CurrentDrive) Power(watts, perKelvin, coil []float64) {
	i2 := d.Amps * d.Amps
	r0 := i2 * d.Copper.Resistance(0)
	r1 := i2 * d.Copper.Resistance20 * d.Copper.Alpha
	perKelvin = perKelvin[:len(coil)]
	watts = watts[:len(coil)]
	if d.Share == nil {
		for i, t := range coil {
			watts[i] = r0 + r1*t
			perKelvin[i] = r1
		}
		return
	}
	share := d.Share[:len(coil)]
	for i, t := range coil {
		s := share[i]
		watts[i] = s * (r0 + r1*t)
		perKelvin[i] = s * r1
	}
}
