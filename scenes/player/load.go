package player

import "lodegrid/field/material"

// frameLoad is the coils' heat over a frame. The drive gives each coil's heat at
// its temperature when the frame began; within the frame the coil warms, and at a
// fixed voltage its heat follows
//
//	P(T) = P0 · g(R(T))/g(R(T0)),  g(R) = R/(R + Ron)²
//
// which is exact when the current has time to settle in each part of a PWM
// period, and when it is smooth over many.
type frameLoad struct {
	resistance20, on float64   // Ω
	watts            []float64 // at start
	start            []float64 // K
}

func (l *frameLoad) alpha() float64 { return material.AnnealedCopper.TempCoefficient }

// Power implements heat.Load.
func (l *frameLoad) Power(watts, perKelvin, coil []float64) {
	slope := l.resistance20 * l.alpha()
	base := l.resistance20 - slope*roomTemperature
	for i, t := range coil {
		p0 := l.watts[i]
		if p0 == 0 {
			watts[i], perKelvin[i] = 0, 0
			continue
		}
		r0, r := base+slope*l.start[i], base+slope*t
		s0, s := r0+l.on, r+l.on
		p := p0 * (r / (s * s)) / (r0 / (s0 * s0))
		watts[i] = p
		perKelvin[i] = p * slope * (l.on - r) / (r * s)
	}
}
