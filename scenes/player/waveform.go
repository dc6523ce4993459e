package player

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// Waveform is the current of all rails together over the stretch in which it repeats:
// one PWM period, or one scan, or in mode kick a frame from rest.
type Waveform struct {
	Time    []float64 // s
	Highest []float64 // A, within the step of time
	Mean    []float64 // A, within the step of time; nil where a step is one instant
}

// The samples of a chart of one period, the instants per PWM period and the most
// samples of one over many.
const (
	periodSamples = 800
	perPeriod     = 16
	mostSamples   = 6400
)

// Waveform samples the rails' current of a frame with cold coils, each pixel's period
// starting at its time (shares of a period, nil for all together).
//
// Over many periods the samples stand a whole number of periods and a sixteenth apart,
// so that sixteen in a row go through a period once while its envelope hardly moves.
func (p *Player) Waveform(f scenes.Frame, starts []float64) (Waveform, error) {
	d := p.grid.Design
	p.Reset()
	p.measure()
	period, stretch := 1/d.Drive.Frequency, 0.0
	drv := p.drive
	switch d.Drive.Mode {
	case design.DriveScan:
		stretch = drv.Params().ScanTime
	case design.DriveKick:
		framed, err := Drive(p.grid, f.Duration)
		if err != nil {
			return Waveform{}, err
		}
		drv, stretch = framed, f.Duration
	}
	var w Waveform
	if stretch == 0 {
		w.Highest = make([]float64, periodSamples)
		if err := drv.Sample(w.Highest, f.Levels, p.resistance, starts); err != nil {
			return w, fmt.Errorf("sampling a period: %w", err)
		}
		for k := range w.Highest {
			w.Time = append(w.Time, (float64(k)+0.5)/periodSamples*period)
		}
		return w, nil
	}
	periods := stretch / period
	apart := 1. / perPeriod
	for periods/apart > mostSamples {
		apart++
	}
	samples := make([]float64, max(perPeriod, int(math.Round(periods/apart))))
	if err := drv.Sample(samples, f.Levels, p.resistance, nil); err != nil {
		return w, fmt.Errorf("sampling %d periods: %w", int(periods), err)
	}
	for k := 0; k+perPeriod <= len(samples); k += perPeriod {
		high, sum := 0.0, 0.0
		for _, v := range samples[k : k+perPeriod] {
			high = max(high, v)
			sum += v
		}
		w.Time = append(w.Time, (float64(k)+perPeriod/2.)/float64(len(samples))*stretch)
		w.Highest = append(w.Highest, high)
		w.Mean = append(w.Mean, sum/perPeriod)
	}
	return w, nil
}
