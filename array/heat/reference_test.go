package heat

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"

	"lodegrid/field"
)

// caseFile is a stored result of another program; the parameters stand beside the
// values, under the names of Params.
type caseFile struct {
	Origin string
	Cases  []struct {
		Name               string
		Rows, Cols, Heated int
		Ambient            float64
		Surroundings       float64
		Layers             []Layer
		Front, Back, Edge  Film
		Load               caseLoad
		Times              []float64
		Kelvin             [][]float64
	}
}

type caseLoad struct {
	Kind                                     string
	Resistance20, Alpha, Volts, Series, Amps float64
	Share                                    []float64
}

func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/heat/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatal(err)
	}
}

func (l caseLoad) load(t *testing.T) Load {
	t.Helper()
	c := Copper{l.Resistance20, l.Alpha}
	switch l.Kind {
	case "voltage":
		return &VoltageDrive{Copper: c, Volts: l.Volts, Series: l.Series, Share: l.Share}
	case "current":
		return &CurrentDrive{Copper: c, Amps: l.Amps, Share: l.Share}
	}
	t.Fatalf("load kind %q", l.Kind)
	return nil
}

// Two 16 × 16 boards with every kind of film, pane, fan, edges and both
// drives, against SciPy's Radau integrator at rtol 1e-8 (testdata/heat/scipy16.json
// names its origin; .ci/checks/heat_scipy.py repeats it live).
func TestAgainstSciPy(t *testing.T) {
	var file caseFile
	readJSON(t, "scipy16.json", &file)
	if len(file.Cases) != 2 {
		t.Fatalf("%d cases", len(file.Cases))
	}
	for _, c := range file.Cases {
		p := Params{Rows: c.Rows, Cols: c.Cols, Ambient: c.Ambient, Surroundings: c.Surroundings,
			Heated: c.Heated, Layers: c.Layers, Front: c.Front, Back: c.Back, Edge: c.Edge}
		load := c.Load.load(t)
		for _, m := range []struct {
			method Method
			dt     float64
			bound  float64 // K, over a rise of 100 K and more
		}{
			{auto, 1.0 / 16, 4e-4}, {auto, 2.5, 2e-2}, {Split, 1.0 / 8, 5e-3}, {Split, 1.0 / 32, 4e-4},
			{Implicit, 2.5, 8e-2}, {Implicit, 0.5, 8e-4},
		} {
			p.Method = m.method
			n := New(p)
			last := len(c.Times)
			if m.dt < 0.2 || m.method == Implicit {
				last-- // keeps the test quick
			}
			now, worst := 0.0, 0.0
			for k, at := range c.Times[:last] {
				for ; now < at-1e-9; now += m.dt {
					if err := n.Step(t.Context(), m.dt, load); err != nil {
						t.Fatal(err)
					}
				}
				for l := range c.Layers {
					for i, v := range n.Temperatures(l) {
						worst = math.Max(worst, math.Abs(v-c.Kelvin[k][l*len(n.Temperatures(l))+i]))
					}
				}
			}
			name := fmt.Sprintf("%s: %q at %g s", c.Name, m.method, m.dt)
			if !(worst <= m.bound) {
				t.Errorf("%s: %.2g K off", name, worst)
			}
			t.Logf("%s: within %.2g K", name, worst)
			balanced(t, name, n)
		}
	}
}

// balanced checks that the energy supplied is the energy stored and lost, to
// rounding; the implicit scheme to the tolerance of its linear solver.
func balanced(t *testing.T, name string, n *Network) {
	t.Helper()
	b := n.Balance()
	size := math.Abs(b.Supplied) + math.Abs(b.Lost) + math.Abs(b.Stored)
	for i, r := range n.rise {
		size += n.capacity[i] * math.Abs(r)
	}
	tol := 5e-12
	if n.implicit != nil {
		tol = 1e-9
	}
	if !(math.Abs(b.Residual) <= tol*size) {
		t.Errorf("%s: energy balance %+v", name, b)
	}
}

// A 3 × 3 board of linear pixels against its electrical analogue in ngspice
// (testdata/heat/ngspice3x3.json; .ci/checks/heat_ngspice.py repeats it live).
func TestAgainstNgspice(t *testing.T) {
	var c struct {
		Origin      string
		Rows, Cols  int
		Ambient     float64
		Layers      []Layer
		Front, Back Film
		Watts       []float64
		Times       []float64
		Rise        [][]float64
	}
	readJSON(t, "ngspice3x3.json", &c)
	for method, dt := range map[Method]float64{Split: 0.01, Implicit: 0.5, auto: 2} {
		n := New(Params{Rows: c.Rows, Cols: c.Cols, Ambient: c.Ambient, Layers: c.Layers,
			Front: c.Front, Back: c.Back, Method: method, Tolerance: 1e-4})
		load := &FixedPower{c.Watts}
		now, worst := 0.0, 0.0
		for k, at := range c.Times {
			for ; now < at-1e-9; now += dt {
				if err := n.Step(t.Context(), dt, load); err != nil {
					t.Fatal(err)
				}
			}
			for i, want := range c.Rise[k] {
				worst = math.Max(worst, math.Abs(n.rise[i]-want))
			}
		}
		if !(worst < 2e-4) {
			t.Errorf("%q: %.2g K off", method, worst)
		}
		t.Logf("%q: within %.2g K", method, worst)
		balanced(t, string(method), n)
	}
}

// One isolated pixel with a constant film coefficient is the RC circuit of R 20 K/W,
// C 15 J/K, P 2 W, air 25 °C: T = 25 °C + 40 K (1 − e^(−t/300 s)), evaluated with 30
// digits outside this program.
func TestLumpedStep(t *testing.T) {
	p := Params{Rows: 1, Cols: 1, Ambient: 298.15,
		Layers: []Layer{{Capacity: 15, Front: 0.01}}, Front: Film{Coefficient: 5}}
	load := &FixedPower{[]float64{2}}
	want := map[float64]float64{60: 32.250769876881, 300: 50.284822353142}
	for _, method := range []Method{Split, Implicit} {
		p.Method = method
		n := New(p)
		const steps, tol = 200, 1e-6
		for _, at := range []float64{60, 300} {
			n.Start(298.15)
			for range steps {
				if err := n.Step(t.Context(), at/float64(steps), load); err != nil {
					t.Fatal(err)
				}
			}
			near(t, fmt.Sprintf("%s after %g s", method, at), n.Temperatures(0)[0]-field.ZeroCelsius, want[at], tol)
			balanced(t, string(method), n)
		}
		r, err := n.Steady(t.Context(), load)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "steady", r.Hottest-field.ZeroCelsius, 65, 1e-13)
	}
}

// Growing tells whether a pixel alone heats faster the hotter it gets, as it is now.
func (n *Network) Growing(load Load) bool {
	n.evaluate(&n.at, n.rise, load)
	for p := range n.pixels {
		if n.growing(&n.at, p) {
			return true
		}
	}
	return false
}

// Hottest returns the highest temperature of a layer in kelvin and its pixel.
func (n *Network) Hottest(layer int) (temperature float64, pixel int) {
	best, pixel := hottest(n.rise[layer*n.pixels : (layer+1)*n.pixels])
	return best + n.p.Ambient, pixel
}

// Lumped is one isolated pixel as a single node with a constant thermal
// resistance to the air: the closed form to check the network against and to
// reason with.
//
//	C dT/dt = P0 + k (T − T_air) − (T − T_air)/R
//
// P0 is the power at the temperature of the air and k its slope in W/K.
type Lumped struct {
	Resistance float64 // R, K/W
	Capacity   float64 // C, J/K
	Ambient    float64 // T_air, K
}

// TimeConstant returns R·C in seconds, without feedback.
func (l Lumped) TimeConstant() float64 { return l.Resistance * l.Capacity }

// rate returns how fast a difference from the final temperature dies, 1/s;
// negative if it grows.
func (l Lumped) rate(perKelvin float64) float64 {
	return (1/l.Resistance - perKelvin) / l.Capacity
}

// Temperature returns the temperature in kelvin after t seconds from start under
// the power watts + perKelvin·(T − Ambient). It holds for growing feedback too.
func (l Lumped) Temperature(t, start, watts, perKelvin float64) float64 {
	z := -l.rate(perKelvin) * t
	grown := t // ∫ e^{−r(t−s)} ds
	if z != 0 {
		grown = t * math.Expm1(z) / z
	}
	return l.Ambient + (start-l.Ambient)*math.Exp(z) + watts/l.Capacity*grown
}

// Final returns the steady temperature in kelvin, +Inf if the feedback runs away.
func (l Lumped) Final(watts, perKelvin float64) float64 {
	loss := 1/l.Resistance - perKelvin
	if loss <= 0 {
		return math.Inf(1)
	}
	return l.Ambient + watts/loss
}

// TimeTo returns the seconds from start until the temperature is limit, both in
// kelvin, under the power watts + perKelvin·(T − Ambient), warming or cooling. It
// is +Inf if that never happens.
func (l Lumped) TimeTo(limit, start, watts, perKelvin float64) float64 {
	r := l.rate(perKelvin)
	a, b := start-l.Ambient, limit-l.Ambient
	if a == b {
		return 0
	}
	// d(rise)/dt = s − r·rise keeps its sign on the way, so it must point to the
	// limit here and still not have died there.
	s := watts / l.Capacity
	va, vb := s-r*a, s-r*b
	if (b-a)*va <= 0 || va*vb <= 0 {
		return math.Inf(1)
	}
	if r == 0 {
		return (b - a) / s
	}
	return -math.Log1p(-r*(b-a)/va) / r
}

// SelfHeating returns the steady rise over the air in kelvin of a coil carrying a
// constant current, and +Inf from the runaway current on:
//
//	ΔT = x/(1 − α x'),  x = I² R(T_air) R_th,  x' = I² R20 R_th
func (l Lumped) SelfHeating(amps float64, c Copper) float64 {
	i2 := amps * amps
	return l.Final(i2*c.Resistance(l.Ambient), i2*c.Resistance20*c.Alpha) - l.Ambient
}

// RunawayCurrent returns the current in amperes from which a coil has no steady
// temperature, 1/√(α R20 R_th).
func (l Lumped) RunawayCurrent(c Copper) float64 {
	return 1 / math.Sqrt(c.Alpha*c.Resistance20*l.Resistance)
}

// RepeatPeriod returns the shortest period in seconds at which pulses of a given
// power and width may repeat for ever without passing limit, in kelvin: the
// solution of
//
//	limit − T_air = P R (1 − e^{−width/RC})/(1 − e^{−period/RC})
//
// It is +Inf if a single pulse from the air's temperature already passes it, and
// width if the power may stay on.
func (l Lumped) RepeatPeriod(limit, watts, width float64) float64 {
	rise := limit - l.Ambient
	x := watts * l.Resistance * -math.Expm1(-width/l.TimeConstant()) / rise
	if x >= 1 {
		return math.Inf(1)
	}
	return math.Max(width, -l.TimeConstant()*math.Log1p(-x))
}

// Sheet returns the conductance in W/K between neighbouring square pixels of a
// layer: conductivity (W/(m·K)) times thickness (m), whatever the pitch.
func Sheet(conductivity, thickness float64) float64 { return conductivity * thickness }

// Through returns the conductance in W/K through a slab: conductivity (W/(m·K))
// times area (m²) over thickness (m).
func Through(conductivity, area, thickness float64) float64 { return conductivity * area / thickness }

// Series returns the conductance of conductances one behind the other; 0 if any
// of them is 0.
func Series(conductances ...float64) float64 {
	sum := 0.0
	for _, g := range conductances {
		sum += 1 / g
	}
	return 1 / sum
}

// Capacity returns the heat capacity in J/K of a slab: volumetric heat capacity
// (J/(m³·K)), area (m²), thickness (m).
func Capacity(volumetric, area, thickness float64) float64 { return volumetric * area * thickness }

// Faces returns the films of the two sides of a board of a width and height in
// metres whose front looks the way given, with the lengths that the correlations
// take: the height of an upright board, area ÷ perimeter of a level one (J. R.
// Lloyd, W. R. Moran 1974), the longer side along a stream of air. Emissivity,
// air speed and insulation are the caller's to fill in.
func Faces(o Orientation, width, height float64) (front, back Film) {
	front = Film{Orientation: o, Length: height, FlowLength: max(width, height)}
	if o == FaceUp || o == FaceDown {
		front.Length = width * height / (2 * (width + height))
	}
	back = front
	back.Orientation = o.Opposite()
	return front, back
}

// Radiation returns the net radiated flux in W/m² from a surface to
// surroundings, both in kelvin: ε σ (T_s⁴ − T_sur⁴).
func (f *Film) Radiation(surface, surroundings float64) float64 {
	s2, r2 := surface*surface, surroundings*surroundings
	return f.Emissivity * StefanBoltzmann * (s2 + r2) * (surface + surroundings) * (surface - surroundings)
}
