package drive

import "math"

// Rail is what the grid takes from one rail over a stretch of time.
type Rail struct {
	Voltage   float64 // V
	Average   float64 // A
	RMS       float64 // A
	Peak      float64 // A, highest at any instant
	Low       float64 // A, lowest at any instant
	PhasePeak float64 // A, peak of what is switched on together: one start time, one row, one kick
	Error     float64 // A, bound on the error of Peak and Low
}

// Power returns the mean power taken from the rail, W.
func (r Rail) Power() float64 { return r.Voltage * r.Average }

// Load is what the grid takes from its rails.
type Load struct {
	Supply Rail
	Boost  Rail    // kick or scan rail; its currents are 0 when the supply serves it
	Time   float64 // s, the stretch the figures span: one PWM period, one scan or one frame
	Spread Spread  // mode Stagger: what staggering achieved
}

// Spread compares ways to start the pixels' periods, by the peak current in
// amperes.
type Spread struct {
	InPhase float64 // all together
	Uniform float64 // evenly, in the order of the pixels
	Best    float64 // as chosen for this frame
	Floor   float64 // no stagger can be lower: the average, and the greatest single pixel
}

// tally integrates a rail's current.
type tally struct {
	time, q, q2 float64
	peak, low   float64
	phase       float64
	begun       bool
}

func (t *tally) reach(i float64) {
	if !t.begun {
		t.peak, t.low, t.begun = i, i, true
		return
	}
	if i > t.peak {
		t.peak = i
	}
	if i < t.low {
		t.low = i
	}
}

func (t *tally) idle(time float64) {
	if time > 0 {
		t.time += time
		t.reach(0)
	}
}

func (t *tally) rail(volts, err float64) Rail {
	r := Rail{Voltage: volts, Peak: t.peak, Low: t.low, PhasePeak: t.phase, Error: err}
	if t.time > 0 {
		r.Average = t.q / t.time
		r.RMS = math.Sqrt(math.Max(0, t.q2) / t.time)
	}
	return r
}

// repeat adds n further copies of what was counted since an earlier state.
func (t *tally) repeat(was *tally, n float64) {
	t.time += n * (t.time - was.time)
	t.q += n * (t.q - was.q)
	t.q2 += n * (t.q2 - was.q2)
}
