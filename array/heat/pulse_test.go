package heat

import (
	"errors"
	"math"
	"testing"
)

// rcPixel is the one linear pixel with a closed form.
func rcPixel() (Params, Lumped) {
	return Params{Rows: 1, Cols: 1, Ambient: 293.15, Tolerance: 1e-4, Ceiling: 2000,
		Layers: []Layer{{Capacity: 15, Front: 0.01}}, Front: Film{Coefficient: 5}}, Lumped{20, 15, 293.15}
}

func power(watts ...float64) func(level, share float64) Load {
	return func(level, share float64) Load {
		w := append([]float64(nil), watts...)
		for i := range w {
			w[i] *= level * share
		}
		return &FixedPower{w}
	}
}

// What a linear pixel stands of pulses against its closed forms.
func TestPulsesClosedForm(t *testing.T) {
	p, l := rcPixel()
	n := mustNew(t, p)
	const start, limit = 313.15, 393.15
	at := func(watts, width float64) Pulse {
		t.Helper()
		r, err := n.Pulses(t.Context(), PulseSpec{Load: func(share float64) Load { return power(1)(watts, share) }, Start: start, Limit: limit, Width: width})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	// 4 W ends at 373 K: it may stay on.
	if r := at(4, 0); !math.IsInf(r.Longest, 1) || r.MaxDuty != 1 || r.Period != r.Width || r.Period != Horizon {
		t.Errorf("4 W: %+v", r)
	}
	for _, watts := range []float64{10, 200} {
		r := at(watts, 0)
		near(t, "longest", r.Longest, l.TimeTo(limit, start, watts, 0), 1e-5)
		near(t, "duty", r.MaxDuty, 100/(watts*20), 1e-5)
		near(t, "width", r.Width, r.Longest/2, 1e-15)
		near(t, "period", r.Period, l.RepeatPeriod(limit, watts, r.Width), 2e-3)
	}
	if got, _ := n.Hottest(0); math.Abs(got-start) > 1e-9 {
		t.Errorf("the network is left at %g K", got)
	}
	n.Start(limit)
	cool, _, err := n.Until(t.Context(), power(1)(0, 0), start+2, Horizon)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "cool-down", cool, l.TimeTo(start+2, limit, 0, 0), 1e-5)
	// A width longer than the longest pulse never fits.
	if r := at(200, 100); !math.IsInf(r.Period, 1) {
		t.Errorf("%+v", r)
	}
}

// A copper coil on a constant current: the time to the limit by quadrature of
// dt = C dT/(P(T) − loss(T)), with Film's own loss, not its table.
func TestPulseNonlinear(t *testing.T) {
	p := board(1, 1, 1)
	p.Front.Length, p.Back.Length = 0.2, 0.2
	p.Tolerance, p.Ceiling = 1e-4, 1000
	n := mustNew(t, p)
	drive := &CurrentDrive{Copper{3, 0.00393}, 1.5, nil}
	const limit = 403.15
	got, reached, err := n.Until(t.Context(), drive, limit, 1e4)
	if err != nil || !reached {
		t.Fatal(err, reached)
	}
	speed := func(temp float64) float64 {
		q, _ := p.Front.Flux(temp, p.Ambient, p.Ambient)
		return (1.5*1.5*drive.Copper.Resistance(temp) - 2*1.44e-4*q) / 1.2
	}
	want, steps := 0.0, 4000
	dt := (limit - p.Ambient) / float64(steps)
	for i := range steps {
		a := p.Ambient + float64(i)*dt
		want += dt / 6 * (1/speed(a) + 4/speed(a+dt/2) + 1/speed(a+dt))
	}
	near(t, "time to the limit", got, want, 1e-4)
}

// What is told of a stack's pulses holds: a pulse as long as Longest ends at the
// limit, pulses at Period stay at or below it for ever and come within a hair.
func TestPulsesOfAStack(t *testing.T) {
	p := board(1, 1, 3)
	p.Front.Length, p.Back.Length = 0.2, 0.2
	p.Tolerance = 1e-3
	n := mustNew(t, p)
	var table []Pulse
	for _, volts := range []float64{6, 12} {
		spec := PulseSpec{Start: 303.15, Limit: 383.15, Load: func(share float64) Load {
			return &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: volts, Series: 0.1, Share: []float64{share}}
		}}
		r, err := n.Pulses(t.Context(), spec)
		if err != nil {
			t.Fatal(err)
		}
		table = append(table, r)
		n.Start(spec.Start)
		for range 500 {
			if err := n.Step(t.Context(), r.Longest/500, spec.Load(1)); err != nil {
				t.Fatal(err)
			}
		}
		near(t, "end of the longest pulse", n.Temperatures(0)[0]-p.Ambient, spec.Limit-p.Ambient, 1e-4)
		n.Start(spec.Start)
		peak := 0.0
		for k := range 4000 {
			for i := range 2 {
				seconds, share := r.Width, 1.0
				if i == 1 {
					seconds, share = r.Period-r.Width, 0
				}
				if err := n.Step(t.Context(), seconds, spec.Load(share)); err != nil {
					t.Fatal(err)
				}
				if k > 3000 {
					peak = math.Max(peak, n.Temperatures(0)[0])
				}
			}
		}
		if peak > spec.Limit+0.1 || peak < spec.Limit-0.5 {
			t.Errorf("%g V: pulses of %g s every %g s peak at %g K, limit %g K", volts, r.Width, r.Period, peak, spec.Limit)
		}
	}
	if a, b := table[0], table[1]; !(b.Longest < a.Longest && b.MaxDuty < a.MaxDuty) {
		t.Errorf("more volts must allow less: %+v, %+v", a, b)
	}
}

// Steps a tenth as long change the time of a rise or of a fall by less than is told: winding and
// stack with time constants from 1 or 10 ms to minutes, pulses of 0.1 ms to half a minute, a pixel
// lit that is not the first of those as hot.
func TestUntilError(t *testing.T) {
	shortest, longest := math.Inf(1), 0.0
	for _, first := range []Stage{{Time: 0.01, Mean: 0.5, Hottest: 1}, {Time: 0.001, Mean: 0.3, Hottest: 0.3}} {
		p := board(8, 8, 2)
		p.Stages = []Stage{first, {Time: 0.3, Mean: 2, Hottest: 9}, {Time: 10, Mean: 4, Hottest: 4}}
		p.Edge, p.Layers[0].Rim = p.Front, 2e-5
		alone := make([]float64, 64)
		alone[21] = 1
		n := mustNew(t, p)
		for volts := 4.0; volts < 120; volts *= 1.5 {
			var times [2][2]float64
			for i, finer := range []float64{1, 0.1} {
				n.Start(303.15)
				for k, load := range []Load{
					&VoltageDrive{Copper: Copper{3, 0.00393}, Volts: volts, Series: 0.1, Share: alone}, &FixedPower{make([]float64, 64)},
				} {
					seconds, reached, err := n.until(t.Context(), load, []float64{383.15, 304.15}[k], 1e5, finer)
					if err != nil || !reached {
						t.Fatal(volts, reached, err)
					}
					times[i][k] = seconds
				}
			}
			shortest, longest = math.Min(shortest, times[1][0]), math.Max(longest, times[1][0])
			near(t, "rise", times[0][0], times[1][0], UntilError)
			near(t, "fall", times[0][1], times[1][1], UntilError)
			t.Logf("%g V: %g s, %g of it; falls %g s, %g of it", volts, times[1][0], times[0][0]/times[1][0]-1, times[1][1], times[0][1]/times[1][1]-1)
		}
	}
	if shortest > 1e-3 || longest < 10 {
		t.Errorf("pulses of %g to %g s", shortest, longest)
	}
}

func TestUntil(t *testing.T) {
	p, l := rcPixel()
	n := mustNew(t, p)
	on := &FixedPower{[]float64{10}}
	if _, reached, err := n.Until(t.Context(), on, 600, 1e4); err != nil || reached {
		t.Errorf("600 K cannot be reached: %v, %v", reached, err)
	}
	near(t, "then it is at the end", n.Temperatures(0)[0], 493.15, 1e-6)
	n.Start(293.15)
	s, reached, err := n.Until(t.Context(), on, 493.15-1e-3, 1e5)
	if err != nil || !reached {
		t.Fatal(reached, err)
	}
	near(t, "close to the end", s, l.TimeTo(493.15-1e-3, 293.15, 10, 0), 0.02)
	if s, reached, err = n.Until(t.Context(), on, n.Temperatures(0)[0], 1); s != 0 || !reached || err != nil {
		t.Error("already there", s, reached, err)
	}
	// On the way to a temperature beyond the ceiling the run stops at the ceiling.
	p.Ceiling = 350
	n = mustNew(t, p)
	_, _, err = n.Until(t.Context(), on, 480, 1e5)
	var r *RunawayError
	if !errors.As(err, &r) {
		t.Errorf("no word of the ceiling: %v", err)
	}
}

// The effective resistance of a linear stack, by hand: all on it is the chain's,
// and alone a pixel spreads its heat and rises less.
func TestResistance(t *testing.T) {
	p := board(9, 9, 2)
	p.Front, p.Back = Film{Coefficient: 9}, Film{Coefficient: 7}
	n := mustNew(t, p)
	front, back := 9*1.44e-4, 1/(1/0.086+1/(7*1.44e-4))
	load := &FixedPower{make([]float64, 81)}
	for k := range load.Watts {
		load.Watts[k] = 0.3
	}
	all, err := n.Steady(t.Context(), load)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "all on", (all.Coils[40]-p.Ambient)/0.3, 1/(front+back), 1e-9)
	clear(load.Watts)
	load.Watts[40] = 0.3
	s, err := n.Steady(t.Context(), load)
	if err != nil {
		t.Fatal(err)
	}
	if alone := (s.Coils[40] - p.Ambient) / 0.3; !(alone < 1/(front+back)/5 && alone > 1/(front+0.086+4*0.0285)) {
		t.Errorf("alone %g K/W, all on %g K/W", alone, 1/(front+back))
	}
	// By superposition the rises of one lit pixel add up to the rise of all lit.
	sum, c := 0.0, 0.0
	for _, v := range s.Layers[0] {
		c += 9 * 1.44e-4 * (v - p.Ambient)
	}
	for _, v := range s.Layers[1] {
		sum += 7 * 1.44e-4 * (v - p.Ambient)
	}
	near(t, "power of one", sum+c, 0.3, 1e-9)
}

// stiffBoard is a small board that conducts well and loses little, with coils above it:
// its fastest rates are a hundred thousand times its slowest.
func stiffBoard() Params {
	const a = 4.5e-5
	film := Film{Orientation: Vertical, Length: 0.04, Emissivity: 0.9}
	return Params{
		Rows: 6, Cols: 6, Ambient: 260, Front: film, Back: film, Edge: film,
		Layers: []Layer{
			{Capacity: 0.11, Lateral: 0.21, Down: 0.3, Front: a, Rim: 6.6e-6},
			{Capacity: 0.03, Lateral: 0.01, Back: a, Rim: 1.2e-6},
		},
		Stages: []Stage{{Time: 1e-3, Mean: 1, Hottest: 1.5}, {Time: 0.1, Mean: 5, Hottest: 6}, {Time: 2, Mean: 1, Hottest: 1}},
	}
}

// Repeated pulses whose slowest pattern of temperature takes hundreds or thousands of
// cycles to answer: played for as long, those at Period peak at the limit. Of copper at a
// voltage the heat follows its temperature within a pulse; its mean is another than the
// heat at the mean temperature.
func TestRepeatedPulsesOfASlowBoard(t *testing.T) {
	slow := board(8, 8, 2)
	slow.Stages = []Stage{{Time: 0.001, Mean: 0.3, Hottest: 0.3}, {Time: 0.3, Mean: 2, Hottest: 9}, {Time: 10, Mean: 4, Hottest: 4}}
	slow.Edge, slow.Layers[0].Rim = slow.Front, 2e-5
	one := func(pixels int, share float64) []float64 {
		list := make([]float64, pixels)
		list[21] = share
		return list
	}
	for _, c := range []struct {
		name   string
		params Params
		level  float64
		load   func(level, share float64) Load
		cycles int
	}{
		{"stiff", stiffBoard(), 9, func(watts, share float64) Load { return &FixedPower{one(36, watts*share)} }, 6000},
		{"slow", slow, 10, func(volts, share float64) Load {
			return &VoltageDrive{Copper: Copper{8, 0.00393}, Volts: volts, Series: 0.1, Share: one(64, share)}
		}, 8000},
	} {
		n := mustNew(t, c.params)
		spec := PulseSpec{Start: c.params.Ambient, Limit: 380, Width: 0.05, Load: func(share float64) Load { return c.load(c.level, share) }}
		r, err := n.Pulses(t.Context(), spec)
		if err != nil {
			t.Fatal(err)
		}
		start, err := n.Steady(t.Context(), c.load(c.level, r.Width/r.Period))
		if err != nil {
			t.Fatal(err)
		}
		n.StartFrom(start.State())
		on, off := c.load(c.level, 1), c.load(c.level, 0)
		for range c.cycles {
			if err := n.Step(t.Context(), r.Period-r.Width, off); err != nil {
				t.Fatal(err)
			}
			if err := n.Step(t.Context(), r.Width, on); err != nil {
				t.Fatal(err)
			}
		}
		peak, _ := n.HottestTurn()
		t.Logf("%s: level %g for %g s every %g s, a share of %g, %g at most: a peak of %g K", c.name, c.level, r.Width, r.Period, r.Width/r.Period, r.MaxDuty, peak)
		if math.Abs(peak-spec.Limit) > 0.05 {
			t.Errorf("%s: pulses every %g s peak at %g K in the end, the limit is %g K", c.name, r.Period, peak, spec.Limit)
		}
	}
}

// counted counts how often a load is asked for.
type counted struct {
	FixedPower
	times int
}

func (c *counted) Power(watts, perKelvin, coil []float64) {
	c.times++
	c.FixedPower.Power(watts, perKelvin, coil)
}

// A long step begins with short parts, for what is fast, and goes on with longer ones.
func TestLongStepLengthens(t *testing.T) {
	n := mustNew(t, stiffBoard())
	load := &counted{FixedPower: FixedPower{make([]float64, 36)}}
	load.Watts[21] = 3
	if err := n.Step(t.Context(), 300, load); err != nil {
		t.Fatal(err)
	}
	if load.times > 600 {
		t.Errorf("the load was asked for %d times in 300 s; at the length it began with it would be %.0f", load.times, 300/n.splitStep())
	}
	t.Logf("asked for %d times", load.times)
}
