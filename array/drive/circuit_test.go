package drive

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// near fails unless got is within a relative tolerance of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: %.15g, want %.15g (off by %.2g, allowed %.1g)", what, got, want, got/want-1, tol)
	}
}

// The drive electronics of the project's table of check values: computed there from
// the textbook first-order formulas with 15 digits, L = 20 µH, R = 3 Ω, V = 5 V.
var table = Circuit{Bridge: FullBridge, Voltage: 5, Resistance: 3, Inductance: 20e-6}

func TestCheckValues(t *testing.T) {
	near(t, "tau", table.TimeConstant(), 6.6666666667e-6, 1e-10)
	near(t, "i(tau)", table.Rise(table.TimeConstant()), 1.053534264714, 1e-12)
	near(t, "t to 90 %", table.RiseTime(0.9), 15.350567286627e-6, 1e-12)
	near(t, "t to 99 %", table.RiseTime(0.99), 30.701134573254e-6, 1e-12)
	near(t, "stored energy", table.StoredEnergy(table.FinalCurrent()), 27.7777777778e-6, 1e-11)

	p := table.PWM(0.4, 1/20e3)
	near(t, "Imax", p.Max, 1.584564617310, 1e-11)
	near(t, "Imin", p.Min, 0.017602922848, 1e-10)
	near(t, "ripple", p.Ripple(), 1.566961694462, 1e-11)
	near(t, "mean", p.Average, 0.666666666667, 1e-11)
	near(t, "ripple at 1 MHz", table.PWM(0.4, 1e-6).Ripple(), 0.059973014977, 1e-11)

	wheel := table
	wheel.Bridge, wheel.DiodeDrop = LowSide, 0.7
	near(t, "freewheel time to zero", wheel.FreewheelTime(wheel.FinalCurrent()), 13.980940791862e-6, 1e-12)
	if got := table.FreewheelTime(1); !math.IsInf(got, 1) {
		t.Errorf("slow decay ends after %v s, want never", got)
	}
}

// The low-side driver with an ideal diode of no drop freewheels through the same
// resistance, so both topologies agree where the switch has none.
func TestTopologiesAgreeWithoutDrops(t *testing.T) {
	low := table
	low.Bridge = LowSide
	a, b := table.PWM(0.4, 50e-6), low.PWM(0.4, 50e-6)
	near(t, "average", b.Average, a.Average, 1e-14)
	near(t, "RMS", b.RMS, a.RMS, 1e-14)
	near(t, "power", b.Power, a.Power, 1e-14)
}

// simpson integrates a function with 2n steps: a rival for the closed forms.
func simpson(f func(float64) float64, a, b float64, n int) float64 {
	h := (b - a) / float64(2*n)
	sum := f(a) + f(b)
	for i := 1; i < 2*n; i++ {
		sum += f(a+float64(i)*h) * float64(2+2*(i&1))
	}
	return sum * h / 3
}

func TestPieceIntegrals(t *testing.T) {
	for _, x := range []float64{1e-9, 1e-4, 0.05, 0.29999, 0.30001, 1, 5, 40, 700} {
		for _, start := range []float64{0, 0.3, 1.7} {
			const asym = 1.2
			c := newPiece(1, x, asym)
			i := func(s float64) float64 { return start - (asym-start)*math.Expm1(-x*s) }
			mean, square := c.mean(start)
			// Simpson on a grid that is fine where the current moves.
			cut := math.Min(1, 40/x)
			m := simpson(i, 0, cut, 4000) + asym*(1-cut)
			s := simpson(func(s float64) float64 { return i(s) * i(s) }, 0, cut, 4000) + asym*asym*(1-cut)
			if m == 0 {
				continue
			}
			near(t, "mean", mean, m, 1e-11)
			near(t, "mean square", square, s, 1e-11)
			near(t, "end", c.end(start), i(1), 1e-14)
		}
	}
	// Near nothing has happened yet: the leading terms of the series.
	c := newPiece(1, 1e-8, 1)
	_, square := c.mean(0)
	near(t, "mean square at x = 1e-8", square, 1e-16/3*(1-0.75e-8), 1e-14)
}

// randomCircuit draws circuits with L/R from far below to far above a period of
// 50 µs.
func randomCircuit(r *rand.Rand) Circuit {
	c := Circuit{
		Bridge:       LowSide,
		Voltage:      3 + 21*r.Float64(),
		Resistance:   0.5 + 20*r.Float64(),
		Inductance:   math.Pow(10, -7+4*r.Float64()),
		OnResistance: 0.5 * r.Float64(),
		DiodeDrop:    0.2 + 0.8*r.Float64(),
	}
	if r.IntN(2) == 0 {
		c.Bridge = FullBridge
	}
	if r.IntN(3) == 0 {
		c.PathDrop = 2 * r.Float64()
	}
	return c
}

// What the rail gives is lost in copper, switches and diode or kept in the coil:
// V⟨i_on⟩ = R⟨i²⟩ + … + d(L i²/2)/dt holds for the equations, so it must hold for
// their solution.
func TestEnergyBalance(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	broke := 0
	for range 3000 {
		c := randomCircuit(r)
		duty := r.Float64()
		p := c.PWM(duty, 50e-6)
		near(t, "settled balance", p.Copper+p.Switch+p.Diode, p.Power, 1e-12)
		if math.Abs(p.Stored) > 1e-12*p.Power {
			t.Errorf("settled coil gains %v W of %v W", p.Stored, p.Power)
		}
		if p.Discontinuous {
			broke++
		}

		start := 3 * r.Float64() * c.FinalCurrent()
		if c.Bridge == FullBridge && r.IntN(2) == 0 {
			start, duty = -start, duty*float64(1-2*r.IntN(2))
		}
		q := c.Run(start, duty, 50e-6, r.Float64()*2e-3)
		if d := q.Copper + q.Switch + q.Diode + q.Stored - q.Power; math.Abs(d) > 1e-11*(q.Copper+math.Abs(q.Power)+math.Abs(q.Stored)) {
			t.Errorf("transient of %+v from %v A at duty %v: balance off by %v W of %+v", c, start, duty, d, q)
		}
	}
	if broke < 300 {
		t.Errorf("only %d of 3000 random circuits ran discontinuously", broke)
	}
}

// brute integrates the circuit's equation with the classical fourth-order
// Runge–Kutta method, stopping the diode at zero: the rival for the closed form.
func brute(c Circuit, start, duty, period, duration float64, steps int) (end, average, rms float64) {
	const tiny = 1e-15
	i := start
	var q, q2 float64
	march := func(on bool, dt float64) {
		f := func(i float64) float64 {
			switch {
			case on:
				return (c.Voltage - c.path() - (c.Resistance+c.OnResistance)*i) / c.Inductance
			case c.Bridge == FullBridge:
				return -(c.Resistance + c.OnResistance) * i / c.Inductance
			}
			return (-c.DiodeDrop - c.PathDrop - c.Resistance*i) / c.Inductance
		}
		h := dt / float64(steps)
		for range steps {
			k1 := f(i)
			k2 := f(i + h/2*k1)
			k3 := f(i + h/2*k2)
			k4 := f(i + h*k3)
			mid := i + h*(5*k1+4*k2+4*k3-k4)/24 // cubic Hermite's value, close enough for Simpson
			next := i + h*(k1+2*k2+2*k3+k4)/6
			if !on && c.Bridge == LowSide && next < 0 {
				// Only the last step before zero is cut: the sums lose second order of h once.
				q += i * i / -k1 / 2
				q2 += i * i * i / -k1 / 3
				i = 0
				return
			}
			q += h * (i + 4*mid + next) / 6
			q2 += h * (i*i + 4*mid*mid + next*next) / 6
			i = next
		}
	}
	for t := 0.0; t < duration-tiny; t += period {
		on := math.Min(duty*period, duration-t)
		march(true, on)
		if off := math.Min((1-duty)*period, duration-t-on); off > 0 {
			march(false, off)
		}
	}
	return i, q / duration, math.Sqrt(q2 / duration)
}

// The closed form over many periods, with the remainder of one, against time
// stepping.
func TestTransientAgainstTimeStepping(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for k := range 60 {
		c := randomCircuit(r)
		c.Inductance = math.Pow(10, -5+2*r.Float64()) // slow enough for the stepper
		const period = 50e-6
		start := 2 * r.Float64() * c.FinalCurrent()
		duty := r.Float64()
		if k%5 == 0 {
			duty *= 0.1 // dies out after some periods
		}
		duration := (0.2 + 12*r.Float64()) * period
		end, average, rms := brute(c, start, duty, period, duration, 2000)
		got := c.Run(start, duty, period, duration)
		scale := math.Max(start, c.FinalCurrent())
		for _, v := range [][2]float64{{got.End, end}, {got.Average, average}, {got.RMS, rms}} {
			if math.Abs(v[0]-v[1]) > 2e-6*scale {
				t.Errorf("case %d, %+v, start %v, duty %v, %v periods: %v, stepping gives %v", k, c, start, duty, duration/period, v[0], v[1])
			}
		}
	}
}

// Running n periods at once is running them one at a time.
func TestTransientComposes(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 500 {
		c := randomCircuit(r)
		const period = 50e-6
		duty := r.Float64()
		start := 2 * r.Float64() * c.FinalCurrent()
		n := 1 + r.IntN(40)
		whole := c.Run(start, duty, period, float64(n)*period)
		i, sum, square := start, 0.0, 0.0
		low, high := start, start
		for range n {
			p := c.Run(i, duty, period, period)
			i = p.End
			sum += p.Average
			square += p.RMS * p.RMS
			low, high = math.Min(low, p.Min), math.Max(high, p.Max)
		}
		scale := math.Max(start, c.FinalCurrent())
		for _, v := range [][2]float64{
			{whole.End, i}, {whole.Average, sum / float64(n)}, {whole.RMS, math.Sqrt(square / float64(n))},
			{whole.Min, low}, {whole.Max, high},
		} {
			if math.Abs(v[0]-v[1]) > 1e-13*scale {
				t.Errorf("%+v duty %v start %v, %d periods: %v at once, %v one by one", c, duty, start, n, v[0], v[1])
			}
		}
	}
}

// Period far shorter than L/R: the ripple is V D (1−D) T/L and the current is
// smooth; far longer: it is a rectangle, whose RMS is its height times √D.
func TestLimits(t *testing.T) {
	c := Circuit{Bridge: FullBridge, Voltage: 12, Resistance: 4, Inductance: 1e-3, OnResistance: 0.2}
	const d, period = 0.37, 1e-8
	p := c.PWM(d, period)
	near(t, "small ripple", p.Ripple(), c.Voltage*d*(1-d)*period/c.Inductance, 1e-8)
	near(t, "smooth average", p.Average, d*c.FinalCurrent(), 1e-12)
	near(t, "smooth RMS", p.RMS, p.Average, 1e-9)
	near(t, "smooth power", p.Power, d*d*c.Voltage*c.FinalCurrent(), 1e-8)

	c.Inductance = 1e-12
	p = c.PWM(d, 1e-3)
	near(t, "rectangle's average", p.Average, d*c.FinalCurrent(), 1e-9)
	near(t, "rectangle's RMS", p.RMS, math.Sqrt(d)*c.FinalCurrent(), 1e-9)
	near(t, "rectangle's ripple", p.Ripple(), c.FinalCurrent(), 1e-12)
	near(t, "rectangle's power", p.Power, d*c.Voltage*c.FinalCurrent(), 1e-9)

	for _, b := range []Bridge{LowSide, FullBridge} {
		c.Bridge, c.DiodeDrop = b, 0.5
		c.Inductance = 1e-5
		on := c.PWM(1, 50e-6)
		near(t, "always on", on.Average, c.FinalCurrent(), 1e-14)
		near(t, "always on, RMS", on.RMS, c.FinalCurrent(), 1e-14)
		off := c.PWM(0, 50e-6)
		if off.Average != 0 || off.Power != 0 || off.Discontinuous {
			t.Errorf("never on: %+v", off)
		}
	}
}

// More duty never lowers the power, the current or the heat.
func TestMonotonicInDuty(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for range 200 {
		c := randomCircuit(r)
		var before PixelState
		for k := 0; k <= 200; k++ {
			p := c.PWM(float64(k)/200, 50e-6)
			const slack = 1 - 1e-13
			if p.Power < before.Power*slack || p.Average < before.Average*slack || p.RMS < before.RMS*slack || p.Max < before.Max*slack {
				t.Fatalf("%+v: duty %v gives %+v, less than %+v", c, float64(k)/200, p, before)
			}
			before = p
		}
	}
}

// A diode in the coil's path takes its voltage from the rail and adds it to the freewheel
// diode's, so that the current is that of a lower rail; the rail gives the diode's heat, too. A
// full bridge, whose current goes both ways, has none.
func TestDiodeInThePath(t *testing.T) {
	c := Circuit{Bridge: LowSide, Voltage: 5, Resistance: 3, Inductance: 3e-5, OnResistance: 0.2, DiodeDrop: 0.5, PathDrop: 0.7}
	lower := c
	lower.Voltage, lower.DiodeDrop, lower.PathDrop = 4.3, 1.2, 0
	for _, duty := range []float64{0.2, 0.7, 1} {
		p, q := c.PWM(duty, 50e-6), lower.PWM(duty, 50e-6)
		near(t, "mean", p.Average, q.Average, 1e-14)
		near(t, "RMS", p.RMS, q.RMS, 1e-14)
		near(t, "power", p.Power, 5*q.RailAverage, 1e-14)
		near(t, "heat in the diode", p.OnBoard, 0.7*q.Average, 1e-14)
		near(t, "heat in both diodes", p.Diode, p.OnBoard+0.5*(q.Average-q.RailAverage), 1e-12)
	}
	near(t, "steady current", c.PWM(1, 50e-6).Average, 4.3/3.2, 1e-12)
	c.Bridge = FullBridge
	if p := c.PWM(0.6, 50e-6); p.OnBoard != 0 || math.Abs(p.Average-0.6*5/3.2) > 1e-12 {
		t.Errorf("a full bridge with a diode in its path: %+v", p)
	}
	c.Bridge, c.PathDrop = LowSide, 6
	if p := c.PWM(0.6, 50e-6); p.Average != 0 || p.Power != 0 {
		t.Errorf("a diode that takes the whole rail: %+v", p)
	}
}

// What a mean current is said to come of gives that current: the steel's heat, which the rail
// pays for, passes no switch as the coil's current.
func TestMeanIsWhatItSays(t *testing.T) {
	for _, c := range []Circuit{
		{Bridge: LowSide, Voltage: 5, Resistance: 3, Inductance: 3e-4, OnResistance: 0.8, DiodeDrop: 0.5, PathDrop: 0.7, SteelResistance: 40},
		{Bridge: LowSide, Voltage: 5, Resistance: 3, Inductance: 3e-4, OnResistance: 0.8, DiodeDrop: 0.5, SteelResistance: 40, Series: 3},
	} {
		m, s := c.Mean(0.6, 50e-6), c.PWM(0.6, 50e-6)
		_, said, _ := strings.Cut(m.Why, "= (")
		said, _, _ = strings.Cut(strings.NewReplacer("×", " ", "−", " ", "(", " ", ")", " ", "/", " ", "V", " ", "Ω", " ", "A", " ").Replace(said), ";")
		var v []float64
		for _, f := range strings.Fields(said) {
			x, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("%q: %v", m.Why, err)
			}
			v = append(v, x)
		}
		path := 0.0
		if c.PathDrop > 0 {
			path = v[5]
			v = slices.Delete(v, 5, 6)
		}
		if len(v) != 8 {
			t.Fatalf("%q: %v", m.Why, v)
		}
		near(t, m.Why, (v[0]*v[1]-(v[2]-v[3])*v[4]-path-v[5]*v[6])/v[7], m.Value, 2e-4)
		if s.Steel < 0.03*s.Power {
			t.Errorf("the steel takes %g W of %g W: no test", s.Steel, s.Power)
		}
	}
}
