package supply

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"lodegrid/field/param"
)

// The project's table of check values, computed there from I dt/dV: 4 A for
// 1.0416666667 ms within 0.25 V, and 2 A for 100 µs within 0.2 V, to which 20 mΩ add
// 40 mV.
func TestBulkCheckValues(t *testing.T) {
	c := BulkCapacitance(4, 1.0416666667e-3, 0.25, 0)
	near(t, "4 A", c, 16.6666666667e-3, 1e-10)
	c = BulkCapacitance(2, 100e-6, 0.2, 0)
	near(t, "2 A", c, 1e-3, 1e-15)
	// The same drop with the series resistance counted in.
	c = BulkCapacitance(2, 100e-6, 0.24, 0.02)
	near(t, "2 A, 20 mΩ", c, 1e-3, 1e-12)
}

// No current between 0 and its peak draws more above its average than BurstCharge
// says; a rectangle in one burst draws exactly that.
func TestBurstCharge(t *testing.T) {
	near(t, "rectangle, 4 A for a quarter of 1 ms", BurstCharge(1, 4, 1e-3), 3*0.25e-3, 1e-15)
	if q := BurstCharge(2, 2, 1e-3); q != 0 {
		t.Errorf("constant current: %v C", q)
	}
	r := rand.New(rand.NewPCG(2, 1))
	for range 2000 {
		const n = 64
		var i [n]float64
		var average, peak float64
		shape := math.Pow(10, 2*r.Float64()-1)
		for k := range i {
			i[k] = math.Pow(r.Float64(), shape)
			average += i[k] / n
			peak = math.Max(peak, i[k])
		}
		// The greatest swing of the charge over any stretch of the repeating period.
		var low, swing, q float64
		for k := range 2 * n {
			q += (i[k%n] - average) / n
			low = math.Min(low, q)
			swing = math.Max(swing, q-low)
		}
		if bound := BurstCharge(average, peak, 1); swing > bound*(1+1e-12) {
			t.Fatalf("charge %v above the bound %v", swing, bound)
		}
	}
}

func TestRippleRMS(t *testing.T) {
	// A rectangle of 6 A for half the time: RMS 6/√2, average 3, ripple 3.
	near(t, "ripple", RippleRMS(6/math.Sqrt2, 3), 3, 1e-12)
	if RippleRMS(1, 1+1e-12) != 0 {
		t.Error("rounding made a ripple")
	}
}

func TestUsualValues(t *testing.T) {
	for _, c := range [][2]float64{{1e-3, 1e-3}, {1.01e-3, 1.5e-3}, {6.9e-3, 10e-3}, {0.47e-3, 0.47e-3}, {9.99, 10}, {3.3e-6, 3.3e-6}} {
		if got := nextDecade(usualCapacitances, c[0]); math.Abs(got-c[1]) > 1e-9*c[1] {
			t.Errorf("next E6 value from %v: %v, want %v", c[0], got, c[1])
		}
	}
}

// The ambient factor against DIN VDE 0298-4 table 17, conductors of up to 70 °C, as
// quoted by a secondary source to two digits.
func TestCapacityFactor(t *testing.T) {
	for c, want := range map[float64]float64{
		10: 1.22, 15: 1.17, 20: 1.12, 25: 1.06, 30: 1.00, 35: 0.94, 40: 0.87, 45: 0.79, 50: 0.71, 55: 0.61, 60: 0.50, 65: 0.35,
	} {
		if got := CapacityFactor(273.15 + c); math.Abs(got-want) > 0.006 {
			t.Errorf("at %v °C: %v, table has %v", c, got, want)
		}
	}
	if CapacityFactor(350) != 0 {
		t.Error("a conductor in 77 °C still carries current")
	}
}

// The highest resistance of a class 5 conductor is never below that of its nominal
// area in copper of 1/58 Ω·mm²/m (IEC 60028), nor 18 % above it: a slip in the table
// would show.
func TestConductorTable(t *testing.T) {
	before := Conductor{}
	for _, c := range Conductors {
		solid := 1.0 / 58e6 / c.Area
		if c.Resistance < solid*1.0 || c.Resistance > 1.18*solid {
			t.Errorf("%v mm²: %v Ω/m, solid copper has %v Ω/m", c.Area*1e6, c.Resistance, solid)
		}
		if c.Area <= before.Area || c.Capacity <= before.Capacity || c.Resistance >= before.Resistance && before.Area > 0 {
			t.Errorf("%v mm² is out of order", c.Area*1e6)
		}
		before = c
	}
}

// By hand: 10 A over 2 m within 0.36 V at 30 °C. Fuse 12.5 A, so 1 mm² (15 A) is the
// thinnest allowed; it warms by 40·(10/15)² = 17.78 K to 47.78 °C, has 2·2 m·19.5
// mΩ/m·(1 + 0.00393·27.78) = 86.52 mΩ and drops 0.865 V; 1.5 mm² drops 0.576 V,
// 2.5 mm² warms by 5.92 K: 31.92 mΩ·1.06256 = 33.92 mΩ, 0.339 V. So 2.5 mm².
func TestFeederByHand(t *testing.T) {
	f, err := ChooseFeeder(10, 2, 0.36, 303.15)
	if err != nil {
		t.Fatal(err)
	}
	if f.Area != 2.5e-6 || f.Runs != 1 || f.Fuse != 12.5 {
		t.Errorf("%+v", f)
	}
	near(t, "drop", f.Drop, 0.33917, 1e-4)
	near(t, "loss", f.Loss, 3.3917, 1e-4)
	near(t, "temperature", f.Temperature, 303.15+5.917, 1e-5)
	// Dropping what it likes, the fuse decides.
	if f, err = ChooseFeeder(10, 2, 5, 303.15); err != nil || f.Area != 1e-6 {
		t.Errorf("%+v, %v", f, err)
	}
	near(t, "drop of 1 mm²", f.Drop, 0.86516, 1e-4)
	// Short and hot: at 60 °C capacities halve, 1.5 mm² carries 9 A, 2.5 mm² 13 A.
	if f, err = ChooseFeeder(10, 0, 5, 333.15); err != nil || f.Area != 2.5e-6 {
		t.Errorf("%+v, %v", f, err)
	}
	// Beyond the thickest conductor: 300 A in two pairs, fuse 200 A each.
	if f, err = ChooseFeeder(300, 0.5, 1, 303.15); err != nil || f.Runs != 2 || f.Fuse != 200 || f.Area != 70e-6 {
		t.Errorf("%+v, %v", f, err)
	}
	var pe *param.Error
	for _, c := range [][4]float64{{10, 1e5, 0.1, 303.15}, {10, 1, 0.1, 345}, {1, math.Inf(1), 1, 300}} {
		if _, err := ChooseFeeder(c[0], c[1], c[2], c[3]); !errors.As(err, &pe) || pe.Accept == "" {
			t.Errorf("%v: error %v", c, err)
		}
	}
}

// What is chosen keeps its promises, and more current or more length never gets less
// copper.
func TestFeederProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	copper := func(f Feeder) float64 { return f.Area * float64(f.Runs) }
	for range 5000 {
		i, l := math.Pow(10, 2.5*r.Float64()-0.5), 4*r.Float64()
		drop, ambient := 0.2+r.Float64(), 283.15+40*r.Float64()
		f, err := ChooseFeeder(i, l, drop, ambient)
		if err != nil {
			t.Fatal(err)
		}
		capacity := f.Capacity * CapacityFactor(ambient)
		if f.Drop > drop*(1+1e-9) || f.Fuse > capacity || f.Fuse < FuseMargin*f.Current*(1-1e-9) || f.Temperature > capacityLimit {
			t.Fatalf("%v A, %v m, %v V: %+v", i, l, drop, f)
		}
		longer, err := ChooseFeeder(i, l*(1+r.Float64()), drop, ambient)
		if err != nil {
			t.Fatal(err)
		}
		if copper(longer) < copper(f) && longer.Runs == f.Runs {
			t.Fatalf("longer feeder is thinner: %+v, %+v", f, longer)
		}
		more, err := ChooseFeeder(i*1.05, l, drop, ambient)
		if err != nil {
			t.Fatal(err)
		}
		if more.Runs == f.Runs && more.Area < f.Area || more.Runs < f.Runs {
			t.Fatalf("more current gets less: %+v, %+v", f, more)
		}
	}
}

// Power laws with known answers: square, line, and a mixture with a knee.
func TestDim(t *testing.T) {
	count := 0
	law := func(f func(float64) float64) func(float64) (float64, error) {
		return func(s float64) (float64, error) { count++; return f(s), nil }
	}
	for _, c := range []struct {
		name  string
		f     func(float64) float64
		limit float64
		want  float64
	}{
		{"square", func(s float64) float64 { return 200 * s * s }, 50, 0.5},
		{"line", func(s float64) float64 { return 200 * s }, 50, 0.25},
		{"square with a floor", func(s float64) float64 { return 10 + 90*s*s }, 32.5, 0.5},
		{"knee", func(s float64) float64 { return math.Max(20*s, 20*s+1000*(s-0.6)) }, 22, 0.6 + 10.0/1020},
		{"fifth power", func(s float64) float64 { return 100 * math.Pow(s, 5) }, 1e-3, 0.1},
		{"enough", func(s float64) float64 { return 30 * s }, 30, 1},
		{"nothing", func(s float64) float64 { return 100 * s * s }, 0, 0},
	} {
		count = 0
		got, err := Dim(t.Context(), c.limit, law(c.f))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Value-c.want) > 2e-9 || c.f(got.Value) > c.limit || got.Why == "" {
			t.Errorf("%s: %v (%s), want %v", c.name, got.Value, got.Why, c.want)
		}
		if count > 80 {
			t.Errorf("%s took %d looks at the power law", c.name, count)
		}
	}
	var pe *param.Error
	if _, err := Dim(t.Context(), 5, law(func(s float64) float64 { return 10 + s })); !errors.As(err, &pe) {
		t.Errorf("dark grid above the limit: error %v", err)
	}
	broken := errors.New("broken")
	if _, err := Dim(t.Context(), 5, func(float64) (float64, error) { return 0, broken }); !errors.Is(err, broken) {
		t.Errorf("error lost: %v", err)
	}
}
