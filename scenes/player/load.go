package player

import (
	"math"

	"lodegrid/array/drive"
	"lodegrid/field/material"
)

// frameLoad is the coils' heat over a frame, with that of a scan's diodes beside them. The drive gives each coil's heat at its
// temperature when the frame began; within the frame the coil warms, and its heat
// follows a power of its resistance,
//
//	P(T) = P0 · (R(T)/R(T0))^k
//
// with k = dln P/dln R of the drive's own law at the pixel's level: −1 for a current that
// settles within every pulse, near 0 where L/R is long against the on-time, +1 for a
// current that is held. Over 5 K, more than a frame warms a coil, that is within 0.15 % of
// the law itself, and within 1 % with a freewheel diode where the current just dies out.
type frameLoad struct {
	resistance20 float64   // Ω
	watts        []float64 // at start
	start        []float64 // K
	exponent     []float64 // k
	law          *heatLaw
}

// newFrameLoad returns the load of pixels with a coil's resistance at 20 °C in ohms.
func newFrameLoad(d *drive.Drive, pixels int, resistance20, usual float64) frameLoad {
	return frameLoad{
		resistance20: resistance20, law: newHeatLaw(d, resistance20, usual),
		watts: make([]float64, pixels), start: make([]float64, pixels), exponent: make([]float64, pixels),
	}
}

// ohms is a coil's resistance at an absolute temperature.
func (l *frameLoad) ohms(tempK float64) float64 {
	return l.resistance20 * material.Linear(material.AnnealedCopper.TempCoefficient, tempK)
}

// follow sets the exponents for levels.
func (l *frameLoad) follow(levels []float64) {
	for i, v := range levels {
		l.exponent[i] = l.law.at(v)
	}
}

// Power implements heat.Load.
func (l *frameLoad) Power(watts, perKelvin, coil []float64) {
	slope := l.resistance20 * material.AnnealedCopper.TempCoefficient
	base := l.ohms(0)
	for i, t := range coil {
		p0 := l.watts[i]
		if p0 == 0 {
			watts[i], perKelvin[i] = 0, 0
			continue
		}
		r0, r := base+slope*l.start[i], base+slope*t
		k := l.exponent[i]
		p := p0 * math.Exp(k*math.Log(r/r0))
		watts[i] = p
		perKelvin[i] = p * k * slope / r
	}
}

// heatLaw tabulates how a coil's heat follows its resistance, against its level.
type heatLaw [lawSteps + 1]float64

const lawSteps = 64

// newHeatLaw takes the law at a usual temperature in kelvin.
func newHeatLaw(d *drive.Drive, resistance20, usual float64) *heatLaw {
	var h heatLaw
	alpha := material.AnnealedCopper.TempCoefficient
	r := resistance20 * material.Linear(alpha, usual)
	for j := 1; j < len(h); j++ {
		law := drive.PowerLaw{Drive: d, Level: float64(j) / lawSteps, Resistance20: resistance20, Alpha: alpha}
		if watts, slope := law.At(usual); watts > 0 {
			h[j] = slope / (resistance20 * alpha) * r / watts
		}
	}
	h[0] = h[1]
	return &h
}

// at returns the exponent at a level.
func (h *heatLaw) at(level float64) float64 {
	x := math.Abs(level) * lawSteps
	j := min(int(x), lawSteps-1)
	return h[j] + (x-float64(j))*(h[j+1]-h[j])
}
