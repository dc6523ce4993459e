package faults

import (
	"math"

	"lodegrid/array/heat"
	"lodegrid/field"
	"lodegrid/field/material"
)

// curve is a coil's heat in watts against its temperature, in equal steps of kelvin with
// straight lines between.
type curve struct {
	from, step float64
	watts      []float64
}

// curveStep is so short that straight lines are within 2e-4 of the drive's own law, K.
const curveStep = 4

// newCurve tabulates watts at temperatures between two, K.
func newCurve(low, high float64, watts func(kelvin float64) float64) curve {
	c := curve{from: low, step: curveStep}
	for t := low; t < high+curveStep; t += curveStep {
		c.watts = append(c.watts, watts(t))
	}
	return c
}

// at returns the heat in watts and its slope in W/K; beyond the ends that at the end.
func (c *curve) at(kelvin float64) (watts, perKelvin float64) {
	x := (kelvin - c.from) / c.step
	k := int(math.Floor(x))
	switch {
	case k < 0:
		return c.watts[0], 0
	case k >= len(c.watts)-1:
		return c.watts[len(c.watts)-1], 0
	}
	rise := c.watts[k+1] - c.watts[k]
	return c.watts[k] + (x-float64(k))*rise, rise / c.step
}

var copper = material.AnnealedCopper.TempCoefficient // 1/K at 20 °C

// asWarm is where copper has led times the resistance that it has at a temperature, K, and how
// fast that goes with the temperature: heat goes by resistance, which what leads to a coil raises.
func asWarm(kelvin, led float64) (alike, slope float64) {
	return field.RoomTemperature + (led*material.Linear(copper, kelvin)-1)/copper, led
}

// load is the coils' heat with a fault: that of the scene, and of the faulty pixels their
// own. It implements heat.Load.
type load struct {
	base   []float64 // W
	faulty []int
	scale  []float64 // of their own heat, one for each; nil for 1
	led    []float64 // every pixel's resistance over the struck one's at one temperature
	own    curve
	// most is what all coils make of the supply's limit at most, W; +Inf for none.
	most float64
}

var _ heat.Load = (*load)(nil)

// Power implements heat.Load.
func (l *load) Power(watts, perKelvin, coil []float64) {
	copy(watts, l.base)
	clear(perKelvin)
	for n, k := range l.faulty {
		alike, slope := asWarm(coil[k], l.led[k])
		watts[k], perKelvin[k] = l.own.at(alike)
		perKelvin[k] *= slope
		if l.scale != nil {
			watts[k], perKelvin[k] = watts[k]*l.scale[n], perKelvin[k]*l.scale[n]
		}
	}
	if math.IsInf(l.most, 1) {
		return
	}
	sum := 0.0
	for _, w := range watts {
		sum += w
	}
	if sum > l.most {
		for i := range watts {
			watts[i] *= l.most / sum
		}
		clear(perKelvin)
	}
}
