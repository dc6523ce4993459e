package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// pulseFlags say which pulses the heat command tells of.
type pulseFlags struct {
	starts, volts, width string
	safe                 *output.Target // the chart of safe operation
}

func (f *pulseFlags) declare(flags *flagSet) {
	flags.StringVar(&f.starts, "pulse-from", "", `temperatures of the board before a pulse, e.g. "25 degC, 60 degC" (default: the air's and two on the way to the limit)`)
	flags.StringVar(&f.volts, "pulse-volts", "", `voltages of the pulses, e.g. "12 V, 24 V" (default: the design's and the usual ones)`)
	flags.StringVar(&f.width, "pulse-width", "", `length of the repeated pulses, e.g. "100 ms" (default: drive.kick_time)`)
	f.safe = flags.chart("safe-area", "voltage against the longest on-time")
}

// read returns the temperatures (K), voltages (V) and the width (s).
func (f *pulseFlags) read(d design.Design) (starts, volts []float64, width float64, err error) {
	air, limit := d.Heat.Ambient, d.Limits.Board
	if f.starts == "" {
		starts = []float64{air}
		for _, share := range []float64{1. / 3, 2. / 3} {
			const zero, step = field.ZeroCelsius, 5
			t := zero + step*math.Round((air+share*(limit-air)-zero)/step)
			if t > starts[len(starts)-1]+1 && t < limit-1 {
				starts = append(starts, t)
			}
		}
	} else if starts, err = quantities("--pulse-from", f.starts, quantity.Temperature); err != nil {
		return
	}
	for _, t := range starts {
		if t < air || t >= limit {
			return nil, nil, 0, usageError{fmt.Sprintf("--pulse-from %s: heat.ambient of %s or more is possible, and less than limits.board of %s",
				quantity.Format(t, quantity.Temperature), quantity.Format(air, quantity.Temperature), quantity.Format(limit, quantity.Temperature))}
		}
	}
	if f.volts == "" {
		volts = []float64{5, 12, 24, 48, d.Supply.Voltage, d.Drive.KickVoltage}
	} else if volts, err = quantities("--pulse-volts", f.volts, quantity.Voltage); err != nil {
		return
	}
	for _, v := range volts {
		if v <= 0 || v > 1000 {
			return nil, nil, 0, usageError{fmt.Sprintf("--pulse-volts %s: more than 0 V, up to 1 kV is possible", quantity.Format(v, quantity.Voltage))}
		}
	}
	slices.Sort(volts)
	volts = slices.Compact(volts)
	width = d.Drive.KickTime
	if f.width != "" {
		if width, err = quantity.Parse(f.width, quantity.Time); err != nil {
			return nil, nil, 0, usageError{"--pulse-width: " + err.Error()}
		}
	}
	if width <= 0 {
		width = 50e-3
	}
	if width > 3600 {
		return nil, nil, 0, usageError{fmt.Sprintf("--pulse-width %s: up to an hour is possible", quantity.Format(width, quantity.Time))}
	}
	return starts, volts, width, nil
}

// quantities reads a list separated by commas.
func quantities(flag, text string, d quantity.Dimension) ([]float64, error) {
	var list []float64
	for _, part := range strings.Split(text, ",") {
		v, err := quantity.Parse(strings.TrimSpace(part), d)
		if err != nil {
			return nil, usageError{flag + ": " + err.Error()}
		}
		list = append(list, v)
	}
	if len(list) > 16 {
		return nil, usageError{fmt.Sprintf("%s: %d values; up to 16 are possible", flag, len(list))}
	}
	return list, nil
}

// section works out the pulses, and draws the chart of safe operation to its file and on
// request as the section's figure.
func (f *pulseFlags) section(ctx context.Context, j *job, p *player.Player, figure bool) (render.Section, error) {
	d := j.design
	told := d
	if j.nominal != nil {
		told = *j.nominal
	}
	starts, volts, width, err := f.read(told)
	if err != nil {
		return render.Section{}, err
	}
	pulses := studies.NewPulses(p)
	section, err := render.PulseSection(ctx, d, pulses, starts, volts, width)
	if err != nil || j.nominal != nil || !f.safe.Asked() && !figure {
		return section, err
	}
	curves, err := pulses.Curves(ctx, starts)
	if err != nil {
		return section, err
	}
	if len(curves) == 0 {
		if f.safe.Asked() {
			fmt.Fprintf(j.err, "--%s: %s is not written: up to %s any voltage may stay on continuously\n", f.safe.Flag, f.safe.Path, quantity.Format(pulses.Top(), quantity.Voltage))
		}
		return section, nil
	}
	c := render.SafeAreaChart(d, curves)
	section.Figures = []render.Figure{{Caption: c.Title, Chart: &c}}
	return section, writeChart(f.safe, c)
}
