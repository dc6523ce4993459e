package drive

import (
	"fmt"
	"math"
)

// Stretch is a coil's current over a stretch of time.
type Stretch struct {
	Seconds    float64 // how long it lasts; +Inf where it goes on
	Average    float64 // A, signed
	MeanSquare float64 // A²

	pulses pulses // the settled current, for its ripple
}

// Course is what a level means in the drive's mode: the current of a pixel's coil from
// the moment it is lit, stretch by stretch.
type Course struct {
	// Kick is the current from rest for the kick's time, mode kick; zero in the others.
	Kick Stretch
	// On is the settled current that follows: held, or in mode scan that of the row's
	// turn, which comes round after every scan and takes Share of it. What a current
	// takes to die out after a turn is counted into it.
	On    Stretch
	Share float64 // of the time, 0…1; 1 but in mode scan
}

// Mean is the settled current's mean over time, A: what a field averaged over time goes
// with.
func (c Course) Mean() float64 { return c.On.Average * c.Share }

// MeanSquare is the settled current's mean square over time, A²: what heat goes with.
func (c Course) MeanSquare() float64 { return c.On.MeanSquare * c.Share }

// Course works out what a level −1…1 means for pixel i, its coil at a resistance in ohms. It panics
// where there is no such pixel or resistance, or the bridge gives no such level.
func (d *Drive) Course(i int, level, resistance float64) Course {
	if i < 0 || i >= d.Pixels() || !(level >= d.lowest && level <= 1) || !(resistance > 0) || math.IsInf(resistance, 1) {
		panic(fmt.Sprintf("drive: level %g of pixel %d at %g Ω", level, i, resistance))
	}
	c := Course{Share: 1}
	var s PixelState
	d.steady(&s, i, level, resistance)
	c.On = Stretch{Seconds: math.Inf(1), Average: s.Average, MeanSquare: s.RMS * s.RMS, pulses: d.held(i, level, resistance)}
	switch d.p.Mode {
	case Scan:
		n, period := d.slot(d.p.ScanTime)
		c.Share = n * period / d.p.ScanTime
		c.On = Stretch{Seconds: n * period, Average: s.Average / c.Share, MeanSquare: s.RMS * s.RMS / c.Share, pulses: c.On.pulses}
	case Kick:
		if d.p.KickTime == 0 {
			break
		}
		var k PixelState
		d.kickFrame(&k, i, level, resistance, d.p.KickTime)
		c.Kick = Stretch{Seconds: d.p.KickTime, Average: k.Average, MeanSquare: k.RMS * k.RMS, pulses: d.kicked(i, level, resistance)}
	}
	return c
}
