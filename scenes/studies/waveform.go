package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Waveform is the current of all rails together over the stretch in which it repeats:
// one PWM period, or one scan, or in mode kick a frame from rest.
type Waveform struct {
	Time    []float64 // s
	Highest []float64 // A, within the step of time
	Mean    []float64 // A, within the step of time; nil where a step is one instant
}

// The samples of a chart of one period; the instants per PWM period and the most steps of
// one over many.
const (
	periodSamples = 800
	perPeriod     = 64
	mostSteps     = 240
)

// SampleWaveform samples the rails' current of a frame with cold coils, each pixel's period
// starting at its time (shares of a period, nil for all together).
func SampleWaveform(ctx context.Context, g *grid.Grid, f scenes.Frame, starts []float64) (Waveform, error) {
	d := g.Design
	c, err := newCold(g)
	if err != nil {
		return Waveform{}, err
	}
	period := 1 / d.Drive.Frequency
	switch d.Drive.Mode {
	case design.DriveScan:
		scan := c.drive.Params().ScanTime
		row := math.Max(1, math.Round(scan/float64(d.Turns())/period))
		return c.envelope(ctx, c.drive, f.Levels, row*float64(d.Turns()), scan)
	case design.DriveKick:
		// Samples stand k periods and a 64th apart, so that 64 in a row go through a
		// period once while its envelope hardly moves; the frame is cut to a whole
		// number of such rounds.
		round := 1.0
		if n := math.Ceil(f.Duration / period / perPeriod / mostSteps); n > 1 || f.Duration/period > mostSteps {
			round = perPeriod*n + 1
		}
		periods := math.Max(1, math.Floor(f.Duration/period/round)) * round
		cut := g.Drive(periods * period)
		return c.envelope(ctx, cut, f.Levels, periods/round, periods*period)
	}
	w := Waveform{Time: make([]float64, periodSamples), Highest: make([]float64, periodSamples)}
	if err := c.drive.Sample(w.Highest, f.Levels, c.resistance, starts); err != nil {
		return w, fmt.Errorf("sampling a period: %w", err)
	}
	for k := range w.Time {
		w.Time[k] = (float64(k) + 0.5) / periodSamples * period
	}
	return w.closed(period), nil
}

// envelope samples a stretch of seconds in rounds of perPeriod instants each, and of each
// round keeps the highest and the mean.
func (c *cold) envelope(ctx context.Context, drv *drive.Drive, levels []float64, rounds, seconds float64) (Waveform, error) {
	n := int(rounds)
	sum, one := make([]float64, n*perPeriod), make([]float64, n*perPeriod)
	// Cold coils of one row at one level are alike: one stands for all of them.
	type kind struct {
		row   int
		level float64
	}
	count, first := map[kind]float64{}, map[kind]int{}
	var order []kind
	for i, v := range levels {
		if v == 0 {
			continue
		}
		k := kind{level: v}
		if drv.Params().Mode == drive.Scan {
			k.row = i / c.grid.Design.Grid.Cols
		}
		if count[k] == 0 {
			first[k], order = i, append(order, k)
		}
		count[k]++
	}
	single := make([]float64, len(levels))
	for _, k := range order {
		if err := ctx.Err(); err != nil {
			return Waveform{}, err
		}
		clear(single)
		c.grid.Design.Light(single, first[k], k.level)
		if err := drv.Sample(one, single, c.resistance, nil); err != nil {
			return Waveform{}, fmt.Errorf("sampling %d periods: %w", n, err)
		}
		for j, v := range one {
			sum[j] += count[k] / float64(c.grid.Design.Coils()) * v
		}
	}
	var w Waveform
	each := max(1, n/mostSteps)
	for k := 0; k < n; k += each {
		part := sum[k*perPeriod : min(k+each, n)*perPeriod]
		high, mean := 0.0, 0.0
		for _, v := range part {
			high = max(high, v)
			mean += v / float64(len(part))
		}
		w.Time = append(w.Time, (float64(k)+float64(len(part))/perPeriod/2)/rounds*seconds)
		w.Highest, w.Mean = append(w.Highest, high), append(w.Mean, mean)
	}
	return w.closed(seconds), nil
}

// closed lets a waveform begin at 0 and end at the stretch's end.
func (w Waveform) closed(seconds float64) Waveform {
	both := func(v []float64) []float64 {
		if v == nil {
			return nil
		}
		return append(append([]float64{v[0]}, v...), v[len(v)-1])
	}
	w.Time, w.Highest, w.Mean = both(w.Time), both(w.Highest), both(w.Mean)
	w.Time[0], w.Time[len(w.Time)-1] = 0, seconds
	return w
}
